// SPDX-License-Identifier: MIT

package load_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

var (
	table = []r3.Vec{{X: 0.15, Y: 0.10}, {X: 0.15, Y: -0.10}, {X: -0.15, Y: -0.10}, {X: -0.15, Y: 0.10}}
	six   = []r3.Vec{{X: 0.12, Y: 0.10}, {Y: 0.13}, {X: -0.12, Y: 0.10}, {X: -0.12, Y: -0.10}, {Y: -0.13}, {X: 0.12, Y: -0.10}}
)

// still gives the loads of a robot of 2 kg at rest on feet, those of some legs
// lifted, its centre of mass at com over the ground, on a ground without
// friction: forces stand upright.
func still(t *testing.T, com r3.Vec, feet []r3.Vec, lifted ...int) (*kin.Robot, *motion.Trajectory, *load.Loads) {
	t.Helper()
	r := onFeet(2, r3.Vec{}, feet...)
	com.Z -= height(r)
	r.Body.COM = com
	r.Friction = 0
	r.Supply = kin.Supply{Voltage: 7.4, Resistance: 0.05}
	if err := r.Check(); err != nil {
		t.Fatal(err)
	}
	p := standing(r, 0.2)
	for _, i := range lifted {
		lift(p, i)
	}
	tr := mustSample(t, r, p, 100)
	l := load.New(r).Run(tr, load.Options{})
	verify(t, r, tr, l)
	return r, tr, l
}

// Forces on three feet are the weight's barycentric coordinates; on four and
// six they may differ from the least squares only by what keeps sum and
// moments. The numbers by SciPy (SLSQP) and an exact active set.
func TestStandingForces(t *testing.T) {
	for _, c := range []struct {
		name   string
		feet   []r3.Vec
		lifted []int
		com    r3.Vec
		least  []float64 // sum of squares, N
	}{
		{"tripod", six, []int{1, 3, 5}, r3.Vec{}, []float64{5.542889130434782, 0, 5.542889130434782, 0, 8.527521739130433, 0}},
		{"tripod", six, []int{1, 3, 5}, r3.Vec{X: 0.06}, []float64{10.44621413043478, 0, 0.639564130434783, 0, 8.527521739130433, 0}},
		{"table", table, nil, r3.Vec{}, []float64{4.903325, 4.903325, 4.903325, 4.903325}},
		{"table", table, nil, r3.Vec{X: 0.05, Y: 0.02}, []float64{7.518431666666666, 5.557101666666666, 2.2882183333333335, 4.249548333333333}},
		{"table", table, nil, r3.Vec{X: 0.10, Y: 0.05}, []float64{11.441091666666667, 4.903325, 0, 3.268883333333335}},
		{"table", table, nil, r3.Vec{X: 0.14, Y: 0.09}, []float64{17.97885833333333, 0.980665, 0, 0.6537766666666656}},
		{"hexapod", six, nil, r3.Vec{}, []float64{3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333}},
		{"hexapod", six, nil, r3.Vec{X: 0.03, Y: 0.02}, []float64{5.026240328590785, 3.9598668021680217, 2.574577828590786, 1.511526338075881, 2.5778998644986446, 3.9631888380758804}},
		{"hexapod", six, nil, r3.Vec{X: 0.11, Y: 0.05}, []float64{12.830367083333332, 1.6344416666666661, 0, 0, 0, 5.148491249999999}},
	} {
		com := c.com
		com.Z = 0.1
		r, tr, l := still(t, com, c.feet, c.lifted...)
		for k := range tr.N {
			if l.State[k] != load.Carried {
				t.Fatalf("%s, centre %v: %v", c.name, com, l.State[k])
			}
			var sum, x, y float64
			for i, want := range c.least {
				f := l.ForceAt(k, i)
				d := f.Z - want
				sum, x, y = sum+d, x+d*c.feet[i].X, y+d*c.feet[i].Y
				if math.Hypot(f.X, f.Y) > 1e-7 || f.Z < -1e-7 || len(c.lifted) > 0 && math.Abs(d) > 1e-7 {
					t.Errorf("%s, centre %v, foot %d: %v N, want %v N", c.name, com, i, f, want)
				}
				for j := range kin.Joints {
					// The lifted leg has no weight.
					if got := l.Torque[(k*tr.Legs+i)*3+j]; math.Abs(got+f.Z*pushed[j]) > 1e-7 {
						t.Errorf("%s, leg %d, joint %d: %v N·m, want %v", c.name, i, j, got, -f.Z*pushed[j])
					}
				}
			}
			if math.Abs(sum) > 1e-7 || math.Abs(x) > 1e-8 || math.Abs(y) > 1e-8 {
				t.Errorf("%s, centre %v: forces differ from the table by %v N, %v and %v N·m", c.name, com, sum, x, y)
			}
			if p, ok := l.ZMPAt(k); !ok || math.Hypot(p.X-com.X, p.Y-com.Y) > 1e-12 || math.Abs(l.Dynamic[k]-tr.Margin[k]) > 1e-12 {
				t.Errorf("%s: zero-moment point %v at rest with the centre at %v", c.name, p, com)
			}
		}
		_ = r
	}
}

