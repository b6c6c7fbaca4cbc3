//go:build !headless
package app
import ("testing";"image";"os";"time";"gioui.org/gpu/headless";"gioui.org/layout";"gioui.org/op";"gaitwright/assets";"gaitwright/app/drive")
func BenchmarkZZ(b *testing.B) {
	os.Setenv("EGL_PLATFORM","surfaceless")
	for _, c := range []string{"all","top","verdict","left","middle","right","time","none"} {
		b.Run(c, func(b *testing.B){
			r := open(b, assets.Demo)
			r.at.GoTo(r.doc, 8.5)
			w, err := headless.NewWindow(1280,800); if err != nil { b.Fatal(err) }
			defer w.Release()
			px := image.NewRGBA(image.Rect(0,0,1,1))
			ui := func(gtx layout.Context) layout.Dimensions {
				at := func(x0,y0,x1,y1 int, w layout.Widget) { gtx := gtx; gtx.Constraints = layout.Exact(image.Pt(x1-x0,y1-y0)); defer op.Offset(image.Pt(x0,y0)).Push(gtx.Ops).Pop(); w(gtx) }
				switch c {
				case "all": return r.Workbench.Layout(gtx)
				case "top": at(0,0,1280,44, func(gtx layout.Context) layout.Dimensions { return r.top.layout(gtx, r.Workbench)})
				case "verdict": at(0,44,1280,82, func(gtx layout.Context) layout.Dimensions { return r.verdict.layout(gtx, r.Workbench)})
				case "left": at(0,82,292,579, r.leftColumn)
				case "middle": at(293,82,795,579, r.middle)
				case "right": at(796,82,1280,579, r.rightColumn)
				case "time": at(0,580,1280,800, func(gtx layout.Context) layout.Dimensions { return r.time.Layout(gtx, r.th, r.doc, &r.Workbench.at)})
				}
				return layout.Dimensions{Size: gtx.Constraints.Max}
			}
			d := drive.New(image.Pt(1280,800), ui)
			b.ResetTimer()
			n := 0
			for b.Loop() {
				n++
				r.at.GoTo(r.doc, 8.5+float64(n%60)/30)
				d.Now = d.Now.Add(time.Second/30)
				d.Frame()
				w.Frame(d.Ops()); w.Screenshot(px)
			}
		})
	}
}
