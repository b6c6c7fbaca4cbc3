// SPDX-License-Identifier: MIT

package contact

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// verify checks what holds for every answer: forces in balance, inside the
// cones, and of the load given; no forces without balance.
func verify(t interface {
	Helper()
	Errorf(string, ...any)
}, p *Problem, feet []Foot, force []r3.Vec, load float64, st Status) {
	t.Helper()
	switch st {
	case NeedsPull, NeedsFriction, Undefined:
		for i, f := range force {
			if f != (r3.Vec{}) {
				t.Errorf("%v, but foot %d gets %v", st, i, f)
			}
		}
		if st == Undefined != math.IsNaN(load) || st != Undefined && !math.IsInf(load, 1) {
			t.Errorf("%v with load %v", st, load)
		}
		return
	}
	var c r3.Vec
	for i := range feet {
		c = r3.Add(c, r3.Scale(1/float64(len(feet)), feet[i].P))
	}
	spread := 1e-3 * r3.Norm(r3.Sub(p.Point, c))
	for i := range feet {
		spread = max(spread, r3.Norm(r3.Sub(feet[i].P, c)))
	}
	if spread == 0 {
		spread = 1
	}
	m := r3.Add(p.Moment, r3.Cross(r3.Sub(p.Point, c), p.Force))
	size := r3.Norm(p.Force) + r3.Norm(m)/spread
	lackF, lackM := p.Force, m
	most := 0.0
	for i, f := range force {
		lackF = r3.Sub(lackF, f)
		lackM = r3.Sub(lackM, r3.Cross(r3.Sub(feet[i].P, c), f))
		n := r3.Dot(f, p.Normal)
		tangent := r3.Norm(r3.Sub(f, r3.Scale(n, p.Normal)))
		if !(n >= -1.1e-9*size && tangent <= p.Friction*(n+1.1e-9*size)+1e-14*size) {
			t.Errorf("foot %d: %v with friction %v leaves its cone by %g", i, f, p.Friction, tangent-p.Friction*n)
		}
		for j := range kin.Joints {
			torque := feet[i].Free[j] - r3.Dot(r3.Vec{X: feet[i].JT[3*j], Y: feet[i].JT[3*j+1], Z: feet[i].JT[3*j+2]}, f)
			most = max(most, math.Abs(torque)/feet[i].Limit[j])
		}
	}
	if l := r3.Norm(lackF) + r3.Norm(lackM)/spread; !(l <= 1.5e-9*max(size, 1)) {
		t.Errorf("balance lacks %g of %g", l, size)
	}
	if !(math.Abs(most-load) <= 1e-9*most) {
		t.Errorf("load %v, want %v", load, most)
	}
	if load > 1+2e-6 && st == Balanced || load < 1 && st == Overloaded {
		t.Errorf("%v with load %v", st, load)
	}
}

const weight = 19.6133 // 2 kg, N

var (
	table = []r3.Vec{{X: 0.15, Y: 0.10}, {X: 0.15, Y: -0.10}, {X: -0.15, Y: -0.10}, {X: -0.15, Y: 0.10}}
	three = []r3.Vec{{X: 0.12, Y: 0.10}, {Y: -0.13}, {X: -0.12, Y: 0.10}}
	six   = []r3.Vec{{X: 0.12, Y: 0.10}, {Y: 0.13}, {X: -0.12, Y: 0.10}, {X: -0.12, Y: -0.10}, {Y: -0.13}, {X: 0.12, Y: -0.10}}
)

// stand gives feet at places whose third joint holds the vertical force at
// 0.1 m, and the demand of a weight above at.
func stand(places []r3.Vec, at r3.Vec, limit, friction float64) (*Problem, []Foot) {
	var feet []Foot
	for _, p := range places {
		f := Foot{P: p, Limit: [kin.Joints]float64{limit, limit, limit}}
		f.JT[8] = 0.1
		feet = append(feet, f)
	}
	return &Problem{Force: r3.Vec{Z: weight}, Point: at, Normal: r3.Vec{Z: 1}, Friction: friction}, feet
}