// The whole way, from a robot of 2 kg to a servo: on the tripod its middle foot
// carries 8.5275 N and its femur servo 0.61407 N·m. And what it draws, by hand
// from the straight line of the textbook motor: 18 servos idle at 0.1 A, and
// 2.3 A more at 2 N·m; 19.6133 N come with 0.0720099 and 0.0156283 N·m each.
func TestStandingTorqueAndCurrent(t *testing.T) {
	_, tr, l := still(t, r3.Vec{Z: 0.1}, six, 1, 3, 5)
	const middle = 4
	want := [kin.Joints]float64{0, -0.6140659300124989, -0.13327097490136194}
	for k := range tr.N {
		if f := l.ForceAt(k, middle).Z; math.Abs(f-8.527521739130433) > 1e-7 {
			t.Errorf("middle foot carries %v N", f)
		}
		for j, v := range want {
			if got := l.Torque[(k*6+middle)*3+j]; math.Abs(got-v) > 1e-8 {
				t.Errorf("joint %d: %v N·m, want %v", j, got, v)
			}
		}
		current := 18*0.1 + 19.6133*(0.07200989323717823+0.015628335990023733)/2*2.3 // 3.7767 A
		if math.Abs(l.Current[k]-current) > 1e-7 || math.Abs(l.Voltage[k]-(7.4-0.05*current)) > 1e-8 {
			t.Errorf("%v A at %v V, want %v A", l.Current[k], l.Voltage[k], current)
		}
		if line := l.LineAt(k, 0); math.Abs(line.Stall-2*l.Voltage[k]/7.4) > 1e-12 {
			t.Errorf("%v N·m left at rest", line.Stall)
		}
	}
	for o, v := range l.RMS {
		if want := math.Abs(l.Torque[o]); math.Abs(v-want) > 1e-7 {
			t.Errorf("joint %d: root mean square %v at rest with %v N·m", o, v, want)
		}
	}
	if l.Known != tr.N {
		t.Errorf("%d samples known", l.Known)
	}
}

// Outside the tripod nothing carries: no numbers, and the state says why.
func TestTipsOutsideTripod(t *testing.T) {
	_, tr, l := still(t, r3.Vec{X: 0.07, Z: 0.1}, six, 1, 3, 5)
	for k := range tr.N {
		if l.State[k] != load.Pulled || !math.IsNaN(l.ForceAt(k, 0).Z) || !(l.Dynamic[k] < 0) {
			t.Fatalf("%v with force %v, margin %v", l.State[k], l.ForceAt(k, 0), l.Dynamic[k])
		}
	}
	if l.Known != 0 || !math.IsNaN(l.RMS[0]) {
		t.Errorf("%d samples known, root mean square %v", l.Known, l.RMS[0])
	}
	if _, ok := l.LeastFriction(0); ok {
		t.Error("friction holds it down")
	}
}

// Normalised energy stability margin of a rectangle: √(d² + H²) - H, exact
// arithmetic (Messuri and Klein 1985, Hirose and others 1998, from memory).
func TestStandingEnergyMargin(t *testing.T) {
	for _, c := range []struct {
		com  r3.Vec
		want float64
	}{
		{r3.Vec{Z: 0.10}, 0.0414213562373095},
		{r3.Vec{Z: 0.05}, 0.06180339887498949},
		{r3.Vec{X: 0.05, Y: 0.02, Z: 0.10}, 0.02806248474865697},
		{r3.Vec{X: 0.10, Z: 0.12}, 0.01},
	} {
		_, tr, l := still(t, c.com, table)
		for k := range tr.N {
			if math.Abs(l.Energy[k]-c.want) > 1e-13 {
				t.Errorf("%v: %v m, want %v m", c.com, l.Energy[k], c.want)
			}
		}
	}
}

// A robot stands on a slope as long as the coefficient of friction is at least
// the slope's tangent (Coulomb; textbook).
func TestSlope(t *testing.T) {
	const slope = 0.2 // rad
	for _, c := range []struct {
		mu   float64
		want load.State
	}{{0.99 * math.Tan(slope), load.Slipping}, {1.01 * math.Tan(slope), load.Carried}} {
		r := onFeet(2, r3.Vec{}, table...)
		r.Friction = c.mu
		p := standing(r, 0.3)
		p.RWG = kin.RPY(0.6*slope, 0, 0)
		turn := kin.RPY(0, 0, 0.7)
		back := kin.RPY(0, 0, -0.7)
		p.RWG = turn.Dot(kin.RPY(slope, 0, 0)).Dot(back)
		tr := mustSample(t, r, p, 100)
		l := load.New(r).Run(tr, load.Options{})
		verify(t, r, tr, l)
		for k := range tr.N {
			mu, ok := l.LeastFriction(k)
			if l.State[k] != c.want || !ok || math.Abs(mu-math.Tan(slope)) > 1e-6 {
				t.Fatalf("friction %v: %v, least %v %v", c.mu, l.State[k], mu, ok)
			}
		}
	}
}
