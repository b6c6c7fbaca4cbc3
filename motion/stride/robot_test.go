// SPDX-License-Identifier: MIT

package stride_test

import (
	"fmt"
	"math"
	"sort"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/stride"
)

const (
	footRadius = 0.008 // m
	bodyHeight = 0.09  // m
	margin     = 0.01  // m
)

// smooth begins and ends at rest.
var smooth = curve.Timing{Kind: curve.CubicBezier, X1: 0.42, X2: 0.58, Y2: 1}

// legged is a symmetric robot of invented measures: left legs front to rear,
// then right legs front to rear.
func legged(pairs int) *kin.Robot {
	r := &kin.Robot{Name: "tester", Gravity: 9.80665, Body: kin.Body{Mass: 1.2, Top: 0.03, Bottom: -0.02}}
	for i := range 2 * pairs {
		m := i % pairs
		l := kin.Leg{
			Name: fmt.Sprint("leg", i), Mirror: (i + pairs) % (2 * pairs),
			Length: [kin.Joints]float64{0.05, 0.08, 0.12}, FootRadius: footRadius, LinkRadius: 0.008,
			PBH:     r3.Vec{X: 0.1 * (float64(pairs-1)/2 - float64(m)), Y: 0.06},
			Heading: math.Pi/2 - 0.3*(float64(pairs-1)/2-float64(m)),
		}
		if i >= pairs {
			l.PBH.Y, l.Heading = -l.PBH.Y, -l.Heading
		}
		sn, cs := math.Sincos(l.Heading)
		l.Stand = r3.Vec{X: l.PBH.X + 0.14*cs, Y: l.PBH.Y + 0.14*sn}
		for j := range l.Limits {
			l.Limits[j] = kin.Range{Lo: -3, Hi: 3}
			l.Links[j] = kin.Link{Mass: 0.02, COM: r3.Vec{X: l.Length[j] / 2}}
			l.Servos[j] = kin.Servo{StallTorque: 1.9, NoLoadSpeed: 6, Voltage: 7.4, Mass: 0.05}
		}
		r.Legs = append(r.Legs, l)
	}
	return r
}

// gaits gives named gaits of the textbooks for two or three pairs of legs, in
// the order of legged; one has duty factors of its own a leg, one lifts early and
// touches down late.
func gaits(pairs int) []gait.Gait {
	make := func(name string, period, duty, sway float64, phase ...float64) gait.Gait {
		return gait.Gait{Name: name, Period: period, Duty: duty, Phase: phase, StepHeight: 0.03,
			Swing: gait.PlainSwing, Timing: smooth, Sway: sway}
	}
	if pairs == 2 {
		pace := make("pace", 0.7, 0.6, 0, 0, 0, 0.5, 0.5)
		pace.Duties = []float64{0.6, 0.58, 0.62, 0.6}
		return []gait.Gait{
			make("crawl", 2.4, 0.86, 0.03, 0, 0.75, 0.5, 0.25),
			make("trot", 0.8, 0.5, 0, 0, 0.5, 0.5, 0),
			pace,
			make("bound", 0.9, 0.55, 0, 0, 0.5, 0, 0.5),
		}
	}
	hasty := make("hasty tripod", 0.6, 0.55, 0, 0, 0.5, 0, 0.5, 0, 0.5)
	hasty.EarlyLift, hasty.LateTouch = 0.1, 0.15
	return []gait.Gait{
		make("tripod", 1, 0.5, 0, 0, 0.5, 0, 0.5, 0, 0.5),
		make("ripple", 1.5, 0.75, 0, 0, 0.75, 0.5, 0.5, 0.25, 0),
		make("wave", 2.4, 5./6, 0, 0, 5./6, 4./6, 3./6, 2./6, 1./6),
		make("tetrapod", 1.2, 2./3, 0, 0, 2./3, 1./3, 2./3, 1./3, 0),
		hasty,
	}
}

// note is what was in force from a time on.
type note struct {
	at    float64
	least int // feet that must stand
}

// rig drives a Walker from event to event and keeps notes.
type rig struct {
	t     testing.TB
	r     *kin.Robot
	w     *stride.Walker
	gait  *gait.Gait // in force
	old   *gait.Gait // before it
	notes []note
	floor int       // feet that stood at the beginning, 0: all
	phase []float64 // of each leg at the last note
	fast  float64   // bound of a leg's phase rate, 0: not looked at, 1/s
}

func newRig(t testing.TB, pairs int) *rig {
	t.Helper()
	r := legged(pairs)
	w, err := stride.New(stride.Options{Robot: r, Height: bodyHeight, Margin: margin})
	if err != nil {
		t.Fatal(err)
	}
	return &rig{t: t, r: r, w: w}
}

func least(g *gait.Gait) int {
	if g == nil {
		return 3
	}
	return min(3, g.LeastDown())
}

func (g *rig) note() {
	s := g.w.State()
	n := note{at: s.At, least: least(s.Gait)}
	if s.Gait != g.gait {
		g.old, g.gait = g.gait, s.Gait
	}
	if s.Changing {
		n.least = min(n.least, least(g.old))
	}
	if g.floor > 0 {
		n.least = min(n.least, g.floor)
	}
	if k := len(g.notes) - 1; k >= 0 && g.fast > 0 {
		for i, l := range s.Legs {
			if d := gait.Frac(l.Phase - g.phase[i] + 1e-9); d > g.fast*(s.At-g.notes[k].at)+1e-6 {
				g.t.Fatalf("leg %d: phase goes from %v to %v between %v and %v s", i, g.phase[i], l.Phase, g.notes[k].at, s.At)
			}
		}
	}
	g.phase = g.phase[:0]
	for _, l := range s.Legs {
		g.phase = append(g.phase, l.Phase)
	}
	g.notes = append(g.notes, n)
}

