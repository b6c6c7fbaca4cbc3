package app
import ("testing";"gaitwright/assets")
func TestZZ(t *testing.T){ r := open(t, assets.Demo); r.at.GoTo(r.doc, 9.6); r.Settle(); t.Log(r.Dump()) 
r.Click("z of the end point"); r.Settle(); r.Type("125"); t.Log(r.Frames); r.Press("⏎",0); r.Settle(); t.Log(r.doc.File().Moves[0].Feet[0].Spans[3].End)
r.Press("Z", 4); r.Press("Z",1); r.Settle(); t.Log(r.doc.File().Moves[0].Feet[0].Spans[3].End)
r.Press("Z",1); r.Settle(); t.Log(r.doc.File().Moves[0].Feet[0].Spans[3].End)
}
