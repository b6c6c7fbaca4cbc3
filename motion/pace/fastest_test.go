// SPDX-License-Identifier: MIT

package pace_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/load"
	"gaitwright/motion/pace"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
)

// trial is a robot, a gait and a direction.
type trial struct {
	name   string
	b      *workfile.Built
	g      *gait.Gait
	u      motion.Twist
	limits pace.Limits
}

func (c *trial) pace(t testing.TB) *pace.Pace {
	t.Helper()
	p, err := pace.New(&c.b.Robot, c.b.Height, c.g, c.limits)
	if err != nil {
		t.Fatalf("%s: %v", c.name, err)
	}
	return p
}

// cases draws trials: robots of the workfiles with gaits of the library and of
// any duty factors, slow ones that are limited by reach, and quick ones by their
// servos; straight ahead, about the robot's centre and about any.
func cases(t testing.TB, n int) []trial {
	rng := rand.New(rand.NewPCG(3, 4))
	var out []trial
	for k := range n {
		c := trial{b: read(t, []string{"drummer.toml", "walker.toml", "new.toml"}[k%3])}
		left, right, err := gait.Sides(&c.b.Robot)
		if err != nil {
			t.Fatal(err)
		}
		all, err := gait.Library(left, right)
		if err != nil {
			t.Fatal(err)
		}
		w, err := gait.WaveOf(left, right, 0.5+0.45*rng.Float64())
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, w)
		g := all[rng.IntN(len(all))]
		g.Period = []float64{0.8, 1.5, 4, 12}[rng.IntN(4)]
		g.StepHeight = 0.01 + 0.03*rng.Float64()
		if rng.IntN(4) == 0 {
			g.Sway = 0.02 * rng.Float64()
		}
		c.g = &g
		c.limits = pace.Limits{SpeedShare: 0.85, Clearance: 0.003}
		switch rng.IntN(3) {
		case 0:
			c.u = pace.Ahead(2 * math.Pi * rng.Float64())
		case 1:
			c.u = pace.About(r3.Vec{})
		default:
			c.u = pace.About(r3.Vec{X: rng.Float64() - 0.5, Y: rng.Float64() - 0.5})
			if rng.IntN(2) == 0 {
				c.u = motion.Twist{Forward: -c.u.Forward, Side: -c.u.Side, Turn: -c.u.Turn}
			}
		}
		c.name = fmt.Sprintf("trial %d: %s, %s of %.1f s, duty %.2f, sway %.3f, %+v", k, c.b.Robot.Name, g.Name, g.Period, g.Duty, g.Sway, c.u)
		out = append(out, c)
	}
	return out
}

// A walk as fast as 0.99 of the fastest command passes the review in what is
// looked at here, and one 1.05 times as fast does not. Real walks, planned,
// sampled and reviewed; looked at where they neither speed up nor slow down.
// Servos have all the torque they want and the supply holds its voltage, since
// loads are not looked at here.
func TestFastestPassesReview(t *testing.T) {
	words := []string{"out-of-reach", "joint-limit", "joint-speed", "legs-touch"}
	met := map[string]int{}
	for _, c := range cases(t, 30) {
		for i := range c.b.Robot.Legs {
			for j := range kin.Joints {
				c.b.Robot.Legs[i].Servos[j].StallTorque = 1e6
			}
		}
		c.b.Robot.Supply.Resistance = 0
		p := c.pace(t)
		f := p.Fastest(c.u)
		if f.Speed == 0 {
			continue
		}
		met[f.Limit.Word]++
		for _, share := range []float64{0.99, 1.05} {
			w := motion.Twist{Forward: share * f.Command.Forward, Side: share * f.Command.Side, Turn: share * f.Command.Turn}
			const cycles = 6
			plan, err := sequence.Plan(&sequence.Script{
				Robot: &c.b.Robot, Height: c.b.Height, Gaits: []gait.Gait{*c.g},
				Seq: []sequence.Entry{{Name: "walk", Kind: sequence.Walk, Cycles: cycles, Command: w}},
			})
			if err != nil {
				t.Fatal(err)
			}
			tr, err := motion.NewSampler(&c.b.Robot).Sample(plan, min(500, 1000/c.g.Period), nil)
			if err != nil {
				t.Fatal(err)
			}
			l := review.Defaults()
			l.SpeedShare, l.Clearance = c.limits.SpeedShare, c.limits.Clearance
			begin := 0.0
			if c.g.Sway > 0 {
				begin = c.g.Period / 4
			}
			from, to := begin+2*c.g.Period, begin+(cycles-2)*c.g.Period
			var found []string
			for _, v := range review.Run(&c.b.Robot, tr, load.New(&c.b.Robot).Run(tr, load.Options{Contact: l.Contact}), l) {
				if slices.Contains(words, v.Word) && v.To >= from && v.From <= to {
					found = append(found, fmt.Sprintf("%s %d %d %.4g of %.4g %s", v.Word, v.Leg, v.Joint, v.Value, v.Limit, v.Unit))
				}
			}
			if share < 1 && len(found) > 0 {
				t.Errorf("%s: at 0.99 of %v (%+v) the review finds %q", c.name, f.Command, f.Limit, found)
			}
			if share > 1 && len(found) == 0 {
				t.Errorf("%s: at 1.05 of %v (%+v) the review finds nothing", c.name, f.Command, f.Limit)
			}
			if v := p.Judge(w); v.Can != (share < 1) || math.Abs(v.Factor-share) > 1e-5 {
				t.Errorf("%s: judged %+v, want a factor of %v", c.name, v, share)
			}
		}
	}
	t.Logf("limited by %v", met)
	if len(met) < 3 {
		t.Errorf("too little is tried: %v", met)
	}
}

