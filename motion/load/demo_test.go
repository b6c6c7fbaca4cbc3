// SPDX-License-Identifier: MIT

package load_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/assets"
	"gaitwright/motion/load"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

func demos() map[string][]byte {
	return map[string][]byte{"drummer": assets.Demo, "walker": assets.Walker}
}

// played gives a demo, on a slope if tilted.
func played(t testing.TB, name string, rate float64, tilted bool) *rehearsal.Rehearsal {
	t.Helper()
	f, err := workfile.Read(name, demos()[name])
	if err != nil {
		t.Fatal(err)
	}
	if tilted {
		roll, pitch := 4.0, -6.0
		f.Ground.Roll, f.Ground.Pitch = roll, pitch
	}
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: rate})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Every sample of both demos, on the level and on a slope.
func TestDemosBalance(t *testing.T) {
	for name := range demos() {
		for _, rate := range []float64{500, 1000} {
			for _, tilted := range []bool{false, true} {
				r := played(t, name, rate, tilted)
				n := verify(t, &r.Built.Robot, r.Trajectory, r.Loads)
				if c := n[load.Carried]; !tilted && c != r.Trajectory.N || c < r.Trajectory.N*8/10 {
					t.Errorf("%s at %v Hz, tilted %v: states %v of %d samples", name, rate, tilted, n, r.Trajectory.N)
				}
			}
		}
	}
}

// What is taken from knots beside differs from what is sought at every sample
// by less than 0.8 % of the weight, and torques by as much of what the servo has
// at rest; at the rates of the window, of the review and above.
func TestKnotsAreNearEnough(t *testing.T) {
	for name := range demos() {
		for _, rate := range []float64{100, 500, 1000} {
			r := played(t, name, rate, false)
			l := r.Loads
			exact := load.New(&r.Built.Robot).Run(r.Trajectory, load.Options{Every: 1e-9})
			if exact.Solved != l.N || l.Solved > l.N/2 || rate == 1000 && l.Solved > l.N/8 {
				t.Errorf("%s at %v Hz: forces sought at %d samples, and where they should be everywhere at %d, of %d",
					name, rate, l.Solved, exact.Solved, l.N)
			}
			weight := l.Mass * g
			force, torque := 0.0, 0.0
			for k := range l.N {
				for i := range l.Legs {
					force = max(force, r3.Norm(r3.Sub(l.ForceAt(k, i), exact.ForceAt(k, i)))/weight)
				}
				for o := range l.Lines {
					i := k*len(l.Lines) + o
					torque = max(torque, math.Abs(l.Torque[i]-exact.Torque[i])/l.Lines[o].Stall)
				}
			}
			t.Logf("%s at %v Hz: %d of %d sought; %.2f %% of the weight, %.2f %% of the torque at rest", name, rate, l.Solved, l.N, 100*force, 100*torque)
			if !(force < 0.008 && torque < 0.008) {
				t.Errorf("%s at %v Hz: forces differ by %v of the weight, torques by %v of those at rest", name, rate, force, torque)
			}
		}
	}
}

// The margin in motion tends to that at rest as the motion is slowed down:
// what separates them falls with the square of the speed, and is no more than
// the way from the centre of mass to the zero-moment point.
func TestSlowDemosTendToStatic(t *testing.T) {
	for name := range demos() {
		r := played(t, name, 200, false)
		robot := &r.Built.Robot
		e := load.New(robot)
		var before []float64
		for c := 1.0; c <= 16; c *= 2 {
			tr := mustSample(t, robot, slowed(r.Plan, c), 200/c)
			l := e.Run(tr, load.Options{})
			away := make([]float64, tr.N)
			checked := 0
			for k := range tr.N {
				p, ok := l.ZMPAt(k)
				if !ok {
					t.Fatalf("%s slowed %v times: no point at %v s", name, c, tr.Time(k))
				}
				away[k] = math.Hypot(p.X-tr.COM[3*k], p.Y-tr.COM[3*k+1])
				if d := math.Abs(l.Dynamic[k] - tr.Margin[k]); !(d <= away[k]+1e-12) {
					t.Fatalf("%s slowed %v times: margins differ by %v m, points by %v m", name, c, d, away[k])
				}
				if c == 1 || !(away[k] > 1e-9) {
					continue
				}
				checked++
				if ratio := before[k] / away[k]; c > 2 && !(ratio > 3.7 && ratio < 4.3) {
					t.Fatalf("%s slowed %v times: %v m at sample %d, %v m at twice the speed", name, c, away[k], k, before[k])
				}
			}
			if c > 1 && checked < tr.N/4 {
				t.Errorf("%s: only %d of %d compared", name, checked, tr.N)
			}
			before = away
		}
		most := 0.0
		for _, v := range before {
			most = max(most, v)
		}
		if !(most < 0.001) {
			t.Errorf("%s at a sixteenth of its speed: %v m between centre of mass and zero-moment point", name, most)
		}
	}
}
