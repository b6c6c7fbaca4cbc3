// SPDX-License-Identifier: MIT

package pace_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/clearance"
	"gaitwright/kin/servo"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile"
)

// cycle is one cycle of a steady walk as a plan, laid out piece by piece.
func cycle(b *workfile.Built, g *gait.Gait, w motion.Twist) *motion.Plan {
	start := motion.Course{X: 0.3, Y: -0.2, Yaw: 0.7} // anywhere
	at := func(t float64) motion.Course { return start.Along(w, t) }
	p := &motion.Plan{Duration: g.Period, RWG: kin.Identity}
	still := func(q r3.Vec) curve.Span { return curve.Span{Path: curve.Bezier{P0: q, P1: q, P2: q, P3: q}} }
	body := motion.BodyPiece{
		From: 0, To: g.Period, Start: start, Drive: &motion.Drive{Start: start, W0: w, W1: w},
		Carriage: &motion.Carriage{Shift: motion.Ease{To: r3.Vec{Z: b.Height}}},
	}
	if g.Sway > 0 {
		least := 1.0
		for i := range g.Phase {
			least = min(least, g.DutyOf(i))
		}
		half := max(1-least, 1/float64(len(g.Phase))) * g.Period
		for i := range g.Phase {
			s := b.Robot.Legs[i].Stand
			by := r3.Scale(-g.Sway/math.Hypot(s.X, s.Y), r3.Vec{X: s.X, Y: s.Y})
			for k := -2.0; k <= 1; k++ { // the swings of the cycle, and those beside it
				mid := (g.Phase[i] + (1+g.DutyOf(i))/2 + k) * g.Period
				body.Carriage.Bumps = append(body.Carriage.Bumps, motion.Bump{Mid: mid, Half: half, By: by})
			}
		}
	}
	p.Body = []motion.BodyPiece{body}
	for i := range g.Phase {
		l := &b.Robot.Legs[i]
		stand := r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius}
		d := g.DutyOf(i) * g.Period
		var feet []motion.FootPiece
		for k := -1.0; k <= 1; k++ {
			touch := (g.Phase[i] + k) * g.Period
			here := at(touch + d/2).At(stand)
			next := at(touch + d/2 + g.Period).At(stand)
			feet = append(feet, motion.FootPiece{From: touch, To: touch + d, Span: still(here)})
			air := g.Period - d
			for _, s := range g.Parts(here, next) {
				feet = append(feet, motion.FootPiece{From: touch + d + s.From*air, To: touch + d + s.To*air, Hold: motion.OverGround, Span: s.Span})
			}
		}
		p.Feet = append(p.Feet, feet)
	}
	return p
}

// passes judges a trajectory sample by sample: the excess of the worst, as a
// word, "" for none.
func passes(r *kin.Robot, t *motion.Trajectory, l workfileLimits) string {
	box := clearance.Box{Outline: r.Body.Outline, Bottom: r.Body.Bottom, Top: r.Body.Top}
	for k := range t.N {
		for i := range r.Legs {
			leg := &r.Legs[i]
			if !t.Reached(k, i) {
				return "out-of-reach"
			}
			for j := range kin.Joints {
				o := (k*t.Legs+i)*3 + j
				if leg.Limits[j].Outside(t.Q[o]) > 1e-9 {
					return "joint-limit"
				}
				line := servo.At(&leg.Servos[j], r.Supply.Voltage)
				if math.Abs(t.V[o]) > l.share*line.NoLoad {
					return "joint-speed"
				}
			}
			a := points(r, t, k, i)
			for j := range i {
				b, m := points(r, t, k, j), &r.Legs[j]
				near := r3.Norm(r3.Sub(leg.PBH, m.PBH))-leg.LinkRadius-m.LinkRadius < l.clearance
				for u := range kin.Joints {
					for v := range kin.Joints {
						if u == kin.Coxa && v == kin.Coxa && near {
							continue
						}
						if clearance.Segments(a[u], a[u+1], b[v], b[v+1])-leg.LinkRadius-m.LinkRadius < l.clearance {
							return "legs-touch"
						}
					}
				}
			}
			skip := min(1, 0.3+leg.LinkRadius/leg.Length[kin.Femur])
			start := r3.Add(a[1], r3.Scale(skip, r3.Sub(a[2], a[1])))
			if len(box.Outline) > 2 && min(box.Segment(start, a[2]), box.Segment(a[2], a[3]))-leg.LinkRadius < l.clearance {
				return "legs-touch"
			}
		}
	}
	return ""
}

func points(r *kin.Robot, t *motion.Trajectory, k, leg int) [4]r3.Vec {
	p := t.LinkPoints(k, leg)
	return [4]r3.Vec{r.Legs[leg].PBH, p[0], p[1], p[2]}
}

type workfileLimits struct{ share, clearance float64 }

// The fastest command against a dense scan: cycles at ever greater speeds, laid
// out as plans, sampled and looked at without any of this package's own
// kinematics. All up to 0.99 of the speed found pass, and what is 1.01 times as
// fast does not, for the reason given.
func TestFastestSlowly(t *testing.T) {
	for _, c := range cases(t, 18) {
		p := c.pace(t)
		f := p.Fastest(c.u)
		scan := func(share float64) string {
			w := motion.Twist{Forward: share * f.Command.Forward, Side: share * f.Command.Side, Turn: share * f.Command.Turn}
			plan := cycle(c.b, c.g, w)
			tr, err := motion.NewSampler(&c.b.Robot).Sample(plan, 300/c.g.Period, nil)
			if err != nil {
				t.Fatal(err)
			}
			return passes(&c.b.Robot, tr, workfileLimits{c.limits.SpeedShare, c.limits.Clearance})
		}
		if f.Speed == 0 {
			if f.Limit == nil || scan(0) == "" {
				t.Errorf("%s: does not go at all (%+v), but passes on the spot", c.name, f.Limit)
			}
			continue
		}
		for k := range 24 {
			share := 0.99 * float64(k) / 23
			if why := scan(share); why != "" {
				t.Errorf("%s: %v at %.3f of %+v (%+v)", c.name, why, share, f.Command, f.Limit)
				break
			}
		}
		if why := scan(1.01); why == "" {
			t.Errorf("%s: goes at 1.01 of %+v, said to be limited by %+v", c.name, f.Command, f.Limit)
		} else if f.Limit == nil || why != f.Limit.Word {
			// Two limits may lie within a hundredth of each other.
			t.Logf("%s: %s, said to be limited by %+v", c.name, why, f.Limit)
		}
	}
}
