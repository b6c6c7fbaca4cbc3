// SPDX-License-Identifier: MIT

package app

import (
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/pointer"

	"gaitwright/assets"
)

// One frame of the window laid out, with nothing happening.
func BenchmarkFrameIdle(b *testing.B) {
	r := atHit(b)
	b.ReportAllocs()
	for b.Loop() {
		r.Frame()
	}
}

// One frame while the demo plays, at 60 frames/s.
func BenchmarkFramePlaying(b *testing.B) {
	r := open(b, assets.Demo)
	r.TogglePlay()
	b.ReportAllocs()
	for b.Loop() {
		r.Now = r.Now.Add(time.Second / 60)
		r.Frame()
	}
}

// One frame while a control point is dragged: the pointer's event, the change,
// its rehearsal, the frame. Wanted: within a frame of a normal screen, 16.7 ms.
func BenchmarkFrameDragging(b *testing.B) {
	r := atHit(b)
	p := r.point("end point", hit, "from the side")
	r.press(p)
	serial := r.doc.Serial()
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		n++
		r.move(p.Add(f32.Pt(float32(n%7), -float32(n%11))))
	}
	if got := r.doc.Serial() - serial; got < n*9/10 {
		b.Fatalf("%d frames made %d rehearsals", n, got)
	}
}

// The same with the eight moves a frame that a fast mouse sends.
func BenchmarkFrameDraggingFastMouse(b *testing.B) {
	r := atHit(b)
	p := r.point("end point", hit, "from the side")
	r.press(p)
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		for range 7 {
			n++
			r.clock += time.Millisecond
			r.Queue(pointer.Event{
				Kind: pointer.Move, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary,
				Position: p.Add(f32.Pt(float32(n%7), -float32(n%11))), Time: r.clock,
			})
		}
		n++
		r.move(p.Add(f32.Pt(float32(n%7), -float32(n%11))))
	}
}