// Vertical forces (no friction) of minimum norm under non-negativity, by SciPy
// and an exact active-set solver, after the problem in Klein and
// Kittivatcharapong, IEEE Trans. Robotics and Automation 6(1), 1990, 73-85.
// The rows below are those where the least largest force is the same: unique
// balance, or all alike, or only one choice that does not pull.
func TestVerticalForces(t *testing.T) {
	for _, c := range []struct {
		name   string
		places []r3.Vec
		at     r3.Vec
		want   []float64
		st     Status
	}{
		{"table", table, r3.Vec{}, []float64{4.903325, 4.903325, 4.903325, 4.903325}, Balanced},
		{"table", table, r3.Vec{X: 0.10, Y: 0.05}, []float64{11.441091666666667, 4.903325, 0, 3.268883333333335}, Balanced},
		{"table", table, r3.Vec{X: 0.14, Y: 0.09}, []float64{17.97885833333333, 0.980665, 0, 0.6537766666666656}, Balanced},
		{"tripod", three, r3.Vec{}, []float64{5.542889130434782, 8.527521739130433, 5.542889130434782}, Balanced},
		{"tripod", three, r3.Vec{X: 0.06}, []float64{10.44621413043478, 8.527521739130433, 0.639564130434783}, Balanced},
		{"tripod, outside", three, r3.Vec{X: 0.07}, nil, NeedsPull},
		{"hexapod", six, r3.Vec{}, []float64{3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333}, Balanced},
		// By hand: the minimum-norm forces 7.518, 5.557, 2.288, 4.250 plus
		// (-1, 1, -1, 1) times half the difference of the first two.
		{"table", table, r3.Vec{X: 0.05, Y: 0.02}, []float64{6.537766666666666, 6.537766666666666, 1.3075533333333335, 5.230213333333333}, Balanced},
		// By hand: on an edge, and on a corner.
		{"table, edge", table, r3.Vec{X: 0.15}, []float64{weight / 2, weight / 2, 0, 0}, Balanced},
		{"table, corner", table, r3.Vec{X: 0.15, Y: 0.10}, []float64{weight, 0, 0, 0}, Balanced},
		{"tripod, edge", three, r3.Vec{X: 0.03, Y: 0.10}, []float64{weight * 5 / 8, 0, weight * 3 / 8}, Balanced},
		{"table, off the edge", table, r3.Vec{X: 0.15 + 1e-7}, nil, NeedsPull},
		{"two feet", table[:2], r3.Vec{X: 0.15, Y: 0.05}, []float64{weight * 0.75, weight * 0.25}, Balanced},
		{"two feet", table[:2], r3.Vec{X: 0.14}, nil, NeedsPull},
		{"two feet, beyond", table[:2], r3.Vec{X: 0.15, Y: 0.11}, nil, NeedsPull},
		{"one foot", table[:1], r3.Vec{X: 0.15, Y: 0.10}, []float64{weight}, Balanced},
		{"one foot", table[:1], r3.Vec{X: 0.15, Y: 0.11}, nil, NeedsPull},
		{"in a line", []r3.Vec{{X: -0.1}, {}, {X: 0.1}}, r3.Vec{}, []float64{weight / 3, weight / 3, weight / 3}, Balanced},
		{"in a line", []r3.Vec{{X: -0.1}, {}, {X: 0.1}}, r3.Vec{Y: 1e-6}, nil, NeedsPull},
		{"in one place", []r3.Vec{{X: 0.1}, {X: 0.1}}, r3.Vec{X: 0.1}, []float64{weight / 2, weight / 2}, Balanced},
	} {
		// Counted joints and, with infinite limits, the normal forces.
		for _, limit := range []float64{10, math.Inf(1)} {
			var s Solver
			p, feet := stand(c.places, c.at, limit, 0)
			force := make([]r3.Vec, len(feet))
			load, st := s.Solve(p, feet, force)
			verify(t, p, feet, force, load, st)
			if st != c.st {
				t.Errorf("%s at %v: %v, want %v", c.name, c.at, st, c.st)
				continue
			}
			if st != Balanced {
				continue
			}
			most := 0.0
			for i, want := range c.want {
				most = max(most, want)
				if !(math.Abs(force[i].Z-want) <= 2e-6*weight) || force[i].X != 0 || force[i].Y != 0 {
					t.Errorf("%s at %v, limit %v: foot %d gets %v, want %v", c.name, c.at, limit, i, force[i], want)
				}
			}
			if want := 0.1 * most / limit; !(math.Abs(load-want) <= 1e-6*want) {
				t.Errorf("%s at %v: load %v, want %v", c.name, c.at, load, want)
			}
			// With friction the same stances stand, and the others fall.
			p.Friction = 0.5
			again, st := s.Solve(p, feet, force)
			verify(t, p, feet, force, again, st)
			if st != c.st || again > load*(1+1e-6) {
				t.Errorf("%s at %v with friction: %v, load %v after %v", c.name, c.at, st, again, load)
			}
		}
	}
}