// Per-leg duty factors and shares of the swing are followed, and cost speed: the
// same way in less time.
func TestSharesCostSpeed(t *testing.T) {
	b := drummer(t)
	limits := pace.Limits{SpeedShare: 0.85, Clearance: 0.003}
	fastest := func(change func(*gait.Gait)) float64 {
		g := b.Gaits[0]
		change(&g)
		c := trial{b: b, g: &g, limits: limits, u: pace.Ahead(0), name: "drummer"}
		p := c.pace(t)
		f := p.Fastest(c.u)
		// Against the plan: 0.99 passes and 1.01 does not.
		for _, share := range []float64{0.99, 1.01} {
			tr, err := motion.NewSampler(&b.Robot).Sample(cycle(b, &g, pace.Ahead(0)), 10, nil)
			if err != nil {
				t.Fatal(err)
			}
			tr, err = motion.NewSampler(&b.Robot).Sample(cycle(b, &g, motion.Twist{Forward: share * f.Speed}), 1000, tr)
			if err != nil {
				t.Fatal(err)
			}
			if why := passes(&b.Robot, tr, workfileLimits{limits.SpeedShare, limits.Clearance}); (why == "") != (share < 1) {
				t.Errorf("at %v of %v m/s: %q", share, f.Speed, why)
			}
		}
		return f.Speed
	}
	plain := fastest(func(*gait.Gait) {})
	late := fastest(func(g *gait.Gait) { g.EarlyLift, g.LateTouch = 0.15, 0.2 })
	uneven := fastest(func(g *gait.Gait) { g.Duties = []float64{0.5, 0.6, 0.5, 0.6, 0.5, 0.6} })
	if !(late < plain) || !(uneven < plain) {
		t.Errorf("plain %v m/s, with shares %v m/s, with uneven duty factors %v m/s", plain, late, uneven)
	}
}

// A robot that is the same on both sides, with a gait that is, goes as fast to
// one side as to the other, and a direction's length does not matter.
func TestFastestSymmetry(t *testing.T) {
	b := drummer(t)
	p := built(t, b, 0)
	for k := range 12 {
		psi := float64(k) * math.Pi / 6
		a, c := p.Fastest(pace.Ahead(psi)), p.Fastest(pace.Ahead(-psi))
		if math.Abs(a.Speed-c.Speed) > 1e-5*a.Speed {
			t.Errorf("%v rad: got=%v to the left, %v to the right", psi, a.Speed, c.Speed)
		}
		u := pace.Ahead(psi)
		d := p.Fastest(motion.Twist{Forward: 1e-3 * u.Forward, Side: 1e-3 * u.Side})
		if math.Abs(1e-3*d.Speed-a.Speed) > 1e-5*a.Speed || d.Limit.Word != a.Limit.Word {
			t.Errorf("%v rad: got=%v for a short direction, %v", psi, d.Speed, a.Speed)
		}
	}
	all := p.Polar(12)
	for k, f := range all {
		if a := p.Fastest(pace.Ahead(float64(k) * math.Pi / 6)); math.Abs(a.Speed-f.Speed) > 1e-5*a.Speed {
			t.Errorf("direction %d: got=%v in a plot, %v alone", k, f.Speed, a.Speed)
		}
	}
	// About a point far to the left it is going straight.
	far := pace.About(r3.Vec{Y: 1000})
	if f, a := p.Fastest(far), p.Fastest(pace.Ahead(0)); math.Abs(f.Speed*1000-a.Speed) > 1e-3*a.Speed {
		t.Errorf("about a far point: got=%v, straight %v", f.Speed*1000, a.Speed)
	}
}

