// SPDX-License-Identifier: MIT

package pace

import (
	"fmt"
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
)

// Limit is what a command runs into.
type Limit struct {
	Word  string  // as the review has it: out-of-reach, joint-limit, joint-speed, legs-touch
	Leg   int     // index
	Joint int     // -1 for none
	Other int     // the other leg of two that touch; -1 for the body, or for none
	Phase float64 // where in the cycle, by the gait's clock, [0,1)
	Swing bool    // the leg is in the air there

	// What it is just past the limit, and the limit: a distance missed (m, of
	// 0), an angle (rad), a speed (rad/s) or a distance between links (m).
	Value, Bound float64
}

// Result is the fastest command in a direction.
type Result struct {
	Command motion.Twist
	Speed   float64 // the direction's command times this; 0: not even stepping on the spot goes
	Limit   *Limit  // what is met just beyond; nil when nothing is, however fast
}

// Verdict is what can be said of a command.
type Verdict struct {
	Can    bool    // within the fastest command
	Factor float64 // command over the fastest one in its direction; +Inf when not even stepping on the spot goes
	Limit  *Limit  // what is met at the fastest; nil for nothing
}

// Ahead gives the command of 1 m/s in a direction: psi from forward to the
// left, rad.
func Ahead(psi float64) motion.Twist {
	s, c := math.Sincos(psi)
	return motion.Twist{Forward: c, Side: s}
}

// About gives the command that turns about a point of C (z unused, m) by 1
// rad/s counter-clockwise; about the robot's own centre for the zero vector.
// Its negative turns the other way.
func About(centre r3.Vec) motion.Twist {
	return motion.Twist{Forward: centre.Y, Side: -centre.X, Turn: 1}
}

func scaled(u motion.Twist, s float64) motion.Twist {
	return motion.Twist{Forward: u.Forward * s, Side: u.Side * s, Turn: u.Turn * s}
}

// precise is how closely a speed is searched, as a share of it.
const precise = 1e-7

// Fastest gives the fastest command in the direction of u, which must be
// finite and move some foot at all (it panics otherwise): the greatest multiple of u that
// can be walked, to 1e-7 of it, as can be every smaller one looked at.
//
// Each instant of each leg has a speed up to which it goes, found by
// bisection; the least of them is sought in one pass that only searches where
// an instant does not go at the least one so far, after a pass over some of them. Then the pair of legs that
// comes nearest, while it is too near, slows the robot down until it is not.
// That faster is harder is checked, not taken for granted: the same is looked
// at, more coarsely, at three quarters, half and a quarter of the speed found.
//
// Where a joint turns nearly too fast, the instants about it are looked at more
// closely. Cost: about a third of a millisecond for six legs.
func (p *Pace) Fastest(u motion.Twist) Result { return p.fastest(&u, new(watch)) }

func (p *Pace) fastest(u *motion.Twist, h *watch) Result {
	best := p.most(u)
	if p.rest != nil {
		why := *p.rest
		return Result{Limit: &why}
	}
	var why *Limit
	for {
		p.slow(len(p.instant)/12, u, &best, &why)
		p.slow(len(p.instant), u, &best, &why)
		p.apart(h, u, fine, &best, &why)
		before := best
		for _, share := range [...]float64{3. / 4, 1. / 2, 1. / 4} {
			s := share * best
			low := s
			p.slow(len(p.instant)/5, u, &low, &why)
			p.apart(h, u, inCycle*fine/8, &low, &why)
			if low < s {
				best = low
			}
		}
		if best == before {
			return Result{scaled(*u, best), best, why}
		}
	}
}

// nearly is the share of the speed counted on from which a joint may turn too
// fast between two instants.
const nearly = 0.98

// slow brings the speed down until each of the first n instants goes with it,
// and those beside it where a joint turns nearly too fast.
func (p *Pace) slow(n int, u *motion.Twist, best *float64, why **Limit) {
	for k := range n {
		if p.one(&p.instant[k], u, best, why) < nearly {
			continue
		}
		for b := range p.beside[k] {
			p.one(&p.beside[k][b], u, best, why)
		}
	}
}

