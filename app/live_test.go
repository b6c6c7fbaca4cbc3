// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/app/document"
	"gaitwright/assets"
	"gaitwright/motion/live"
	"gaitwright/motion/load"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

// goOn lets the time of a live window go on, frame by frame, until the looks
// asked for have been worked out and shown.
func (r *rig) goOn(d time.Duration) {
	r.T.Helper()
	for end := r.Now.Add(d); r.Now.Before(end); {
		r.Now = r.Now.Add(50 * time.Millisecond)
		r.Frame()
		for r.live.pending != nil && len(r.live.pending) == 0 {
			time.Sleep(time.Millisecond)
		}
	}
	r.Frame()
}

// alarm fails on a stop, a jump or a slide in what shows.
func (r *rig) alarm() {
	r.T.Helper()
	for _, f := range r.doc.Result().Findings {
		if f.Level == review.Stop || f.Word == "jump" || f.Word == "foot-slides" {
			r.T.Fatalf("%.2f s of the walk: %s: %s", r.live.walk.Now(), f.Word, f.Why)
		}
	}
}

// Sixty seconds of gait buttons and arrow keys at random on the drummer: no
// jump, no slide, no stop; and the file is as it was.
func TestMashingGaitButtons(t *testing.T) {
	t.Parallel()
	r := openWith(t, Config{Name: "demo", Text: assets.Demo}, small, 1)
	before := r.text()
	r.Click("live")
	r.goOn(100 * time.Millisecond)
	rnd := rand.New(rand.NewPCG(11, 2))
	buttons := []string{"walk in tripod", "walk in ripple", "walk in wave", "walk in tripod", "walk in wave", "stop"}
	keys := []key.Name{"1", "2", "3", "0", key.NameUpArrow, key.NameDownArrow, key.NameLeftArrow, key.NameRightArrow, "Q", "E", "M", key.NamePageUp, key.NamePageDown}
	gaits := map[string]bool{}
	shown := 0
	for r.live.walk.Now() < 60 {
		for range 1 + rnd.IntN(3) {
			if rnd.IntN(2) == 0 {
				r.Click(buttons[rnd.IntN(len(buttons))])
			} else if q := r.live.want; max(q.Forward, -q.Forward, q.Side, -q.Side, q.Turn, -q.Turn) < 0.65 {
				r.Press(keys[rnd.IntN(len(keys))], 0)
			} else {
				r.Press("M", 0)
			}
		}
		r.goOn(time.Duration(50+rnd.IntN(500)) * time.Millisecond)
		r.alarm()
		for _, p := range r.doc.Result().Trajectory.Parts {
			gaits[p.Name] = true
		}
		shown++
	}
	for _, g := range []string{"tripod", "ripple", "wave", "stop"} {
		if !gaits[g] {
			t.Errorf("never seen: %s", g)
		}
	}
	if n := r.doc.Result().Trajectory.N; n < live.Span*live.Rate || n > live.Span*live.Rate+50 {
		t.Errorf("%d samples show", n)
	}
	r.MustFind("Findings, walking live")
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.liveOn() || r.doc.Showing() || r.text() != before || r.doc.Dirty() {
		t.Error("the file's motion is not back as it was")
	}
	r.MustMiss("Findings, walking live")
	r.MustFind("stand") // an entry of the file
}

// The crawl of four legs starts and stops at any moment.
func TestCrawlStartsAndStops(t *testing.T) {
	t.Parallel()
	r := openWith(t, Config{Name: "walker", Text: assets.Walker}, small, 1)
	r.Press("L", 0)
	r.goOn(100 * time.Millisecond)
	for n := range 12 {
		if n%2 == 0 {
			r.Press("1", 0)
		} else {
			r.Press("0", 0)
		}
		r.goOn(time.Duration(300+170*n) * time.Millisecond)
		r.alarm()
	}
	r.goOn(6 * time.Second)
	r.alarm()
	if !r.live.walk.State().Standing {
		t.Errorf("%+v", r.live.walk.State())
	}
	r.Press("L", 0)
	r.Settle()
	if r.liveOn() {
		t.Error("the same key does not end it")
	}
}

