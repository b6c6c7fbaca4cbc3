// SPDX-License-Identifier: MIT

package stride_test

import (
	"testing"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/load"
	"gaitwright/motion/review"
	"gaitwright/motion/stride"
	"gaitwright/motion/workfile"
)

// The robots that come with the program, each gait to each of its gaits at ten
// instants of the cycle, then to a stop: the review finds nothing.
func TestDemoRobots(t *testing.T) {
	for name, text := range map[string][]byte{"drummer": assets.Demo, "walker": assets.Walker} {
		f, err := workfile.Read(name, text)
		if err != nil {
			t.Fatal(err)
		}
		b, err := f.Build()
		if err != nil {
			t.Fatal(err)
		}
		s, l := motion.NewSampler(&b.Robot), load.New(&b.Robot)
		for i := range b.Gaits {
			for j := range b.Gaits {
				from, to := &b.Gaits[i], &b.Gaits[j]
				for n := range 10 {
					w, err := stride.New(stride.Options{Robot: &b.Robot, Height: b.Height, Margin: b.Limits.Margin})
					if err != nil {
						t.Fatal(err)
					}
					ask := func(at float64, r stride.Request) {
						r.Height = b.Height
						if err := w.Ask(at, r); err != nil {
							t.Fatal(err)
						}
					}
					at := from.Period * (1.5 + float64(n)/10)
					end := at + stride.Bound(from, to)
					ask(0.1, stride.Request{Gait: from, Command: forward(0.06 / from.Period)})
					ask(at, stride.Request{Gait: to, Command: forward(0.06 / to.Period)})
					ask(end, stride.Request{})
					w.Advance(end + stride.Bound(to, nil))
					if !w.Done() {
						t.Fatalf("%s to %s at %v s: not done", from.Name, to.Name, at)
					}
					tr, err := s.Sample(w.Plan(), 100, nil)
					if err != nil {
						t.Fatal(err)
					}
					d := l.Run(tr, load.Options{Contact: b.Limits.Contact})
					for _, x := range review.Run(&b.Robot, tr, d, b.Limits) {
						t.Errorf("%s: %s to %s at %v s: %s at %v s: %s", name, from.Name, to.Name, at, x.Word, x.From, x.Why)
					}
				}
			}
		}
	}
}
