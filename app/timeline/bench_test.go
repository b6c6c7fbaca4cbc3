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
		name      string
		text      []byte
		play, log bool
	}{{"idle", demo, false, false}, {"playing", demo, true, false}, {"findings", faulty(b), false, false}, {"measured", demo, true, true}} {
		b.Run(c.name, func(b *testing.B) {
			r := open(b, c.text, 1, usual)
			if c.log {
				played(b, r)
			}
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
