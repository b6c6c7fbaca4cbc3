// SPDX-License-Identifier: MIT

package load_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

// landing lets the first foot of r come down on path in some seconds, and
// stand.
func landing(t *testing.T, r *kin.Robot, down curve.Bezier, seconds, contact float64) (*motion.Trajectory, []load.Blow) {
	t.Helper()
	p := standing(r, 2*seconds)
	c := p.Feet[0]
	c[0].Hold, c[0].To = motion.OverGround, seconds
	c[0].Span = curve.Span{Path: down}
	end := c[0]
	end.From, end.To, end.Hold = seconds, 2*seconds, motion.Planted
	end.Span = curve.Span{Path: curve.Line(down.P3, down.P3)}
	p.Feet[0] = append(c, end)
	tr := mustSample(t, r, p, 500)
	return tr, load.New(r).Run(tr, load.Options{Contact: contact}).Blows
}

// rods makes every link of the first leg a slender rod: 40, 50 and 30 g.
func rods(r *kin.Robot) *kin.Robot {
	l := &r.Legs[0]
	for j, m := range []float64{0.04, 0.05, 0.03} {
		l.Links[j] = kin.Link{Mass: m, COM: r3.Vec{X: l.Length[j] / 2}, Inertia: kin.Rod(m, l.Length[j], 0)}
	}
	return r
}

// The leg of slender rods shows its foot's 0.0414777 kg upwards in the bent
// pose (KDL 1.5.1: J, M), whatever its coxa angle; impulse and momentum make
// it a mean force, J's lowest row torques.
func TestLandingSpeedForceTorque(t *testing.T) {
	const mass = 0.04147771313593871 // kg
	for _, speed := range []float64{0.1, 0.5, 1} {
		for _, contact := range []float64{0, 0.005} {
			r := rods(onFeet(2, r3.Vec{}, six...))
			s := r.Legs[0].Stand
			_, b := landing(t, r, curve.Line(r3.Add(s, r3.Vec{Z: 0.02}), s), 0.02/speed, contact)
			if len(b) != 1 {
				t.Fatalf("%d blows", len(b))
			}
			rest := contact
			if rest == 0 {
				rest = 0.010
			}
			force := mass * speed / rest
			if math.Abs(b[0].Speed-speed) > 1e-9 || math.Abs(b[0].Free-mass) > 1e-12 || math.Abs(b[0].FreeForce-force) > 1e-9*force {
				t.Errorf("at %v m/s: %+v, want %v kg, %v N", speed, b[0], mass, force)
			}
			for j, arm := range pushed {
				if got := b[0].FreeTorque[j]; math.Abs(got-arm*force) > 1e-9*force {
					t.Errorf("at %v m/s, joint %d: %v N·m, want %v", speed, j, got, arm*force)
				}
				if got, want := b[0].LockedTorque[j], arm*b[0].LockedForce; math.Abs(got-want) > 1e-9*force {
					t.Errorf("at %v m/s, joint %d, stiff: %v N·m, want %v", speed, j, got, want)
				}
			}
			if got := b[0].LockedForce * rest; math.Abs(got-b[0].Locked*speed) > 1e-12 || !(b[0].Locked > b[0].Free) {
				t.Errorf("a stiff robot of %v kg at %v m/s leaves %v N·s", b[0].Locked, speed, got)
			}
		}
	}
}

// The same leg at 0°, 30°, -100° shows 0.0317117 kg; the mean forces over 5 ms
// by hand.
func TestLandingTable(t *testing.T) {
	for speed, want := range map[float64]float64{0.1: 0.6342330337340270, 0.5: 3.171165168670135, 1: 6.342330337340270} {
		r := rods(onFeet(2, r3.Vec{}, six...))
		l := &r.Legs[0]
		x := l.XBH()
		s := x.At(l.Forward([kin.Joints]float64{0, 30 * math.Pi / 180, -100 * math.Pi / 180}))
		s.Z += height(r)
		_, b := landing(t, r, curve.Line(r3.Add(s, r3.Vec{Z: 0.01}), s), 0.01/speed, 0.005)
		if len(b) != 1 || math.Abs(b[0].FreeForce-want) > 1e-9 {
			t.Errorf("at %v m/s: %+v, want %v N", speed, b, want)
		}
	}
}

// A foot that falls from h meets the ground with √(2gh); numbers by hand.
func TestDroppedFoot(t *testing.T) {
	for h, want := range map[float64]float64{0.005: 0.31315571206669696, 0.010: 0.44286905513932673, 0.020: 0.6263114241333939} {
		r := rods(onFeet(2, r3.Vec{}, six...))
		s := r.Legs[0].Stand
		up := func(z float64) r3.Vec { return r3.Add(s, r3.Vec{Z: z}) }
		_, b := landing(t, r, curve.Bezier{P0: up(h), P1: up(h), P2: up(2 * h / 3), P3: s}, math.Sqrt(2*h/g), 0)
		if len(b) != 1 || math.Abs(b[0].Speed-want) > 1e-9 {
			t.Errorf("from %v m: %+v, want %v m/s", h, b, want)
		}
	}
}

// A stiff box of 2 kg, 0.3 by 0.2 by 0.05 m, struck from below 0.12 and 0.10 m
// beside its centre, shows 1/(1/m + (r×n)ᵀ·I⁻¹·(r×n)) (rigid-body impact,
// textbook). The leg is a tenth of a milligram.
func TestStiffRobotStrikes(t *testing.T) {
	feet := append([]r3.Vec{}, six...)
	r := onFeet(2, r3.Vec{}, feet...)
	l := &r.Legs[0]
	for j := range kin.Joints {
		l.Links[j] = kin.Link{Mass: 1e-7, COM: r3.Vec{X: l.Length[j] / 2}, Inertia: kin.Rod(1e-7, l.Length[j], 0.001)}
	}
	s := l.Stand // 0.12, 0.10
	_, b := landing(t, r, curve.Line(r3.Add(s, r3.Vec{Z: 0.01}), s), 0.1, 0)
	if len(b) != 1 || math.Abs(b[0].Locked-0.35139272186902937) > 1e-6 || !(b[0].Free < 1e-6) {
		t.Errorf("%+v, want 0.351393 kg", b)
	}
}

// A foot that rises, or sets off, gives no blow; nor one whose leg misses it.
func TestNoBlow(t *testing.T) {
	r := rods(onFeet(2, r3.Vec{}, six...))
	s := r.Legs[0].Stand
	if _, b := landing(t, r, curve.Line(r3.Sub(s, r3.Vec{Z: 0.01}), s), 0.1, 0); len(b) != 0 {
		t.Errorf("from below: %+v", b)
	}
	far := r3.Add(s, r3.Vec{Y: 0.5})
	if _, b := landing(t, r, curve.Line(r3.Add(far, r3.Vec{Z: 0.01}), far), 0.1, 0); len(b) != 0 {
		t.Errorf("out of reach: %+v", b)
	}
}
