// SPDX-License-Identifier: MIT

package stride_test

import (
	"encoding/binary"
	"math"
	"testing"

	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/stride"
)

// Whatever numbers a request holds: no panic, no hanging, and no number in the
// plan that is none.
func FuzzAsk(f *testing.F) {
	num := func(v ...float64) (b []byte) {
		for _, x := range v {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
		return b
	}
	f.Add(num(0, 1, 1, 0.5, 0.1, 0, 0, 0.1, 0, 0, 0.5, 0.5, 0, 0.03, 0, 0.3, 1, 0.7, 0.6, 0, 0.1, 0, 0.1, 0, 0, 0.5, 0.5, 0, 0.03, 0.02))
	f.Add(num(0, 1, 600, 0.01, 1000, 0, 1000, 1000, 0, 0, 0.5, 0.5, 0, 1000, 1000, 0.3, 1, 0.01, 0.99, 0, 0.1, 1000, 0.1, 600, 0, 0.5, 0.5, 0, 0.03, 1000))
	f.Add(num(0, 1, 0.01, 0.01, 1e-300, 0, 5e-324, 1000, 0, 0, 0, 0, 0, -1000, 0, 1e-9, 1, 0.7, 0.6, 0, 0.1, 0, 0.1, 0, 0, 0, 0, 0, 0, 1e-300))
	f.Add(num(math.NaN(), 1, math.Inf(1), 0.01, 1000))
	f.Fuzz(func(t *testing.T, b []byte) {
		w, err := stride.New(stride.Options{Robot: legged(2), Height: bodyHeight, Margin: margin})
		if err != nil {
			t.Fatal(err)
		}
		next := func() float64 {
			if len(b) < 8 {
				return 0
			}
			v := math.Float64frombits(binary.LittleEndian.Uint64(b))
			b = b[8:]
			return v
		}
		at := 0.0
		for range 8 {
			if len(b) == 0 {
				break
			}
			at += next()
			if !(at < 3) {
				at = 3
			}
			q := stride.Request{}
			if next() != 0 {
				q.Gait = &gait.Gait{Timing: curve.Timing{}, Swing: gait.PlainSwing}
				q.Gait.Period, q.Gait.Duty = next(), next()
			}
			q.Command = motion.Twist{Forward: next(), Side: next(), Turn: next()}
			q.Height, q.Ramp = next(), 0
			if q.Gait != nil {
				q.Gait.Phase = []float64{next(), next(), next(), next()}
				q.Ramp, q.Gait.StepHeight, q.Gait.Sway = next(), next(), next()
			}
			if w.Ask(at, q) != nil {
				continue // refused
			}
		}
		w.Advance(4)
		p := w.Plan()
		for i := range p.Body {
			for _, at := range []float64{p.Body[i].From, p.Body[i].To} {
				if x, rpy := p.Body[i].Pose(at); !finite(x.P) || !finite(rpy) {
					t.Fatalf("body at %v, %v at %v s", x.P, rpy, at)
				}
			}
		}
		for i, c := range p.Feet {
			for k := range c {
				a, _, _ := c[k].Moving(c[k].From)
				b, _, _ := c[k].Moving(c[k].To)
				if !finite(a) || !finite(b) {
					t.Fatalf("leg %d from %v to %v", i, a, b)
				}
			}
		}
	})
}
