// SPDX-License-Identifier: MIT

package strips

import (
	"bytes"
	_ "embed" // for the demo
	"image"
	"testing"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/app/timeline"
)

// rig is a panel under test, below a timeline.
type rig struct {
	*drive.Tester
	panel Panel
	time  timeline.Panel
	th    *look.Theme
	doc   *document.Document
	at    document.Place
	top   int // height of the timeline, px
	last  layout.Context
}

// usual is the size of a roomy panel below its timeline.
var usual = image.Pt(1280, 500)

func open(t testing.TB, text []byte, scale float32, size image.Point) *rig {
	t.Helper()
	d, err := document.Open("", "demo", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{th: look.New(false), doc: d, top: int(190 * scale)}
	r.at.Finding = -1
	r.Tester = drive.For(t, drive.NewScaled(size, scale, r.layout))
	return r
}

func (r *rig) layout(gtx layout.Context) layout.Dimensions {
	size := gtx.Constraints.Max
	r.last = gtx
	r.panel.Update(gtx, r.doc, &r.at, &r.time)
	top := min(r.top, size.Y)
	upper := gtx
	upper.Constraints = layout.Exact(image.Pt(size.X, top))
	r.time.Layout(upper, r.th, r.doc, &r.at)
	lower := gtx
	lower.Constraints = layout.Exact(image.Pt(size.X, size.Y-top))
	defer op.Offset(image.Pt(0, top)).Push(gtx.Ops).Pop()
	r.panel.Layout(lower, r.th, r.doc, &r.at, &r.time)
	return layout.Dimensions{Size: size}
}

// demo is a copy of the demo as it once was, so that tuning that one changes
// no picture here, reviewed at 200 Hz.
//
//go:embed testdata/drummer.toml
var demo []byte

func swap(t testing.TB, text []byte, old, with string) []byte {
	t.Helper()
	if !bytes.Contains(text, []byte(old)) {
		t.Fatalf("the demo has no %q", old)
	}
	return bytes.ReplaceAll(text, []byte(old), []byte(with))
}

// weak is the demo with servos and a supply too weak for it.
func weak(t testing.TB) []byte {
	t.Helper()
	return swap(t, swap(t, demo, "stall_kgf_cm = 20", "stall_kgf_cm = 5"), "current_limit_a = 15", "current_limit_a = 14")
}

// slippery is the demo on ice: where the ground cannot carry a pose there are
// no torques.
func slippery(t testing.TB) []byte {
	t.Helper()
	return swap(t, demo, "friction = 0.7", "friction = 0.004")
}

// row gives a strip and where it lies in the window.
func (r *rig) row(name string) (*strip, row) {
	r.T.Helper()
	for _, v := range r.panel.rows {
		if s := &r.panel.derived.strips[v.strip]; s.name == name {
			v.box = v.box.Add(image.Pt(0, r.top))
			v.worst = v.worst.Add(image.Pt(0, r.top))
			return s, v
		}
	}
	r.T.Fatalf("no row %q", name)
	return nil, row{}
}

// point gives the window's pixel of a time in a row.
func (r *rig) point(name string, at float64) f32.Point {
	r.T.Helper()
	_, v := r.row(name)
	return f32.Pt(float32(r.time.Axis(r.doc).Px(at)), float32(v.box.Min.Y+v.box.Max.Y)/2)
}

// isOpen tells whether a row is open.
func (r *rig) isOpen(name string) bool {
	r.T.Helper()
	_, v := r.row(name)
	return v.open
}
