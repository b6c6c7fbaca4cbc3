// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

// moved shifts the body's whole path.
func moved(p *motion.Plan, by r3.Vec) {
	for n := range p.Body {
		b := &p.Body[n].Shift.Path
		for _, v := range []*r3.Vec{&b.P0, &b.P1, &b.P2, &b.P3} {
			*v = r3.Add(*v, by)
		}
	}
}

// At the told share of its speed, or with the body where it is told, the
// zero-moment point stays inside.
func TestAsToldMendsTipsFast(t *testing.T) {
	r := sixLegged()
	for _, far := range []float64{0.012, 0.02} {
		p := clean(r)
		throw(p, far, 0.1)
		found := of(judge(r, mustSample(t, r, p, rate), Defaults()), "tips-fast")
		if len(found) != 1 {
			t.Fatalf("got %+v", found)
		}
		mend := found[0].Mend
		s := number(t, mend, "run this entry at")
		for factor, want := range map[float64]bool{1: false, 1.1: true} {
			slow := slowed(t, r, p, rate, s*factor)
			if f := of(judge(r, slow, Defaults()), "tips-fast"); len(f) > 0 != want {
				t.Errorf("at %v of its speed: %+v", s*factor, f)
			}
		}
		by := told(t, mend)
		if far == 0.02 { // the raised front feet would not reach
			if by != (r3.Vec{}) {
				t.Errorf("%q", mend)
			}
			continue
		}
		if by.X > -0.005 || by.Y != 0 || by.Z != 0 {
			t.Errorf("%q", mend)
		}
		for factor, want := range map[float64]bool{1: false, 0.8: true} {
			p := clean(r)
			throw(p, far, 0.1)
			moved(p, r3.Scale(factor, by))
			if f := of(judge(r, mustSample(t, r, p, rate), Defaults()), "tips-fast"); len(f) > 0 != want {
				t.Errorf("shifted by %v: %+v", r3.Scale(factor, by), f)
			}
		}
	}
}

// A robot that tips at rest is not told to tip in motion at the same instants.
func TestTippingIsToldOnce(t *testing.T) {
	r := sixLegged()
	p := clean(r)
	throw(p, 0.02, 0.1)
	moved(p, r3.Vec{X: 0.06})
	tr := mustSample(t, r, p, rate)
	l := Defaults()
	d := loads(r, tr, l)
	worst := 0.0
	for k := range d.Dynamic {
		worst = min(worst, d.Dynamic[k])
	}
	found := Run(r, tr, d, l)
	if worst > -0.05 || len(of(found, "tips-slow")) == 0 {
		t.Fatalf("%v m, %+v", worst, found)
	}
	for _, f := range of(found, "tips-fast") {
		for k := tr.Index(f.From); k <= tr.Index(f.To); k++ {
			if tr.Margin[k] < 0 {
				t.Fatalf("again at %v s: %+v", tr.Time(k), f)
			}
		}
	}
}

// The mend names the friction that would do, and no less does.
func TestFrictionAsToldMends(t *testing.T) {
	r := sixLegged()
	r.Friction = 0.05
	p := clean(r)
	back := r3.Vec{X: -0.04}
	p.Body = append(p.Body[:2], body(3, 3.3, back, r3.Vec{}), body(3.3, 4, r3.Vec{}, r3.Vec{}))
	tr := mustSample(t, r, p, rate)
	most := 0.0
	for _, f := range of(judge(r, tr, Defaults()), "foot-slides") {
		if f.Limit != 0.05 || f.Value < f.Limit {
			t.Errorf("got %+v", f)
		}
		most = max(most, number(t, f.Mend, "a friction coefficient of"))
	}
	for mu, want := range map[float64]bool{most: false, most - 0.015: true} {
		r.Friction = mu
		if f := of(judge(r, tr, Defaults()), "foot-slides"); len(f) > 0 != want {
			t.Errorf("with %v: %+v", mu, f)
		}
	}
	// On level ground at rest the feet need none.
	r.Friction = 0
	if f := of(judge(r, mustSample(t, r, standing(r, 0.1), 100), Defaults()), "foot-slides"); len(f) != 0 {
		t.Errorf("at rest: %+v", f)
	}
	// On a slope of 0.2 rad they need tan(0.2), as any block does (textbook).
	for mu, want := range map[float64]bool{math.Tan(0.2) - 0.002: true, math.Tan(0.2) + 0.002: false} {
		r.Friction = mu
		p := standing(r, 0.1)
		p.RWG = kin.RPY(0.2, 0, 0)
		f := of(judge(r, mustSample(t, r, p, 100), Defaults()), "foot-slides")
		if len(f) > 0 != want || want && math.Abs(f[0].Value-math.Tan(0.2)) > 1e-5 {
			t.Errorf("on a slope with %v: %+v", mu, f)
		}
	}
}

