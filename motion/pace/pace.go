// SPDX-License-Identifier: MIT

package pace

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/clearance"
	"gaitwright/kin/mass"
	"gaitwright/kin/servo"
	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// Limits are what a walk has to keep, beside the robot's own.
type Limits struct {
	SpeedShare float64 // share of the no-load speed that is counted on, (0,1]
	Clearance  float64 // least distance between links of two legs, or of a leg and the body, m
}

// ErrPace is what New's errors wrap.
var ErrPace = errors.New("pace: cannot be walked")

// The instants of a steady cycle that are looked at.
const (
	inStance = 17 // of a leg's stance, both ends included
	inSwing  = 47 // of its swing, without its ends
	inCycle  = 64 // at which all legs are looked at together
	fine     = 4  // of these, for each of inCycle, where two legs may come too near in between
)

// Pace is a gait on a robot. It is not changed by its methods, which may run
// at the same time.
type Pace struct {
	robot  *kin.Robot
	gait   gait.Gait
	height float64 // of B above the ground, m
	limits Limits

	legs    []leg
	instant []instant    // of every leg by itself, shuffled
	beside  [][4]instant // of the same leg, about each of them
	common  []instant    // inCycle*fine x legs
	pairs   []pair
	box     clearance.Box
	pBC     r3.Vec // centre of mass, standing
	rest    *Limit // what forbids even stepping on the spot
}

// leg is a leg made quick.
type leg struct {
	*kin.Leg
	mount   kin.Mount
	fast    [kin.Joints]float64
	stand   r3.Vec // standing point in C, m
	duty    float64
	skip    float64             // share of the femur, from the coxa on, not held against the body
	half    [kin.Joints]float64 // half lengths of the links, m
	longest float64             // no foot goes farther from its standing point, m
}

// New prepares for a robot that stands with B at a height over the ground (m)
// and walks with a gait. Later changes of robot or gait are not seen. An error
// for a robot or a gait that does not pass its Check, and for limits that are
// no numbers to count with.
func New(r *kin.Robot, height float64, g *gait.Gait, l Limits) (*Pace, error) {
	if err := errors.Join(r.Check(), g.Check(len(r.Legs))); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPace, err)
	}
	if math.IsNaN(height) || math.IsInf(height, 0) {
		return nil, fmt.Errorf("%w: stand height %v m must be finite", ErrPace, height)
	}
	if !(l.SpeedShare > 0 && l.SpeedShare <= 1) {
		return nil, fmt.Errorf("%w: share %v of the no-load speed must lie above 0 and not above 1", ErrPace, l.SpeedShare)
	}
	if !(l.Clearance >= 0) || math.IsInf(l.Clearance, 0) {
		return nil, fmt.Errorf("%w: clearance %v m must be finite and not negative", ErrPace, l.Clearance)
	}
	robot := *r
	robot.Legs = slices.Clone(r.Legs)
	p := &Pace{
		robot: &robot, gait: *g, height: height, limits: l,
		box: clearance.Box{Outline: slices.Clone(r.Body.Outline), Bottom: r.Body.Bottom, Top: r.Body.Top},
	}
	p.gait.Phase, p.gait.Duties = slices.Clone(g.Phase), slices.Clone(g.Duties)
	chains := make([]kin.Chain, len(r.Legs))
	for i := range robot.Legs {
		k := &robot.Legs[i]
		m := leg{
			Leg: k, stand: r3.Vec{X: k.Stand.X, Y: k.Stand.Y, Z: k.FootRadius},
			duty: g.DutyOf(i), skip: min(1, 0.3+k.LinkRadius/k.Length[kin.Femur]),
		}
		m.mount = k.Mount()
		m.longest = math.Hypot(k.Stand.X-k.PBH.X, k.Stand.Y-k.PBH.Y) + g.Sway*float64(len(r.Legs)) +
			k.Length[kin.Coxa] + k.Length[kin.Femur] + k.Length[kin.Tibia] + math.Abs(k.Lateral)
		m.half = [kin.Joints]float64{
			r3.Norm(r3.Vec{X: k.Length[kin.Coxa], Y: k.Lateral, Z: k.Vertical}) / 2, k.Length[kin.Femur] / 2, k.Length[kin.Tibia] / 2,
		}
		for j := range k.Servos {
			line := servo.At(&k.Servos[j], r.Supply.Voltage)
			m.fast[j] = l.SpeedShare * line.NoLoad
		}
		p.legs = append(p.legs, m)
		b := p.at(&instant{leg: i, shift: r3.Vec{Z: height}}, &motion.Twist{}).p
		chains[i] = k.Solve(p.legs[i].mount.Into(b)).Chain
	}
	p.pBC = mass.Lump(&robot).Centre(chains)
	p.instants()
	p.pair()
	if why := p.check(motion.Twist{}); why != nil {
		p.rest = why
	}
	return p, nil
}

// instants lays out the cycle.
func (p *Pace) instants() {
	g := &p.gait
	put := func(i int, own, lo, hi, step float64) {
		at := func(own float64) instant { return p.instantAt(i, g.Phase[i]+own, own) }
		p.instant = append(p.instant, at(own))
		var b [4]instant
		for n, x := range [...]float64{-0.5, -0.25, 0.25, 0.5} {
			b[n] = at(max(lo, min(hi, own+x*step)))
		}
		p.beside = append(p.beside, b)
	}
	for i := range p.legs {
		d := p.legs[i].duty
		for k := range inStance {
			step := d / (inStance - 1)
			put(i, step*float64(k), 0, d, step)
		}
		for k := 1; k <= inSwing; k++ {
			step := (1 - d) / (inSwing + 1)
			put(i, d+step*float64(k), d, 1, step)
		}
	}
	// In a scattered order the least speed of all is found with few searches:
	// of n instants about ln n are the slowest so far.
	rng := rand.New(rand.NewPCG(1, 2))
	rng.Shuffle(len(p.instant), func(a, b int) {
		p.instant[a], p.instant[b] = p.instant[b], p.instant[a]
		p.beside[a], p.beside[b] = p.beside[b], p.beside[a]
	})
	for k := range inCycle * fine {
		phase := float64(k) / (inCycle * fine)
		for i := range p.legs {
			p.common = append(p.common, p.instantAt(i, phase, gait.Frac(phase-g.Phase[i])))
		}
	}
}