func (g *rig) run(to float64) {
	for {
		at := g.w.Next()
		if !(at <= to) {
			break
		}
		g.w.Advance(at)
		g.note()
	}
	g.w.Advance(to)
	g.note()
}

func (g *rig) ask(at float64, q stride.Request) {
	g.t.Helper()
	g.run(at)
	if q.Height == 0 {
		q.Height = bodyHeight
	}
	if err := g.w.Ask(at, q); err != nil {
		g.t.Fatal(err)
	}
	g.note()
}

func far(a, b r3.Vec) float64 { return r3.Norm(r3.Sub(a, b)) }

func finite(v r3.Vec) bool {
	s := v.X + v.Y + v.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// verify holds for every plan of a Walker whose gaits lift and land at rest:
// the invariants of the package comment.
func (g *rig) verify() *motion.Plan {
	t := g.t
	t.Helper()
	p := g.w.Plan()
	const hair, apart, kick = 1e-12, 1e-9, 1e-6
	var last *motion.BodyPiece
	for i := range p.Body {
		b := &p.Body[i]
		if !(b.To > b.From) {
			t.Fatalf("body piece %d from %v to %v", i, b.From, b.To)
		}
		x, rpy := b.Pose(b.From)
		if !finite(x.P) || !finite(rpy) {
			t.Fatalf("body piece %d begins at %v, %v", i, x.P, rpy)
		}
		if last != nil {
			if b.From != last.To {
				t.Fatalf("body piece %d from %v, the one before ends at %v", i, b.From, last.To)
			}
			y, rpy2 := last.Pose(b.From)
			if d := far(x.P, y.P) + far(rpy, rpy2); d > apart {
				t.Fatalf("body jumps by %v at %v s", d, b.From)
			}
			v, a := b.Drive.Speed(b.From)
			u, c := last.Drive.Speed(b.From)
			if d := math.Abs(v.Forward-u.Forward) + math.Abs(v.Side-u.Side) + math.Abs(v.Turn-u.Turn); d > apart {
				t.Fatalf("course speed jumps by %v at %v s", d, b.From)
			}
			_, _ = a, c
			_, v1, _ := b.Carriage.ShiftAt(b.From)
			_, v2, _ := last.Carriage.ShiftAt(b.From)
			_, v3, _ := b.Carriage.Lean.At(b.From)
			_, v4, _ := last.Carriage.Lean.At(b.From)
			if d := far(v1, v2) + far(v3, v4); d > kick {
				t.Fatalf("body speed jumps by %v at %v s", d, b.From)
			}
		}
		last = b
	}
	if math.Abs(last.To-p.Duration) > hair {
		t.Fatalf("the body's chain ends at %v of %v s", last.To, p.Duration)
	}
	for i, c := range p.Feet {
		var before *motion.FootPiece
		for k := range c {
			f := &c[k]
			if !(f.To > f.From) {
				t.Fatalf("leg %d: piece %d from %v to %v", i, k, f.From, f.To)
			}
			if before != nil {
				if f.From != before.To {
					t.Fatalf("leg %d: piece %d from %v, the one before ends at %v", i, k, f.From, before.To)
				}
				if f.Hold == motion.WithBody || before.Hold == motion.WithBody {
					x, _ := p.BodyAt(f.From).Pose(f.From)
					if d := far(before.At(f.From, &x), f.At(f.From, &x)); !(d <= apart) {
						t.Fatalf("leg %d jumps by %v m at %v s", i, d, f.From)
					}
				} else {
					a, u, _ := before.Moving(f.From)
					b, v, _ := f.Moving(f.From)
					if f.Hold == motion.Planted {
						v = r3.Vec{}
					}
					if before.Hold == motion.Planted {
						u = r3.Vec{}
					}
					if d := far(a, b); !(d <= apart) {
						t.Fatalf("leg %d jumps by %v m at %v s (piece %d: %+v, %+v)", i, d, f.From, k, *before, *f)
					}
					if d := far(u, v); !(d <= kick) {
						t.Fatalf("leg %d: speed jumps by %v m/s at %v s", i, d, f.From)
					}
				}
			}
			before = f
		}
		if math.Abs(before.To-p.Duration) > hair {
			t.Fatalf("leg %d: chain ends at %v of %v s", i, before.To, p.Duration)
		}
	}
	n := 0
	for _, mid := range instants(p) {
		for n+1 < len(g.notes) && g.notes[n+1].at <= mid {
			n++
		}
		down := down(p, mid)
		if n < len(g.notes) && down < g.notes[n].least {
			t.Fatalf("%d feet stand at %v s, want %d (%v, notes %v)", down, mid, g.notes[n].least, g.w.State().Gait, g.notes[max(0, n-3):min(len(g.notes), n+3)])
		}
	}
	return p
}

// instants gives times between any two events of a plan, and the very instant
// of each: where a foot lifts as another lands none is missing.
func instants(p *motion.Plan) (out []float64) {
	var events []float64
	for _, c := range p.Feet {
		for k := range c {
			events = append(events, c[k].From)
		}
	}
	sort.Float64s(events)
	for k := 1; k < len(events); k++ {
		if events[k] > events[k-1] {
			out = append(out, (events[k]+events[k-1])/2, events[k])
		}
	}
	return out
}

// down counts the planted feet.
func down(p *motion.Plan, t float64) (n int) {
	for i := range p.Feet {
		if p.FootAt(i, t).Hold == motion.Planted {
			n++
		}
	}
	return n
}