// Half-angles of friction cones, atan of the coefficient (Coulomb's cone as in
// Or and Rimon, technical report, 2014, eq. 2): a slope is held up to there.
func TestSlope(t *testing.T) {
	for _, c := range []struct{ mu, degrees float64 }{
		{0.3, 16.69924423399362},
		{0.5, 26.56505117707799},
		{0.6, 30.96375653207352},
		{0.8, 38.659808254090095},
		{1.0, 45},
	} {
		var s Solver
		for _, off := range []float64{-1e-5, 1e-5} {
			slope := c.degrees*math.Pi/180 + off
			turn := kin.RPY(0, slope, 0)
			var feet []Foot
			for _, p := range table {
				f := Foot{P: turn.Mul(p), Limit: [kin.Joints]float64{1, 1, 1}}
				f.JT[8], f.JT[0] = 0.1, 0.05
				feet = append(feet, f)
			}
			p := &Problem{Force: r3.Vec{Z: weight}, Point: turn.Mul(r3.Vec{Z: 0.05}), Normal: turn.Mul(r3.Vec{Z: 1}), Friction: c.mu}
			force := make([]r3.Vec, len(feet))
			load, st := s.Solve(p, feet, force)
			verify(t, p, feet, force, load, st)
			if want := [2]Status{Balanced, NeedsFriction}; st != want[0] && off < 0 || st != want[1] && off > 0 {
				t.Errorf("friction %v, slope %v: %v", c.mu, slope, st)
			}
			if mu, ok := s.LeastFriction(p, feet); !ok || math.Abs(mu-math.Tan(slope)) > 2e-6*mu {
				t.Errorf("slope %v: least friction %v %v, want %v", slope, mu, ok, math.Tan(slope))
			}
		}
	}
}

// Four feet on a circle pushed in or out against knees (by hand): a joint
// bears a·n - h·t with |t| <= mu·n, so at best (a-h·mu)·W/4; and a turning
// moment M takes mu = M/(W·r).
func TestConesInClosedForm(t *testing.T) {
	const a, h, r = 0.08, 0.05, 0.2
	var feet []Foot
	for i := range 4 {
		s, c := math.Sincos(math.Pi/4 + float64(i)*math.Pi/2)
		f := Foot{P: r3.Vec{X: r * c, Y: r * s}, Limit: [kin.Joints]float64{math.Inf(1), math.Inf(1), 0.5}}
		f.JT[6], f.JT[7], f.JT[8] = h*c, h*s, a
		feet = append(feet, f)
	}
	force := make([]r3.Vec, 4)
	var s Solver
	for _, mu := range []float64{0, 0.2, 0.6, 1, 1.5, 1.6, 2, 50} {
		p := &Problem{Force: r3.Vec{Z: weight}, Normal: r3.Vec{Z: 1}, Friction: mu}
		load, st := s.Solve(p, feet, force)
		verify(t, p, feet, force, load, st)
		if want := max(0, a-h*mu) * weight / 4 / 0.5; st != Balanced || !(math.Abs(load-want) <= 1e-6*want+1e-8) {
			t.Errorf("friction %v: load %v %v, want %v", mu, load, st, want)
		}
	}
	p := &Problem{Force: r3.Vec{Z: weight}, Moment: r3.Vec{Z: 0.9}, Normal: r3.Vec{Z: 1}}
	want := 0.9 / (weight * r)
	if mu, ok := s.LeastFriction(p, feet); !ok || math.Abs(mu-want) > 2e-6*want {
		t.Errorf("turning: least friction %v %v, want %v", mu, ok, want)
	}
	p.Friction = want * (1 - 1e-6)
	if _, st := s.Solve(p, feet, force); st != NeedsFriction {
		t.Errorf("turning with too little friction: %v", st)
	}
	p.Friction = want * (1 + 1e-6)
	if _, st := s.Solve(p, feet, force); st != Balanced {
		t.Errorf("turning with enough friction: %v", st)
	}
}

