// SPDX-License-Identifier: MIT

package document

import (
	"gaitwright/kin"
	"gaitwright/motion"
)

// Place is where the person looks: an instant, a leg, a span of a move. It is
// not saved and not undone.
type Place struct {
	Time    float64 // s
	Leg     int
	Move    int // of the workfile's moves
	Track   int // foot track of the move, -1: the body's
	Span    int // span of the track
	Finding int // index into the findings, -1 for none

	Playing bool
	Loop    bool
	Speed   float64 // of time, 0.05 to 2

	Held map[[2]int]float64 // joints held still: leg, joint -> angle, rad

	about regard // the chosen finding
}

// Tidy brings a place back into what the document has.
func (p *Place) Tidy(d *Document) {
	r := d.Result()
	p.Time = max(0, min(p.Time, r.Trajectory.Duration()))
	p.Leg = max(0, min(p.Leg, len(r.Built.Robot.Legs)-1))
	f := d.File()
	p.Move = max(0, min(p.Move, len(f.Moves)-1))
	if len(f.Moves) == 0 {
		p.Track, p.Span = -1, 0
	} else {
		m := &f.Moves[p.Move]
		p.Track = max(-1, min(p.Track, len(m.Feet)-1))
		n := len(m.Body)
		if p.Track >= 0 {
			n = len(m.Feet[p.Track].Spans)
		}
		p.Span = max(0, min(p.Span, n-1))
	}
	p.regard(d)
	if p.Speed == 0 {
		p.Speed = 1
	}
}

// GoTo moves to an instant and, where a move plays there, to the span of the
// chosen leg that is under way.
func (p *Place) GoTo(d *Document, t float64) {
	p.Time = t
	p.follow(d)
	p.Tidy(d)
}

// follow chooses move, track and span by time and leg.
func (p *Place) follow(d *Document) {
	r := d.Result()
	i := r.Trajectory.PartAt(p.Time)
	if i < 0 {
		return
	}
	part := r.Trajectory.Parts[i]
	if part.Kind != "move" || part.Index >= len(r.Built.Script.Seq) {
		return
	}
	p.Move = r.Built.Script.Seq[part.Index].Move
	if p.Track < 0 {
		p.Span = bodySpan(r.Plan, &part, max(part.From, p.Time-near(r.Trajectory)))
		return
	}
	if p.Leg >= 0 && p.Leg < len(r.Plan.Feet) {
		// At the instant between two spans the chosen one stays, or else the
		// one that ends there is chosen: its end is what a mark names.
		const hair = 1e-9
		for _, q := range r.Plan.Feet[p.Leg] {
			if q.Source.Track == p.Track+1 && q.Source.Span == p.Span+1 && p.Time >= q.From-hair && p.Time <= q.To+hair {
				return
			}
		}
		if s := r.Plan.FootAt(p.Leg, p.Time-near(r.Trajectory)).Source; s.Track > 0 {
			p.Track, p.Span = s.Track-1, s.Span-1
		}
	}
}

// near is how long after the end of a span an instant still belongs to it, s:
// a sample that shows its end, as the worst one of a finding does, may come so
// much later.
func near(t *motion.Trajectory) float64 { return max(1e-6, min(1/t.Rate, 5e-3)) }

// bodySpan gives the span of the body that is under way in a part at a time: of
// two that meet there the one that ends.
func bodySpan(pl *motion.Plan, part *motion.Part, at float64) int {
	const hair = 1e-9
	n := 0
	for i := range pl.Body {
		q := &pl.Body[i]
		if q.From < part.From-hair || q.To > part.To+hair {
			continue
		}
		if at <= q.To+hair {
			break
		}
		n++
	}
	return n
}

// ChooseBody takes the body's track of the move that plays.
func (p *Place) ChooseBody(d *Document) {
	p.Track = -1
	p.follow(d)
	p.Tidy(d)
}

// Choose takes a leg, and the track that moves it in the chosen move.
func (p *Place) Choose(d *Document, leg int) {
	p.Leg = leg
	f, r := d.File(), d.Result()
	if p.Move < len(f.Moves) && leg >= 0 && leg < len(r.Built.Robot.Legs) {
		l := &r.Built.Robot.Legs[leg]
		for i := range f.Moves[p.Move].Feet {
			t := &f.Moves[p.Move].Feet[i]
			if t.Leg == l.Name || (t.Pair && l.Mirror >= 0 && t.Leg == r.Built.Robot.Legs[l.Mirror].Name) {
				p.Track = i
			}
		}
	}
	p.follow(d)
	p.Tidy(d)
}

// MovePart gives the part of the sequence in which the chosen move plays: the
// one at the present time, else the first.
func (p *Place) MovePart(d *Document) (motion.Part, bool) {
	r := d.Result()
	var first *motion.Part
	for i := range r.Trajectory.Parts {
		q := &r.Trajectory.Parts[i]
		if q.Kind != "move" || r.Built.Script.Seq[q.Index].Move != p.Move {
			continue
		}
		if p.Time >= q.From && p.Time <= q.To {
			return *q, true
		}
		if first == nil {
			first = q
		}
	}
	if first == nil {
		return motion.Part{}, false
	}
	return *first, true
}

// Hold holds a joint at an angle, or lets it go when it is held.
func (p *Place) Hold(leg, joint int, angle float64) {
	if p.Held == nil {
		p.Held = map[[2]int]float64{}
	}
	k := [2]int{leg, joint}
	if _, ok := p.Held[k]; ok {
		delete(p.Held, k)
		return
	}
	if joint >= 0 && joint < kin.Joints {
		p.Held[k] = angle
	}
}
