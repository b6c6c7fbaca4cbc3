// SPDX-License-Identifier: MIT

package sequence

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
)

// fastest is far past what walks; beyond it places on the ground lose their
// digits.
const fastest = 1000 // m/s, rad/s

// walk plays a gait from standing to standing.
func (pl *planner) walk(g *gait.Gait, w motion.Twist, cycles float64) error {
	if err := g.Check(len(pl.foot)); err != nil {
		return err
	}
	if !(cycles >= 1) || !(cycles*g.Period <= MaxDuration) {
		return fmt.Errorf("%v cycles: want at least 1, and less than %d s", cycles, MaxDuration)
	}
	for _, v := range [...]float64{w.Forward, w.Side, w.Turn} {
		if !(math.Abs(v) <= fastest) {
			return fmt.Errorf("command %v: want finite speeds of at most %d m/s and rad/s", w, fastest)
		}
	}
	pl.steps(g, w, cycles)
	return nil
}

// steps plans the walk described in the package comment. With no cycles it
// only steps feet back that stand off their standing points.
func (pl *planner) steps(g *gait.Gait, w motion.Twist, cycles float64) {
	var lead float64 // time in which the body sways over before the first foot lifts
	if g.Sway > 0 {
		lead = g.Period / 4
	}
	begin := pl.now + lead
	first := g.First()
	origin := begin - first*g.Period // time of phase 0
	up := min(1, cycles/2) * g.Period
	adv := motion.Advance{Up: up, Full: max(0, cycles*g.Period-2*up), Down: up}
	halt := begin + adv.Total()
	if cycles == 0 {
		halt = begin
	}
	rest := pl.course.Along(w, adv.At(adv.Total()))
	at := func(t float64) motion.Course { return pl.course.Along(w, adv.At(t-begin)) }

	const eps = 1e-9
	end := halt
	for i := range pl.foot {
		for k := 0; ; k++ {
			// The k-th lift-off of leg i that is not before the beginning.
			ph := g.Phase[i] + g.Duty
			ph += math.Ceil(first-ph-eps) + float64(k)
			lift := origin + ph*g.Period
			land := lift + (1-g.Duty)*g.Period
			mid := land + g.Duty*g.Period/2
			to := at(mid).At(pl.standC(i))
			if home := rest.At(pl.standC(i)); r3.Norm(r3.Sub(to, home)) <= onGround {
				to = home // the body is as good as there
			}
			if lift >= halt-eps && r3.Norm(r3.Sub(pl.foot[i], to)) <= onGround {
				break
			}
			pl.swing(i, lift, land, g.Path(pl.foot[i], to), g.Timing)
			end = max(end, land)
		}
	}
	end += lead
	b := motion.BodyPiece{
		From: pl.now, To: end, Start: pl.course, Command: w, Advance: adv, Delay: lead,
		Shift: curve.Span{Path: still(pl.shift)}, Lean: curve.Span{Path: still(pl.lean)},
	}
	if lead > 0 {
		b.Sway = pl.sway(g, origin, [2]float64{pl.now, begin}, [2]float64{end - lead, end})
	}
	pl.bodyPiece(b)
	pl.course = rest
	pl.fill(end)
	pl.now = end
}

// sway leans away from the legs in the air.
func (pl *planner) sway(g *gait.Gait, origin float64, in, out [2]float64) *motion.Sway {
	n := len(g.Phase)
	w := &motion.Sway{Amount: g.Sway, Width: max(1-g.Duty, 1/float64(n)), Origin: origin, Period: g.Period, In: in, Out: out}
	for i := range n {
		w.Mid = append(w.Mid, g.Phase[i]+(1+g.Duty)/2)
		s := pl.standC(i)
		s.Z = 0
		if l := r3.Norm(s); l > 0 {
			s = r3.Scale(-1/l, s)
		}
		w.Away = append(w.Away, s)
	}
	return w
}
