// SPDX-License-Identifier: MIT

package stride_test

import (
	"math/rand/v2"
	"testing"

	"gaitwright/motion/stride"
)

// BenchmarkChange plans a change of gait and all that follows until it is in
// force, from a walk under way.
func BenchmarkChange(b *testing.B) {
	for _, pairs := range []int{2, 3} {
		b.Run([]string{2: "four", 3: "six"}[pairs], func(b *testing.B) {
			all := gaits(pairs)
			g := newRig(b, pairs)
			g.ask(0, stride.Request{Gait: &all[0], Command: forward(0.02)})
			g.run(5.3)
			bound := stride.Bound(&all[0], &all[1])
			b.ReportAllocs()
			for b.Loop() {
				w := g.w.Clone()
				if err := w.Ask(5.3, stride.Request{Gait: &all[1], Command: forward(0.03), Height: bodyHeight}); err != nil {
					b.Fatal(err)
				}
				w.Advance(5.3 + bound)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "changes/s")
		})
	}
}

// BenchmarkMashing plans ten seconds with a request each 10 ms.
func BenchmarkMashing(b *testing.B) {
	all := gaits(3)
	rnd := rand.New(rand.NewPCG(5, 6))
	var asked []stride.Request
	for range 1000 {
		gt := &all[rnd.IntN(len(all))]
		asked = append(asked, stride.Request{Gait: gt, Command: able(rnd, gt), Height: bodyHeight})
	}
	for b.Loop() {
		g := newRig(b, 3)
		for k := range asked {
			if err := g.w.Ask(float64(k)*0.01, asked[k]); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkDragging plans ten seconds in which the command changes each 10 ms.
func BenchmarkDragging(b *testing.B) {
	all := gaits(3)
	rnd := rand.New(rand.NewPCG(5, 6))
	for b.Loop() {
		g := newRig(b, 3)
		for k := range 1000 {
			if err := g.w.Ask(float64(k)*0.01, stride.Request{Gait: &all[0], Command: able(rnd, &all[0]), Height: bodyHeight}); err != nil {
				b.Fatal(err)
			}
		}
	}
}