func standing(r *kin.Robot, duration float64) *motion.Plan {
	p := &motion.Plan{Duration: duration, RWG: kin.Identity, Body: []motion.BodyPiece{body(0, duration, r3.Vec{}, r3.Vec{})}}
	for i := range r.Legs {
		p.Feet = append(p.Feet, []motion.FootPiece{planted(0, duration, stand(r, i))})
	}
	return p
}

// leap is a robot in the air: the legs do not move against the body, and the
// body goes along a parabola of any acceleration (exact as a cubic), from a
// start speed on.
func leap(r *kin.Robot, v, a r3.Vec, turn float64) *motion.Plan {
	const span = 0.2
	p0 := r3.Vec{Z: bodyHeight + 0.05}
	p3 := r3.Add(p0, r3.Add(r3.Scale(span, v), r3.Scale(span*span/2, a)))
	p1 := r3.Add(p0, r3.Scale(span/3, v))
	p2 := r3.Sub(p3, r3.Scale(span/3, r3.Add(v, r3.Scale(span, a))))
	p := &motion.Plan{Duration: span, RWG: kin.Identity, Parts: []motion.Part{{Name: "leap", To: span}}}
	p.Body = []motion.BodyPiece{{
		To:    span,
		Shift: curve.Span{Path: curve.Bezier{P0: p0, P1: p1, P2: p2, P3: p3}},
		Lean:  curve.Span{Path: curve.Line(r3.Vec{}, r3.Vec{Z: turn}), Timing: eased},
	}}
	for i := range r.Legs {
		s := stand(r, i)
		s.Z -= bodyHeight
		p.Feet = append(p.Feet, []motion.FootPiece{{To: span, Hold: motion.WithBody, Span: still(s)}})
	}
	return p
}

// A leap whose centre of mass falls freely is not airborne; one on a level
// path asks for the whole of gravity, and one that turns faster and faster for
// a moment.
func TestFreeFallIsNotAirborne(t *testing.T) {
	r := sixLegged()
	g := r3.Vec{Z: -r.Gravity}
	for _, c := range []struct {
		name string
		v, a r3.Vec
		turn float64
		want float64
		unit string
	}{
		{"free fall", r3.Vec{X: 0.3, Y: 0.1, Z: 0.8}, g, 0, 0, ""},
		{"just free enough", r3.Vec{X: 0.3}, r3.Vec{X: 0.49, Z: g.Z}, 0, 0, ""},
		{"pushed on", r3.Vec{X: 0.3}, r3.Vec{X: 0.51, Z: g.Z}, 0, 0.51, "m/s²"},
		{"level", r3.Vec{X: 0.3}, r3.Vec{}, 0, r.Gravity, "m/s²"},
		{"hardly turning", r3.Vec{}, g, 0.001, 0, ""},
		{"turning", r3.Vec{}, g, 0.5, math.NaN(), "mm"},
	} {
		found := judge(r, mustSample(t, r, leap(r, c.v, c.a, c.turn), rate), Defaults())
		f := of(found, "airborne")
		switch {
		case c.unit == "":
			if len(f) != 0 {
				t.Errorf("%s: %+v", c.name, f)
			}
			if s := of(found, "tips-fast"); len(s) != 0 {
				t.Errorf("%s: %+v", c.name, s)
			}
		case len(f) != 1 || f[0].Level != Stop || f[0].Unit != c.unit || math.Abs(f[0].Value-c.want) > 0.05*c.want || f[0].Value <= f[0].Limit:
			t.Errorf("%s: %+v", c.name, f)
		}
	}
}

