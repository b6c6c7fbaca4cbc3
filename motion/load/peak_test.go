// SPDX-License-Identifier: MIT

package load

import (
	"math"
	"math/rand/v2"
	"testing"

	"gaitwright/kin"
	"gaitwright/kin/servo"
	"gaitwright/motion"
)

// The peak is the greatest of all shares of the stretch, whichever leg is
// asked for.
func TestSpeedPeakIsTheGreatestShare(t *testing.T) {
	const n, legs, w = 40, 4, 4 * kin.Joints
	rnd := rand.New(rand.NewPCG(4, 4))
	tr := &motion.Trajectory{Rate: 100, N: n, Legs: legs}
	d := &Loads{N: n, Legs: legs, Supply: kin.Supply{Voltage: 6}, Torque: make([]float64, n*w)}
	for range n * w {
		tr.V = append(tr.V, rnd.NormFloat64()*5)
	}
	for range n {
		d.Voltage = append(d.Voltage, 4+2*rnd.Float64())
	}
	for o := range w {
		d.Lines = append(d.Lines, servo.Line{Stall: 1, NoLoad: 4 + 4*rnd.Float64()})
		if o == 5 {
			d.Lines[o].NoLoad = math.Inf(1) // not known
		}
	}
	s := d.Shares(tr, 1, nil)
	for leg := -1; leg < legs; leg++ {
		for _, span := range [][2]int{{0, n - 1}, {7, 19}, {-5, n + 5}, {12, 12}} {
			want := 0.0
			for k := max(0, span[0]); k <= min(n-1, span[1]); k++ {
				for o := range w {
					if v := s.Speed[k*w+o]; (leg < 0 || o/kin.Joints == leg) && v > want {
						want = v
					}
				}
			}
			p, ok := d.SpeedPeak(tr, leg, span[0], span[1])
			if !ok || p.Share != want || s.Speed[p.K*w+p.Leg*kin.Joints+p.Joint] != want {
				t.Errorf("leg %d, samples %v: %+v %v, want %v", leg, span, p, ok, want)
			}
		}
	}
	for o := range w {
		d.Lines[o].NoLoad = math.Inf(1)
	}
	for _, span := range [][2]int{{0, n - 1}, {9, 3}} {
		if p, ok := d.SpeedPeak(tr, -1, span[0], span[1]); ok {
			t.Errorf("no speed is known, and yet %+v", p)
		}
	}
}