// What cannot even step on the spot says why, for every command.
func TestNotAtAll(t *testing.T) {
	for _, c := range []struct {
		word   string
		change func(*workfile.Built, *gait.Gait)
	}{
		{"out-of-reach", func(b *workfile.Built, g *gait.Gait) { b.Robot.Legs[2].Stand.X -= 0.3 }},
		{"joint-limit", func(b *workfile.Built, g *gait.Gait) { b.Robot.Legs[1].Limits[0] = kin.Range{Lo: 0.5, Hi: 0.6} }},
		{"joint-speed", func(b *workfile.Built, g *gait.Gait) { g.Period = 0.05 }},
		{"legs-touch", func(b *workfile.Built, g *gait.Gait) {
			b.Robot.Legs[1].LinkRadius, b.Robot.Legs[0].LinkRadius = 0.09, 0.09
		}},
	} {
		b := drummer(t)
		g := b.Gaits[0]
		c.change(b, &g)
		p, err := pace.New(&b.Robot, b.Height, &g, pace.Limits{SpeedShare: 0.85, Clearance: 0.003})
		if err != nil {
			t.Fatal(err)
		}
		f := p.Fastest(pace.Ahead(1))
		if f.Speed != 0 || f.Limit == nil || f.Limit.Word != c.word || f.Command != (motion.Twist{}) {
			t.Errorf("%s: got=%+v %+v", c.word, f, f.Limit)
		}
		for _, w := range []motion.Twist{{}, {Forward: 1}} {
			if v := p.Judge(w); v.Can || !math.IsInf(v.Factor, 1) || v.Limit == nil || v.Limit.Word != c.word {
				t.Errorf("%s: judged %+v", c.word, v)
			}
		}
	}
}

func TestJudge(t *testing.T) {
	p := built(t, drummer(t), 0)
	for _, w := range []motion.Twist{{}, {Forward: 1e-12}, {Turn: 5e-324}} {
		if v := p.Judge(w); !v.Can || v.Factor != 0 {
			t.Errorf("on the spot: %+v", v)
		}
	}
	f := p.Fastest(pace.Ahead(0))
	if v := p.Judge(motion.Twist{Forward: f.Speed / 2}); !v.Can || math.Abs(v.Factor-0.5) > 1e-6 {
		t.Errorf("half: %+v", v)
	}
	if v := p.Judge(motion.Twist{Forward: 1000, Turn: 1000}); v.Can || !(v.Factor > 100) || v.Limit == nil {
		t.Errorf("far beyond: %+v", v)
	}
}

func TestNewRefuses(t *testing.T) {
	b := drummer(t)
	good := pace.Limits{SpeedShare: 0.85, Clearance: 0.003}
	nan := math.NaN()
	bad := b.Gaits[0]
	bad.Period = 0
	for name, c := range map[string]struct {
		g      *gait.Gait
		height float64
		l      pace.Limits
	}{
		"period 0":      {&bad, b.Height, good},
		"height NaN":    {&b.Gaits[0], nan, good},
		"share 0":       {&b.Gaits[0], b.Height, pace.Limits{}},
		"share 2":       {&b.Gaits[0], b.Height, pace.Limits{SpeedShare: 2}},
		"clearance NaN": {&b.Gaits[0], b.Height, pace.Limits{SpeedShare: 1, Clearance: nan}},
	} {
		if _, err := pace.New(&b.Robot, c.height, c.g, c.l); !errors.Is(err, pace.ErrPace) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := pace.New(&kin.Robot{}, 0.1, &b.Gaits[0], good); !errors.Is(err, kin.ErrRobot) {
		t.Errorf("no robot: %v", err)
	}
	defer func() {
		if recover() == nil {
			t.Error("no direction, and no panic")
		}
	}()
	built(t, b, 0).Fastest(motion.Twist{})
}