// A whole jump: pushed off, in free fall, caught. Nothing is airborne, though
// the feet come down hard.
func TestAJumpFromTheGround(t *testing.T) {
	r := sixLegged()
	for i := range r.Legs {
		for j := range kin.Joints { // strong and fast, so that only the path is judged
			r.Legs[i].Servos[j] = kin.Servo{StallTorque: 20, NoLoadSpeed: 60, Mass: 0.05}
		}
	}
	const fly, push = 0.1, 0.1
	v := r.Gravity * fly / 2
	p := leap(r, r3.Vec{}, r3.Vec{}, 0)
	p.Duration = 2*push + fly
	p.Parts[0].To = p.Duration
	at := func(z float64) r3.Vec { return r3.Vec{Z: bodyHeight + z} }
	up := func(z0, v0, v1, z1, span float64) curve.Span {
		return curve.Span{Path: curve.Bezier{P0: at(z0), P1: at(z0 + v0*span/3), P2: at(z1 - v1*span/3), P3: at(z1)}}
	}
	p.Body = []motion.BodyPiece{
		{From: 0, To: push, Shift: up(-0.02, 0, v, 0, push)},
		{From: push, To: push + fly, Shift: up(0, v, -v, 0, fly)},
		{From: push + fly, To: 2*push + fly, Shift: up(0, -v, 0, -0.02, push)},
	}
	for i := range r.Legs {
		s := stand(r, i)
		b := s
		b.Z -= bodyHeight
		p.Feet[i] = []motion.FootPiece{
			planted(0, push, s), {From: push, To: push + fly, Hold: motion.WithBody, Span: still(b)}, planted(push+fly, p.Duration, s),
		}
	}
	tr := mustSample(t, r, p, 1000)
	found := judge(r, tr, Defaults())
	verify(t, r, tr, found)
	if f := of(found, "airborne"); len(f) != 0 {
		t.Errorf("got %+v", f)
	}
	for _, f := range of(found, "hard-landing") {
		if math.Abs(f.Value-v*1000) > 1e-6 {
			t.Errorf("comes down at %v mm/s, want %v: %+v", f.Value, v*1000, f)
		}
	}
	if n := len(of(found, "hard-landing")); n != 6 {
		t.Errorf("%d feet come down hard, want 6", n)
	}
}

// A foot that arrives as slowly as told lands softly enough.
func TestArrivingAsToldMendsHardLanding(t *testing.T) {
	r := sixLegged()
	for _, c := range []struct {
		stall, height float64
		level         Level
	}{{1.9, 0.03, Stop}, {0.9, 0.025, Caution}, {0.12, 0.03, Stop}} {
		r.Legs[LM].Servos[kin.Femur].StallTorque = c.stall
		p := clean(r)
		stamp(r, p, c.height)
		f := of(judge(r, mustSample(t, r, p, rate), Defaults()), "hard-landing")
		if len(f) != 1 || f[0].Leg != LM || f[0].Level != c.level || f[0].Worst != 0.75 {
			t.Fatalf("got %+v", f)
		}
		s := number(t, f[0].Mend, "arrive at")
		for factor, want := range map[float64]bool{1: false, 1.05: true} {
			p := clean(r)
			stamp(r, p, c.height*s*factor)
			left := of(judge(r, mustSample(t, r, p, rate), Defaults()), "hard-landing")
			if Stops(left) > 0 != (want && c.level == Stop) || c.level == Caution && len(left) > 0 != want {
				t.Errorf("stall %v, %v of the speed: %+v", c.stall, s*factor, left)
			}
		}
	}
	// Exactly the limit passes.
	tr := mustSample(t, r, clean(r), 100)
	tr.Impacts = []motion.Impact{{At: 1, Leg: LM}}
	for speed, want := range map[float64]int{0.3: 0, 0.3000001: 1} {
		d := loads(r, tr, Defaults())
		d.Blows = []load.Blow{{Speed: speed}}
		if f := of(Run(r, tr, d, Defaults()), "hard-landing"); len(f) != want {
			t.Errorf("%v m/s: %+v", speed, f)
		}
	}
}