// The keys steer although the robot view, turned by hand, has the focus; and
// nothing of the file changes by any action of it.
func TestLiveKeys(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("L", 0)
	r.goOn(100 * time.Millisecond)
	b := r.MustFind("robot view").Desc.Bounds
	r.Drag(f32.Pt(float32(b.Min.X+b.Dx()/2), float32(b.Min.Y+b.Dy()/2)), f32.Pt(float32(b.Min.X+b.Dx()/2+30), float32(b.Min.Y+b.Dy()/2)), 3)
	if !r.Focused(&r.view) {
		t.Fatal("the robot view has no focus")
	}
	cam := r.view.Camera.Yaw
	was := r.live.want
	r.Press(key.NameUpArrow, 0)
	r.Press(key.NameLeftArrow, 0)
	r.Press("E", 0)
	r.Press(key.NamePageUp, 0)
	r.goOn(100 * time.Millisecond)
	q := r.live.want
	if q.Gait != 0 || !(q.Forward > was.Forward) || !(q.Side > 0) || !(q.Turn < 0) || !(q.Rise > 0) {
		t.Errorf("%+v", q)
	}
	if r.view.Camera.Yaw != cam {
		t.Error("the arrow keys turned the camera")
	}
	before := r.text()
	for _, k := range []key.Name{"Z", "Y", "E", "O"} {
		r.Press(k, key.ModShortcut)
	}
	r.Press("H", 0)
	r.Press("W", 0)
	if r.modal.open() || r.text() != before || r.doc.OnStand() {
		t.Error("an action of the file ran")
	}
	if err := r.doc.Change("raise", func(f *workfile.File) { raise(f) }); !errors.Is(err, document.ErrShowing) {
		t.Errorf("%v", err)
	}
}

// Going to another instant holds the time, and any order lets it go on.
func TestLookingBackHoldsTheTime(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("L", 0)
	r.Press("1", 0)
	r.goOn(3 * time.Second)
	at, drawn := r.live.walk.Now(), r.at.Time
	b := r.MustFind("timeline").Desc.Bounds
	r.ClickAt(f32.Pt(float32(b.Min.X+b.Dx()/2), float32(b.Min.Y+8)))
	r.goOn(time.Second)
	if !r.live.held || r.live.walk.Now() > at+0.1 || !(r.at.Time < drawn-0.5) {
		t.Errorf("held %v, walked %v s, shows %v s", r.live.held, r.live.walk.Now()-at, r.at.Time)
	}
	r.Click("walk in ripple")
	r.goOn(time.Second)
	if r.live.held || r.live.walk.Now() < at+0.5 {
		t.Errorf("held %v, walked %v s", r.live.held, r.live.walk.Now()-at)
	}
}

// A file without a gait has nothing to walk in, and says so.
func TestLiveWithoutGait(t *testing.T) {
	r := open(t, workfile.Starter())
	err := r.doc.Change("no gaits", func(f *workfile.File) { f.Gaits, f.Sequence = nil, nil })
	if err != nil {
		t.Fatal(err)
	}
	r.Click("live")
	r.Settle()
	if r.liveOn() || r.notice.text == "" || r.shapes.Value == walkLive {
		t.Errorf("on %v, %q", r.liveOn(), r.notice.text)
	}
}

// On a stand it walks in the air, and what needs the ground is not judged.
func TestLiveOnStand(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("H", 0)
	r.Press("L", 0)
	r.Press("1", 0)
	r.goOn(2 * time.Second)
	r.MustFind("On the stand: nothing found in reach, joints and legs.")
	for k, s := range r.doc.Result().Loads.State {
		if s != load.Hung {
			t.Fatalf("sample %d is %v", k, s)
		}
	}
	r.Press(key.NameEscape, 0)
	r.Settle()
	if !r.doc.OnStand() {
		t.Error("it is down")
	}
}

// One frame while the robot walks live, the work of the looks beside it.
func BenchmarkFrameLive(b *testing.B) {
	r := open(b, assets.Demo)
	r.toggleLive()
	r.Press("2", 0)
	r.goOn(9 * time.Second)
	looks := r.doc.Serial()
	var slowest time.Duration
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		n++
		r.Now = r.Now.Add(time.Second / 60)
		began := time.Now()
		r.Frame()
		slowest = max(slowest, time.Since(began))
		for n%5 == 0 && r.live.pending != nil && len(r.live.pending) == 0 { // so many looks as in the real time
			time.Sleep(time.Millisecond)
		}
	}
	if r.live.held || r.doc.Serial() < looks+n/10 {
		b.Fatalf("held %v, %d looks in %d frames", r.live.held, r.doc.Serial()-looks, n)
	}
	b.ReportMetric(float64(slowest.Microseconds()), "µs/slowest")
}
