// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
)

// fault is the clean motion with one thing wrong.
type fault struct {
	name    string
	word    string
	level   Level
	follows []string // words that follow from it
	inject  func(r *kin.Robot, p *motion.Plan)
	leg     int // -2: any
	joint   int // -2: any
}

func both(f func(i int)) {
	f(LF)
	f(RF)
}

// throw moves the body back by a length within a time, from 2 s on.
func throw(p *motion.Plan, by, within float64) {
	a, b := r3.Vec{X: -0.04}, r3.Vec{X: -0.04 - by}
	p.Body = []motion.BodyPiece{
		body(0, 1, r3.Vec{}, a), body(1, 2, a, a), body(2, 2+within, a, b), body(2+within, 3, b, b), body(3, 4, b, r3.Vec{}),
	}
}

// stamp lets a middle foot come down from a height in 0.15 s without slowing
// down.
func stamp(r *kin.Robot, p *motion.Plan, height float64) {
	s := stand(r, LM)
	up := r3.Add(s, r3.Vec{Z: height})
	down := line(0.6, 0.75, up, s)
	down.Span.Timing = curve.Timing{Kind: curve.CubicBezier, X1: 0.42, X2: 1, Y2: 1} // from rest
	p.Feet[LM] = []motion.FootPiece{planted(0, 0.2, s), line(0.2, 0.6, s, up), down, planted(0.75, 4, s)}
}

func faults() []fault {
	return []fault{
		// The knee straightens infinitely fast at the edge of the reach, and so
		// throws the robot off its feet.
		{"strike too far", "out-of-reach", Stop, []string{"joint-speed", "tips-fast"}, func(r *kin.Robot, p *motion.Plan) {
			both(func(i int) { front(p, r, i, r3.Vec{X: 0.15, Z: 0.05}) })
		}, -2, -1},
		{"narrow femur", "joint-limit", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			both(func(i int) { r.Legs[i].Limits[kin.Femur].Hi = 0.7 })
		}, -2, kin.Femur},
		{"slow coxa servo", "joint-speed", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			r.Legs[LF].Servos[kin.Coxa].NoLoadSpeed = 0.25
		}, LF, kin.Coxa},
		{"barely fast enough", "joint-speed", Caution, nil, func(r *kin.Robot, p *motion.Plan) {
			tr, err := motion.NewSampler(r).Sample(p, rate, nil)
			if err != nil {
				panic(err)
			}
			top := 0.0
			for k := range tr.N {
				top = max(top, math.Abs(tr.V[(k*6+LF)*3+kin.Tibia]))
			}
			r.Legs[LF].Servos[kin.Tibia].NoLoadSpeed = top / 0.95
		}, LF, kin.Tibia},
		{"weight not shifted back", "tips-slow", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			for n := range p.Body {
				p.Body[n].Shift = still(r3.Vec{X: 0.02, Z: bodyHeight})
			}
		}, -1, -1},
		{"weight hardly shifted back", "tips-slow", Caution, nil, func(r *kin.Robot, p *motion.Plan) {
			for n := range p.Body {
				p.Body[n].Shift = still(r3.Vec{X: -0.005, Z: bodyHeight})
			}
		}, -1, -1},
		{"all feet let go at once", "airborne", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			for i := range r.Legs {
				s := stand(r, i)
				p.Feet[i] = []motion.FootPiece{planted(0, 3.2, s), swing(3.2, 3.7, s, s, 0.01), planted(3.7, 4, s)}
			}
			p.Floors = nil
		}, -1, -1},
		{"planted in the air", "airborne", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			p.Floating = []motion.Stretch{{Leg: LM, From: 0.5, To: 1.5, Height: 0.008}}
		}, LM, -1},
		{"dragged", "foot-slides", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			a, b := stand(r, LM), stand(r, LM)
			b.X += 0.02
			p.Feet[LM] = []motion.FootPiece{planted(0, 0.2, a), line(0.2, 0.8, a, b), planted(0.8, 4, b)}
		}, LM, -1},
		// A planted foot that is elsewhere in the next piece jumps there.
		{"planted elsewhere", "foot-slides", Stop, []string{"jump"}, func(r *kin.Robot, p *motion.Plan) {
			a, b := stand(r, LM), stand(r, LM)
			b.X += 0.004
			p.Feet[LM] = []motion.FootPiece{planted(0, 1, a), planted(1, 4, b)}
		}, LM, -1},
		// 0.05 as on ice, and the body comes forward in 0.3 s. Without friction
		// the feet cannot hold against each other and ease the femurs.
		{"ice", "foot-slides", Stop, []string{"servo-heat"}, func(r *kin.Robot, p *motion.Plan) {
			r.Friction = 0.05
			back := r3.Vec{X: -0.04}
			p.Body = append(p.Body[:2], body(3, 3.3, back, r3.Vec{}), body(3.3, 4, r3.Vec{}, r3.Vec{}))
		}, -1, -1},
		// The body is thrown back while the front feet are up.
		{"thrown back", "tips-fast", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			throw(p, 0.02, 0.1)
		}, -1, -1},
		{"thrown back a little", "tips-fast", Caution, nil, func(r *kin.Robot, p *motion.Plan) {
			throw(p, 0.012, 0.1)
		}, -1, -1},
		{"weak femur servo", "joint-torque", Stop, []string{"servo-heat"}, func(r *kin.Robot, p *motion.Plan) {
			r.Legs[LM].Servos[kin.Femur].StallTorque = 0.2
		}, LM, kin.Femur},
		{"femur servo that gets warm", "servo-heat", Caution, nil, func(r *kin.Robot, p *motion.Plan) {
			r.Legs[LM].Servos[kin.Femur].StallTorque = 0.5
		}, LM, kin.Femur},
		{"small supply", "supply-current", Stop, nil, func(r *kin.Robot, p *motion.Plan) { r.Supply.Limit = 2 }, -1, -1},
		// A foot that comes down at full speed loses that speed at once.
		{"stamped", "hard-landing", Stop, []string{"jump"}, func(r *kin.Robot, p *motion.Plan) { stamp(r, p, 0.03) }, LM, -1},
		{"stamped with a weak femur servo", "hard-landing", Caution, []string{"jump"}, func(r *kin.Robot, p *motion.Plan) {
			r.Legs[LM].Servos[kin.Femur].StallTorque = 0.9
			stamp(r, p, 0.025)
		}, LM, kin.Femur},
		{"foot through the floor", "ground-hit", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			s := stand(r, LM)
			p.Feet[LM] = []motion.FootPiece{planted(0, 0.2, s), swing(0.2, 0.8, s, s, -0.01), planted(0.8, 4, s)}
		}, LM, -1},
		{"belly on the floor", "ground-hit", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			for i := range r.Legs {
				r.Legs[i].Limits[kin.Femur].Hi = 2
			}
			low := r3.Vec{X: -0.04, Z: -0.072}
			p.Body = []motion.BodyPiece{
				body(0, 1, r3.Vec{}, r3.Vec{X: -0.04}), body(1, 3, r3.Vec{X: -0.04}, r3.Vec{X: -0.04}),
				body(3, 3.47, r3.Vec{X: -0.04}, low), body(3.47, 4, low, r3.Vec{}),
			}
		}, -1, -1},
		{"floor set high", "low-strike", Stop, nil, func(r *kin.Robot, p *motion.Plan) { p.Floors[1].Height = 0.0605 }, RF, -1},
		{"front foot to the middle foot", "legs-touch", Stop, []string{"joint-limit"}, func(r *kin.Robot, p *motion.Plan) {
			both(func(i int) {
				to := r3.Sub(stand(r, i+1), stand(r, i))
				to.Z = 0.02
				front(p, r, i, to)
			})
			p.Floors = nil
		}, -2, -1},
		{"one front foot aside", "lopsided", Caution, nil, func(r *kin.Robot, p *motion.Plan) {
			front(p, r, LF, r3.Add(raised, r3.Vec{Y: 0.005}))
		}, LF, -1},
		{"one femur longer", "lopsided", Caution, nil, func(r *kin.Robot, p *motion.Plan) {
			r.Legs[RM].Length[kin.Femur] = 0.084
		}, LM, -1},
		{"pieces that do not meet", "jump", Stop, nil, func(r *kin.Robot, p *motion.Plan) {
			both(func(i int) {
				p.Feet[i][2].Span.Path.P0.Z += 0.004
				p.Feet[i][2].Span.Path.P1.Z += 0.004
			})
		}, -2, -2},
		{"thrown off at full speed", "jump", Caution, nil, func(r *kin.Robot, p *motion.Plan) {
			both(func(i int) { p.Feet[i][1].Span.Timing = curve.Timing{} })
		}, -2, -2},
	}
}

