// SPDX-License-Identifier: MIT

package document

import (
	"math"

	"gaitwright/motion"
	"gaitwright/motion/review"
)

// regard is which finding is chosen, told by what it is about: an edit puts
// others into its place in the list.
type regard struct {
	doc    *Document
	serial int // of the rehearsal in which it is at index
	index  int

	word, entry       string
	leg, joint, other int
	from, to, worst   float64 // since its entry began, s
}

// nearby is how far a finding may move in time by one edit and still be the
// same, s.
const nearby = 0.25

func regardOf(d *Document, i int) regard {
	r := d.Result()
	f := &r.Findings[i]
	g := regard{doc: d, serial: d.Serial(), index: i, word: f.Word, entry: f.Entry, leg: f.Leg, joint: f.Joint, other: f.Other}
	at := began(r.Trajectory, f)
	g.from, g.to, g.worst = f.From-at, f.To-at, f.Worst-at
	return g
}

// began gives when the entry of a finding begins, s.
func began(t *motion.Trajectory, f *review.Finding) float64 {
	if f.Part >= 0 && f.Part < len(t.Parts) {
		return t.Parts[f.Part].From
	}
	return 0
}

// again finds what is regarded among the findings as they are now, -1 where it
// is gone.
func (g *regard) again(d *Document) int {
	r := d.Result()
	best, least := -1, math.Inf(1)
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Word != g.word || f.Entry != g.entry || f.Leg != g.leg || f.Joint != g.joint || f.Other != g.other {
			continue
		}
		at := began(r.Trajectory, f)
		far := math.Abs(f.Worst - at - g.worst)
		meet := f.From-at <= g.to && f.To-at >= g.from
		if (meet || far <= nearby) && far < least {
			best, least = i, far
		}
	}
	return best
}

// regard keeps the chosen finding the same through edits: where it is gone none
// is chosen.
func (p *Place) regard(d *Document) {
	n := len(d.Result().Findings)
	g := &p.about
	switch {
	case p.Finding < 0:
		*g = regard{}
		return
	case g.doc == d && g.serial == d.Serial() && g.index == p.Finding:
		return
	case g.doc == d && g.serial != d.Serial() && g.index == p.Finding:
		p.Finding = g.again(d)
	case p.Finding >= n:
		p.Finding = -1
	}
	if p.Finding < 0 {
		*g = regard{}
		return
	}
	*g = regardOf(d, p.Finding)
}

// Regard goes to a finding: to the instant at which it is worst, the leg, and
// the span whose point or timing would mend it.
func (p *Place) Regard(d *Document, i int) {
	r := d.Result()
	if i < 0 || i >= len(r.Findings) {
		return
	}
	f := &r.Findings[i]
	p.Playing = false
	if f.Leg >= 0 {
		p.Choose(d, f.Leg)
	}
	if f.Part >= 0 {
		p.GoTo(d, f.Worst)
		if f.Leg < 0 { // it is about how the body is moved
			p.ChooseBody(d)
		} else {
			p.spanOf(d, f)
		}
	}
	p.Finding, p.about = i, regardOf(d, i)
	p.Tidy(d)
}

// spanOf chooses the span that a finding about a leg is mended by. What is
// about where the foot goes belongs to the control point next to the worst
// instant: just behind a mark that is the end of the span before. What is about
// how fast belongs to the span in which it is found longest.
func (p *Place) spanOf(d *Document, f *review.Finding) {
	r := d.Result()
	if f.Leg < 0 || f.Leg >= len(r.Plan.Feet) || p.Track < 0 {
		return
	}
	chain := r.Plan.Feet[f.Leg]
	k := pieceAt(chain, f.Worst)
	if k < 0 {
		return
	}
	few := 2 / r.Trajectory.Rate // samples, s
	for ; k > 0; k-- {
		before, now := &chain[k-1], &chain[k]
		if before.Source.Track == 0 || before.Source.Track != now.Source.Track {
			break
		}
		late := f.Worst-now.From <= few
		switch {
		case wayward(f.Word):
			late = late || progress(now, f.Worst) < nextTo
		case hasty(f.Word):
			late = late && overlap(before, f) > overlap(now, f)
		}
		if !late {
			break
		}
	}
	if s := chain[k].Source; s.Track > 0 {
		p.Track, p.Span = s.Track-1, s.Span-1
	}
}

// nextTo is how far along a path its start still decides, as a share of it:
// there the start has more than half of the weight of the curve's points.
const nextTo = 0.2

// wayward tells whether a word is about where a foot goes.
func wayward(word string) bool {
	switch word {
	case "out-of-reach", "joint-limit", "pulse-range", "ground-hit", "low-strike", "legs-touch", "lopsided":
		return true
	}
	return false
}

// hasty tells whether a word is about how fast a foot goes.
func hasty(word string) bool {
	switch word {
	case "joint-speed", "joint-torque", "servo-heat", "supply-current":
		return true
	}
	return false
}

// pieceAt gives the piece of a chain under way at a time, of two that meet
// there the one that ends; -1 for none.
func pieceAt(chain []motion.FootPiece, at float64) int {
	const hair = 1e-9
	for i := range chain {
		if at <= chain[i].To+hair {
			return i
		}
	}
	return len(chain) - 1
}

// overlap gives for how long a finding is in a piece, s.
func overlap(q *motion.FootPiece, f *review.Finding) float64 {
	return min(q.To, f.To) - max(q.From, f.From)
}

// progress gives how far along its path a piece is at a time, [0,1].
func progress(q *motion.FootPiece, at float64) float64 {
	from, to := q.From, q.To
	if q.Clock[1] > q.Clock[0] {
		from, to = q.Clock[0], q.Clock[1]
	}
	switch {
	case q.Hold == motion.Planted: // it stands where the piece before ends
		return 0
	case !(to > from):
		return 1
	}
	y, _, _ := q.Span.Timing.At(max(0, min(1, (at-from)/(to-from))))
	return y
}
