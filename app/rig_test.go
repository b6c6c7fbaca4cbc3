// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"image"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/pointer"

	"gaitwright/app/drive"
	"gaitwright/assets"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

// rig is a window under test.
type rig struct {
	*drive.Tester
	*Workbench
	clock time.Duration // of the pointer held by press
}

// normal is the size that the window opens with, dp; small is a small laptop's.
var (
	normal = image.Pt(1280, 800)
	small  = image.Pt(1024, 700)
)

func open(t testing.TB, text []byte) *rig {
	t.Helper()
	return openWith(t, Config{Name: "demo", Text: text}, normal, 1)
}

func openWith(t testing.TB, c Config, size image.Point, scale float32) *rig {
	t.Helper()
	w, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	size = image.Pt(int(float32(size.X)*scale), int(float32(size.Y)*scale))
	r := &rig{drive.For(t, drive.NewScaled(size, scale, w.Layout)), w, time.Hour}
	r.Settle()
	return r
}

// atHit opens the demo with the left front foot just before it hits the drum.
func atHit(t testing.TB) *rig {
	t.Helper()
	r := open(t, assets.Demo)
	r.at.GoTo(r.doc, r.strike()+1.7)
	r.Settle()
	if r.at.Span != hit || r.at.Leg != 0 || r.at.Track != 0 {
		t.Fatalf("place %+v", r.at)
	}
	return r
}

// hit is the span in which the drummer strikes for the first time.
const hit = 2

// strike gives when the demo's move begins, s.
func (r *rig) strike() float64 {
	r.T.Helper()
	for _, p := range r.doc.Result().Trajectory.Parts {
		if p.Kind == "move" {
			return p.From
		}
	}
	r.T.Fatalf("no move is played")
	return 0
}

// fault opens one of the faulty workfiles.
func fault(t testing.TB, word string) *rig {
	t.Helper()
	text, err := assets.Faults.ReadFile("faults/" + word + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	return openWith(t, Config{Name: word, Text: text}, normal, 1)
}

func (r *rig) span(i int) *workfile.FootSpan { return &r.doc.File().Moves[0].Feet[0].Spans[i] }

// text is the workfile as it stands.
func (r *rig) text() string {
	r.T.Helper()
	b, err := r.doc.File().Encode()
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	return string(b)
}

func (r *rig) stops() int { return review.Stops(r.doc.Result().Findings) }

// spot gives the centre of what is drawn under a name.
func (r *rig) spot(name string) f32.Point {
	r.T.Helper()
	b := r.MustFind(name).Desc.Bounds
	return f32.Pt(float32(b.Min.X+b.Max.X)/2, float32(b.Min.Y+b.Max.Y)/2)
}

// point gives where a control point is drawn on a plate.
func (r *rig) point(part string, span int, side string) f32.Point {
	r.T.Helper()
	return r.spot(fmt.Sprintf("%s of span %d %s", part, span+1, side))
}

// press puts the primary button down; move and release go on from there.
func (r *rig) press(p f32.Point) {
	r.pointer(pointer.Press, p, pointer.ButtonPrimary)
}

func (r *rig) move(p f32.Point) { r.pointer(pointer.Move, p, pointer.ButtonPrimary) }

func (r *rig) release(p f32.Point) {
	r.pointer(pointer.Release, p, 0)
	r.Settle()
}

func (r *rig) pointer(k pointer.Kind, p f32.Point, b pointer.Buttons) {
	r.clock += 16 * time.Millisecond
	r.Queue(pointer.Event{Kind: k, Source: pointer.Mouse, Buttons: b, Position: p, Time: r.clock})
	r.Frame()
}

// handle gives where a handle of the chosen span's timing is drawn: the box
// has a margin of 22 dp.
func (r *rig) handle(x, y float32) f32.Point {
	r.T.Helper()
	b := r.MustFind("timing curve").Desc.Bounds.Inset(int(22 * r.Metric.PxPerDp))
	return f32.Pt(float32(b.Min.X)+x*float32(b.Dx()), float32(b.Max.Y)-y*float32(b.Dy()))
}

// raise is a change that harms nothing.
func raise(f *workfile.File) { f.Moves[0].Feet[0].Spans[1].End[2]++ }