// one brings the speed down until an instant goes with it, and gives the share
// of the speed counted on that its joints then take.
func (p *Pace) one(n *instant, u *motion.Twist, best *float64, why **Limit) float64 {
	w := scaled(*u, *best)
	l, share := p.leg(n, &w)
	if l == nil {
		return share
	}
	*why = l
	lo, hi := 0.0, *best
	for hi-lo > precise*hi {
		mid := (lo + hi) / 2
		w := scaled(*u, mid)
		if l, s := p.leg(n, &w); l != nil {
			hi, *why = mid, l
		} else {
			lo, share = mid, s
		}
	}
	*best = lo
	return share
}

// apart brings the speed down until nothing touches, by every skip-th common
// instant.
func (p *Pace) apart(h *watch, u *motion.Twist, skip int, best *float64, why **Limit) {
	for {
		w := scaled(*u, *best)
		k, at, d := p.touching(h, &w, skip)
		if k == nil {
			return
		}
		*why = p.touch(k, at, d)
		lo, hi := 0.0, *best
		for hi-lo > precise*hi {
			mid := (lo + hi) / 2
			w := scaled(*u, mid)
			if d := p.near(k, at, &w); d < p.limits.Clearance {
				hi, *why = mid, p.touch(k, at, d)
			} else {
				lo = mid
			}
		}
		*best = lo
	}
}

// most gives a multiple of u that no leg follows: half a stroke beyond any
// leg's length, or half a turn.
func (p *Pace) most(u *motion.Twist) float64 {
	most, moves := math.Inf(1), false
	for i := range p.legs {
		l := &p.legs[i]
		half := l.duty * p.gait.Period / 2
		if v := math.Hypot(u.Forward-u.Turn*l.stand.Y, u.Side+u.Turn*l.stand.X); v > 0 {
			most, moves = min(most, 2*l.longest/(v*half)), true
		}
		if u.Turn != 0 {
			most = min(most, math.Pi/(math.Abs(u.Turn)*half))
		}
	}
	if !moves || !(most < math.MaxFloat64) || !(most > 0) {
		panic(fmt.Sprintf("pace: the direction %v is no direction", *u))
	}
	return most
}

// still tells whether a command moves no foot to speak of.
func (p *Pace) still(w *motion.Twist) bool {
	for i := range p.legs {
		s := &p.legs[i].stand
		if !(math.Hypot(w.Forward-w.Turn*s.Y, w.Side+w.Turn*s.X) <= 1e-9) {
			return false
		}
	}
	return true
}

// check looks at every instant of a command, nil when it can be walked.
func (p *Pace) check(w motion.Twist) *Limit {
	for k := range p.instant {
		if l, _ := p.leg(&p.instant[k], &w); l != nil {
			return l
		}
	}
	if k, at, d := p.touching(new(watch), &w, fine); k != nil {
		return p.touch(k, at, d)
	}
	return nil
}

// Polar gives the fastest command in n directions, evenly from forward to the
// left and round. It uses all cores.
func (p *Pace) Polar(n int) []Result {
	all := make([]Result, n)
	// The same pieces on any machine, so that the same comes out to the last
	// digit.
	const piece = 9
	var g sync.WaitGroup
	for from := 0; from < n; from += piece {
		g.Add(1)
		go func() {
			defer g.Done()
			h := new(watch)
			for k := from; k < min(n, from+piece); k++ {
				u := Ahead(2 * math.Pi * float64(k) / float64(n))
				all[k] = p.fastest(&u, h)
			}
		}()
	}
	g.Wait()
	return all
}

// Judge tells whether a command is within the fastest one in its direction, by
// what factor it is beyond, and what limits it. The command is not changed. A
// command that moves no foot faster than 1e-9 m/s is stepping on the spot. It panics for one that is not
// finite.
func (p *Pace) Judge(w motion.Twist) Verdict {
	if p.rest != nil {
		why := *p.rest
		return Verdict{Factor: math.Inf(1), Limit: &why}
	}
	if p.still(&w) {
		return Verdict{Can: true}
	}
	f := p.Fastest(w)
	if !(f.Speed > 0) {
		return Verdict{Factor: math.Inf(1), Limit: f.Limit}
	}
	return Verdict{Can: f.Speed >= 1, Factor: 1 / f.Speed, Limit: f.Limit}
}
