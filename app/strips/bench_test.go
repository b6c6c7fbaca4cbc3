// SPDX-License-Identifier: MIT

package strips

import (
	"testing"
	"time"

	"gaitwright/motion/workfile"
)

// One frame of timeline and strips with the drawing and the events, but
// without the rasteriser: idle, playing, and with every strip open and drawn
// anew, as while zooming.
func BenchmarkLayout(b *testing.B) {
	for _, c := range []struct {
		name      string
		play, all bool
	}{{"idle", false, false}, {"playing", true, false}, {"drawn-anew", false, true}} {
		b.Run(c.name, func(b *testing.B) {
			r := open(b, weak(b), 1, usual)
			if c.all {
				for i := range r.panel.derived.strips {
					r.panel.set(r.panel.derived.strips[i].name, true)
				}
			}
			r.at.Playing, r.at.Loop = c.play, true
			b.ReportAllocs()
			for b.Loop() {
				r.Now = r.Now.Add(time.Second / 60)
				if c.all {
					r.panel.derived.made++
				}
				r.Frame()
			}
		})
	}
}

// What a rehearsal costs the strips: in full, and coarse as while dragging.
func BenchmarkDerive(b *testing.B) {
	r := open(b, swap(b, demo, "review_hz = 200", "review_hz = 1000"), 1, usual)
	derive := func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			r.panel.derived.serial = -1
			r.panel.derived.update(r.doc, line, true)
		}
	}
	b.Run("full", derive)
	if err := r.doc.Drag("raise", func(f *workfile.File) { f.Moves[0].Feet[0].Spans[1].End[2]++ }); err != nil {
		b.Fatal(err)
	}
	b.Run("coarse", derive)
}