func TestEachFaultIsNamedAndOnlyWhatFollows(t *testing.T) {
	named := map[string]bool{}
	for _, c := range faults() {
		t.Run(c.name, func(t *testing.T) {
			r := sixLegged()
			p := clean(r)
			c.inject(r, p)
			tr := mustSample(t, r, p, rate)
			found := judge(r, tr, Defaults())
			verify(t, r, tr, found)
			hit := false
			for _, f := range found {
				t.Logf("%s %s leg %d joint %d part %d %.3f-%.3f worst %.3f: %.3f of %.3f %s: %s: %s",
					f.Word, f.Level, f.Leg, f.Joint, f.Part, f.From, f.To, f.Worst, f.Value, f.Limit, f.Unit, f.Why, f.Mend)
				switch {
				case f.Word == c.word:
					hit = hit || f.Level == c.level && (c.leg == -2 || f.Leg == c.leg) && (c.joint == -2 || f.Joint == c.joint)
				case !slices.Contains(c.follows, f.Word):
					t.Errorf("also %s", f.Word)
				}
			}
			if !hit {
				t.Errorf("no %s %s of leg %d joint %d", c.level, c.word, c.leg, c.joint)
			}
			named[c.word] = true
		})
	}
	named["pulse-range"] = true // by TestPulseRange: it is not of the robot but of its outputs
	for _, w := range Words() {
		if !named[w] {
			t.Errorf("no fault shows %s", w)
		}
	}
}
