// SPDX-License-Identifier: MIT

package timeline

import (
	"testing"
	"time"
)

// One frame of the panel with the drawing and the events, but without the
// rasteriser.
func BenchmarkLayout(b *testing.B) {
	for _, c := range []struct {
		name string
		text []byte
		play bool
	}{{"idle", demo, false}, {"playing", demo, true}, {"findings", faulty(b), false}} {
		b.Run(c.name, func(b *testing.B) {
			r := open(b, c.text, 1, usual)
			r.at.Playing, r.at.Loop = c.play, true
			b.ReportAllocs()
			for b.Loop() {
				r.Now = r.Now.Add(time.Second / 60)
				r.Frame()
			}
		})
	}
}

// What a rehearsal costs the panel.
func BenchmarkDerive(b *testing.B) {
	r := open(b, faulty(b), 1, usual)
	for b.Loop() {
		r.panel.derived.doc = nil
		r.panel.derived.update(r.doc)
	}
}