func TestDegenerate(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		name   string
		change func(p *Problem, feet []Foot)
		want   Status
	}{
		{"as it is", func(*Problem, []Foot) {}, Balanced},
		{"free fall", func(p *Problem, _ []Foot) { p.Force = r3.Vec{} }, Balanced},
		{"free fall but for rounding", func(p *Problem, _ []Foot) { p.Force = r3.Vec{X: 1e-15, Z: -1e-15} }, Balanced},
		{"only a moment", func(p *Problem, _ []Foot) { p.Force, p.Moment = r3.Vec{}, r3.Vec{X: 1} }, NeedsPull},
		{"only turning", func(p *Problem, _ []Foot) { p.Force, p.Moment = r3.Vec{}, r3.Vec{Z: 1} }, NeedsPull},
		{"into the ground", func(p *Problem, _ []Foot) { p.Force.Z = -1 }, NeedsPull},
		{"sideways", func(p *Problem, _ []Foot) { p.Force = r3.Vec{X: 1} }, NeedsPull},
		{"no friction, pushed", func(p *Problem, _ []Foot) { p.Force.X, p.Friction = 0.1, 0 }, NeedsFriction},
		{"no friction", func(p *Problem, _ []Foot) { p.Friction = 0 }, Balanced},
		{"hardly any friction", func(p *Problem, _ []Foot) { p.Friction = 1e-12 }, Balanced},
		{"huge friction", func(p *Problem, _ []Foot) { p.Friction = 1e200 }, Balanced},
		{"dull feet", func(_ *Problem, feet []Foot) {
			for i := range feet {
				feet[i].JT = [9]float64{}
			}
		}, Balanced},
		{"one dull foot", func(_ *Problem, feet []Foot) { feet[0].JT = [9]float64{} }, Balanced},
		{"huge limits", func(_ *Problem, feet []Foot) {
			for i := range feet {
				feet[i].Limit = [kin.Joints]float64{1e300, 1e300, 1e300}
			}
		}, Balanced},
		{"tiny limits", func(_ *Problem, feet []Foot) {
			for i := range feet {
				feet[i].Limit = [kin.Joints]float64{1e-12, 1e-12, 1e-12}
			}
		}, Overloaded},
		{"one small limit", func(_ *Problem, feet []Foot) { feet[0].Limit[2] = 1e-3 }, Balanced},
		{"loaded without the ground", func(_ *Problem, feet []Foot) { feet[1].Free[0] = 40 }, Overloaded},
		{"limit 0", func(_ *Problem, feet []Foot) { feet[1].Limit[1] = 0 }, Undefined},
		{"limit NaN", func(_ *Problem, feet []Foot) { feet[1].Limit[1] = nan }, Undefined},
		{"torque infinite", func(_ *Problem, feet []Foot) { feet[1].Free[1] = inf }, Undefined},
		{"Jacobian NaN", func(_ *Problem, feet []Foot) { feet[1].JT[1] = nan }, Undefined},
		{"foot infinite", func(_ *Problem, feet []Foot) { feet[1].P.X = inf }, Undefined},
		{"force NaN", func(p *Problem, _ []Foot) { p.Force.X = nan }, Undefined},
		{"moment infinite", func(p *Problem, _ []Foot) { p.Moment.Y = -inf }, Undefined},
		{"friction negative", func(p *Problem, _ []Foot) { p.Friction = -0.1 }, Undefined},
		{"friction infinite", func(p *Problem, _ []Foot) { p.Friction = inf }, Undefined},
		{"normal not unit", func(p *Problem, _ []Foot) { p.Normal.Z = 2 }, Undefined},
	} {
		var s Solver
		p, feet := stand(table, r3.Vec{}, 10, 0.5)
		c.change(p, feet)
		force := make([]r3.Vec, len(feet))
		load, st := s.Solve(p, feet, force)
		verify(t, p, feet, force, load, st)
		if st != c.want {
			t.Errorf("%s: %v with load %v, want %v", c.name, st, load, c.want)
		}
	}
	var s Solver
	if load, st := s.Solve(&Problem{}, nil, nil); st != Undefined || !math.IsNaN(load) {
		t.Errorf("no feet: %v %v", load, st)
	}
}

// Feet on steps of a millimetre do not carry a weight that lies outside by
// wedging, but do within it.
func TestUneven(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want Status
	}{{0, Balanced}, {0.14, Balanced}, {0.17, NeedsPull}} {
		p, feet := stand(table, r3.Vec{X: c.x, Z: 0.08}, 10, 0.6)
		for i := range feet {
			feet[i].P.Z = 0.001 * float64(i%3)
		}
		var s Solver
		force := make([]r3.Vec, len(feet))
		load, st := s.Solve(p, feet, force)
		verify(t, p, feet, force, load, st)
		if st != c.want {
			t.Errorf("at %v: %v, want %v", c.x, st, c.want)
		}
	}
}
