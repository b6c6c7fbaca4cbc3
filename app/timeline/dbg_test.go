package timeline
import ("testing";"image";"time";"gioui.org/gpu/headless";"gaitwright/app/drive";"gaitwright/app/snapshot";"gioui.org/f32")
func TestDbg(t *testing.T){
 shot:=func(r *rig,n string){ img,err:=snapshot.Draw(r.Size,r.Ops()); if err!=nil{t.Fatal(err)}; if err:=drive.WritePNG("/tmp/gw/timeline/"+n+".png",img);err!=nil{t.Fatal(err)}}
 r := open(t, faulty(t), 2, image.Pt(2560,380)); r.th.SetDark(true)
 r.Click(r.panel.derived.texts[7]); 
 for range 6 { r.Scroll(f32.Pt(r.x(9),300), -10, 0)}
 for _,s:=range r.panel.spots {if s.kind==findingSpot{ p:=middle(s.box); r.MoveTo(f32.Pt(p.X,p.Y+76))}}
 shot(r,"zoom2x")
 r = open(t, faulty(t), 1, image.Pt(640,190)); r.Focus(r.panel.Tag()); r.panel.transport.typed.Value=1; shot(r,"narrow")
 r = open(t, faulty(t), 1, image.Pt(1280,300)); r.at.Finding=20; r.at.Leg=4;r.at.Loop=true; r.typed("playing speed","7"); shot(r,"tall")
 for _,f:=range [][]byte{demo,faulty(t)} {
 r = open(t, f, 1, usual)
 w,err:=headless.NewWindow(1280,190); if err!=nil{t.Fatal(err)}
 img := image.NewRGBA(image.Rect(0,0,1280,190))
 for pass:=0;pass<2;pass++ { r.at.Playing=true; st:=time.Now(); const n=60
 for i:=0;i<n;i++{ r.Now=r.Now.Add(50*time.Millisecond); r.Frame(); w.Frame(r.Ops()); w.Screenshot(img) }
 t.Log("ms per frame", float64(time.Since(st).Microseconds())/n/1000)}
 w.Release()
 }
}
