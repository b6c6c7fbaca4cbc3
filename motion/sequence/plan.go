// SPDX-License-Identifier: MIT

package sequence

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/move"
	"gaitwright/motion/stride"
)

// MaxDuration bounds a plan, s.
const MaxDuration = 600

// ErrScript is what Plan's errors wrap.
var ErrScript = errors.New("sequence: unusable sequence")

// settle is how long an entry that has nothing to do lasts, s.
const settle = 0.5

// onGround is how near to the ground a foot counts as on it, m.
const onGround = 1e-6

// planner carries the state from entry to entry.
type planner struct {
	s   *Script
	p   *motion.Plan
	now float64 // s

	course      motion.Course
	shift, lean r3.Vec         // body in C
	foot        []r3.Vec       // where each foot is: pGF, or pBF when held with the body, m
	hold        []motion.Hold  // what each foot does when nothing is said
	twist       motion.Twist   // last command walked
	walker      *stride.Walker // while walking
}

// Plan plays a script from standing at the world's origin. An empty sequence
// is half a second of standing. Errors wrap ErrScript and name the entry;
// motions that a robot cannot do are not errors: the review speaks of those.
func Plan(s *Script) (*motion.Plan, error) {
	if err := s.Robot.Check(); err != nil {
		return nil, err
	}
	if math.IsNaN(s.Height) || math.IsInf(s.Height, 0) {
		return nil, fmt.Errorf("%w: stand height %v m must be finite", ErrScript, s.Height)
	}
	n := len(s.Robot.Legs)
	pl := &planner{
		s: s, p: &motion.Plan{RWG: s.Tilt, Feet: make([][]motion.FootPiece, n)},
		shift: r3.Vec{Z: s.Height}, foot: make([]r3.Vec, n), hold: make([]motion.Hold, n),
	}
	if pl.p.RWG == (kin.Rot{}) {
		pl.p.RWG = kin.Identity
	}
	for i := range n {
		pl.foot[i] = pl.standPoint(i)
	}
	seq := s.Seq
	if len(seq) == 0 {
		seq = []Entry{{Name: "stand", Kind: Stand, Duration: settle}}
	}
	fewest := 0 // of the gait walked just before
	for i := range seq {
		e := &seq[i]
		from := pl.now
		on := i+1 < len(seq) && (seq[i+1].Kind == Walk || seq[i+1].Kind == Change)
		if err := pl.play(e, on); err != nil {
			return nil, fmt.Errorf("%w: entry %d (%s): %w", ErrScript, i+1, e.Name, err)
		}
		if pl.now > MaxDuration {
			return nil, fmt.Errorf("%w: entry %d (%s): the sequence is longer than %d s", ErrScript, i+1, e.Name, MaxDuration)
		}
		part := motion.Part{Name: e.Name, Kind: e.Kind.String(), From: from, To: pl.now, Index: i}
		if e.Kind == Move {
			part.Speed = e.Speed
		}
		if e.Kind == Walk || e.Kind == Change {
			// A walk may begin in the gait before it.
			part.Fewest = least(fewest, s.Gaits[e.Gait].LeastDown())
			fewest = s.Gaits[e.Gait].LeastDown()
		} else {
			fewest = 0
		}
		pl.p.Parts = append(pl.p.Parts, part)
	}
	pl.p.Duration = pl.now
	return pl.p, nil
}

func (pl *planner) play(e *Entry, on bool) error {
	switch e.Kind {
	case Stand:
		if !(e.Duration > 0) {
			return fmt.Errorf("duration %v s must be positive", e.Duration)
		}
		pl.body(e.Duration, r3.Vec{Z: pl.s.Height}, r3.Vec{})
	case Wait:
		if !(e.Duration > 0) {
			return fmt.Errorf("duration %v s must be positive", e.Duration)
		}
		pl.body(e.Duration, pl.shift, pl.lean)
	case Walk, Change:
		if e.Gait < 0 || e.Gait >= len(pl.s.Gaits) {
			return errors.New("no such gait")
		}
		if e.Kind == Walk {
			pl.twist = e.Command
		}
		return pl.walk(e, on)
	case Recover:
		if e.Gait >= len(pl.s.Gaits) {
			return errors.New("no such gait")
		}
		from := pl.now
		if err := pl.recover(e.Gait); err != nil {
			return err
		}
		if pl.now == from { // stands already: still an entry one can see
			pl.body(settle, pl.shift, pl.lean)
		}
	case Move:
		if e.Move < 0 || e.Move >= len(pl.s.Moves) {
			return errors.New("no such move")
		}
		return pl.move(&pl.s.Moves[e.Move], e.Speed)
	default:
		return errors.New("unknown kind")
	}
	return nil
}

// standPoint gives pGF of leg i standing under the present course.
func (pl *planner) standPoint(i int) r3.Vec { return pl.course.At(pl.standC(i)) }

// standC gives the standing point of leg i in C.
func (pl *planner) standC(i int) r3.Vec {
	l := &pl.s.Robot.Legs[i]
	return r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius}
}

// body moves the body to an offset over a duration while every foot keeps
// doing what it does.
func (pl *planner) body(duration float64, shift, lean r3.Vec) {
	end := pl.now + duration
	ease := curve.Timing{Kind: curve.CubicBezier, X1: 1. / 3, X2: 2. / 3, Y2: 1}
	pl.bodyPiece(motion.BodyPiece{
		From: pl.now, To: end, Start: pl.course,
		Shift: curve.Span{Path: curve.Line(pl.shift, shift), Timing: ease},
		Lean:  curve.Span{Path: curve.Line(pl.lean, lean), Timing: ease},
	})
	pl.shift, pl.lean = shift, lean
	pl.fill(end)
	pl.now = end
}

func (pl *planner) bodyPiece(b motion.BodyPiece) { pl.p.Body = append(pl.p.Body, b) }

// fill lets every foot do what it does until the time end.
func (pl *planner) fill(end float64) {
	for i := range pl.foot {
		pl.keep(i, end)
	}
}

// keep extends the chain of leg i to the time end with what it does anyway.
func (pl *planner) keep(i int, end float64) {
	c := pl.p.Feet[i]
	from := 0.0
	if len(c) > 0 {
		from = c[len(c)-1].To
	}
	if end <= from {
		return
	}
	if n := len(c); n > 0 && c[n-1].Hold == pl.hold[i] && c[n-1].Span.Path == still(pl.foot[i]) && c[n-1].Source == (motion.Source{}) {
		c[n-1].To = end // one long rest instead of many short ones
		return
	}
	pl.p.Feet[i] = append(c, motion.FootPiece{From: from, To: end, Hold: pl.hold[i], Span: curve.Span{Path: still(pl.foot[i])}})
}

func still(p r3.Vec) curve.Bezier { return curve.Bezier{P0: p, P1: p, P2: p, P3: p} }

// atTime gives xGB at a time that the body's chain already covers.
func (pl *planner) atTime(t float64) kin.Pose {
	x, _ := pl.p.BodyAt(t).Pose(t)
	return x
}

// footG gives pGF of leg i at the end of its chain, for a body at xGB.
func (pl *planner) footG(i int, xGB *kin.Pose) r3.Vec {
	if pl.hold[i] == motion.WithBody {
		return xGB.At(pl.foot[i])
	}
	return pl.foot[i]
}

// asked notes in a list the stretch in which a span's floor or target, at the
// height h, is in force: all of it. Two spans of a leg that follow one another
// with the same height, such as the way down to a strike and up again, share
// one, so that the low point between them is told once.
func asked(list *[]motion.Stretch, leg int, h *float64, from, to float64) {
	if h == nil {
		return
	}
	if n := len(*list); n > 0 {
		if b := &(*list)[n-1]; b.Leg == leg && b.To == from && b.Height == *h {
			b.To = to
			return
		}
	}
	*list = append(*list, motion.Stretch{Leg: leg, Other: -1, From: from, To: to, Height: *h})
}

// move plays a move. The body's track is laid first, since foot spans that
// travel with the body need its pose.
func (pl *planner) move(m *move.Move, speed float64) error {
	if !(speed > 0) || math.IsInf(speed, 0) {
		return fmt.Errorf("speed %v must be positive", speed)
	}
	start := pl.now
	last := m.Duration()
	for i := range m.Body {
		last = max(last, m.Body[i].To)
	}
	for i := range m.Feet {
		for j := range m.Feet[i].Spans {
			last = max(last, m.Feet[i].Spans[j].To)
		}
	}
	if !(last > 0) {
		return errors.New("the move has no duration: give it a mark after 0")
	}
	end := start + last/speed
	at := func(t float64) float64 { return start + t/speed }

	from := start
	for i := range m.Body {
		b := &m.Body[i]
		shift := r3.Add(r3.Vec{Z: pl.s.Height}, b.Shift)
		path := curve.Bezier{P0: pl.shift, P1: r3.Add(pl.shift, b.ShiftOut), P2: r3.Add(shift, b.ShiftIn), P3: shift}
		lean := curve.Bezier{P0: pl.lean, P1: r3.Add(pl.lean, b.LeanOut), P2: r3.Add(b.Lean, b.LeanIn), P3: b.Lean}
		piece := motion.BodyPiece{
			From: from, To: at(b.To), Start: pl.course,
			Shift: span(path, b.Timing, b.Even), Lean: curve.Span{Path: lean, Timing: b.Timing},
		}
		if piece.To <= piece.From {
			return fmt.Errorf("body span %d does not end after it begins", i+1)
		}
		if err := errors.Join(piece.Shift.Check(), piece.Lean.Check()); err != nil {
			return fmt.Errorf("body span %d: %w", i+1, err)
		}
		pl.bodyPiece(piece)
		pl.shift, pl.lean, from = shift, b.Lean, piece.To
	}
	if from < end {
		pl.bodyPiece(motion.BodyPiece{From: from, To: end, Start: pl.course,
			Shift: curve.Span{Path: still(pl.shift)}, Lean: curve.Span{Path: still(pl.lean)}})
	}
	paired := make([]bool, len(pl.foot))
	for i := range m.Feet {
		f := &m.Feet[i]
		if f.Leg < 0 || f.Leg >= len(pl.foot) {
			return fmt.Errorf("foot track %d: no such leg", i+1)
		}
		if err := pl.track(f, i+1, f.Leg, false, at); err != nil {
			return err
		}
		if o := pl.s.Robot.Legs[f.Leg].Mirror; f.Pair {
			if o < 0 {
				return fmt.Errorf("foot track %d: leg %s has no mirrored leg", i+1, pl.s.Robot.Legs[f.Leg].Name)
			}
			if err := pl.track(f, i+1, o, true, at); err != nil {
				return err
			}
			paired[min(f.Leg, o)] = true
		}
	}
	for i := range pl.s.Robot.Legs {
		if o := pl.s.Robot.Legs[i].Mirror; o > i && (m.Mirrored || paired[i]) {
			pl.p.Mirrored = append(pl.p.Mirrored, motion.Stretch{Leg: i, Other: o, From: start, To: end})
		}
	}
	for _, k := range m.Marks {
		pl.p.Marks = append(pl.p.Marks, motion.Mark{Name: k.Name, At: at(k.At)})
	}
	pl.fill(end)
	pl.now = end
	if m.CoolDown > 0 {
		pl.body(m.CoolDown, pl.shift, pl.lean)
	}
	return nil
}

func span(p curve.Bezier, t curve.Timing, even bool) curve.Span {
	s := curve.Span{Path: p, Timing: t}
	if even {
		e := curve.NewEven(p)
		s.Even = &e
	}
	return s
}

// track lays the spans of one foot.
func (pl *planner) track(f *move.FootTrack, number, leg int, flip bool, at func(float64) float64) error {
	side := func(v r3.Vec) r3.Vec {
		if flip {
			return move.Flip(v)
		}
		return v
	}
	stand := pl.standC(leg)
	from := at(0)
	if c := pl.p.Feet[leg]; len(c) > 0 && c[len(c)-1].To > from {
		return fmt.Errorf("foot track %d: leg %s has a track in this move already", number, pl.s.Robot.Legs[leg].Name)
	}
	for j := range f.Spans {
		s := &f.Spans[j]
		to := at(s.To)
		if to <= from {
			return fmt.Errorf("foot track %d, span %d does not end after it begins", number, j+1)
		}
		x := pl.atTime(from)
		pGF := pl.footG(leg, &x)
		piece := motion.FootPiece{From: from, To: to, Source: motion.Source{Track: number, Span: j + 1}}
		switch s.Hold {
		case move.Planted:
			piece.Span = curve.Span{Path: still(pGF)}
			if h := pGF.Z - stand.Z; math.Abs(h) > onGround {
				// Said to stand, but does not touch the ground: it is held
				// there, carries nothing, and the review says so.
				piece.Hold = motion.OverGround
				pl.p.Floating = append(pl.p.Floating, motion.Stretch{Leg: leg, Other: -1, From: from, To: to, Height: h})
			}
			pl.foot[leg], pl.hold[leg] = pGF, piece.Hold
		case move.OverGround:
			end := pl.course.At(r3.Add(stand, side(s.End)))
			piece.Hold = motion.OverGround
			path := curve.Bezier{
				P0: pGF, P1: r3.Add(pGF, pl.course.Turn(side(s.Out))),
				P2: r3.Add(end, pl.course.Turn(side(s.In))), P3: end,
			}
			piece.Span = span(path, s.Timing, s.Even)
			pl.foot[leg], pl.hold[leg] = end, motion.OverGround
			if j == len(f.Spans)-1 && math.Abs(end.Z-stand.Z) <= onGround {
				pl.hold[leg] = motion.Planted // a foot put down stands
			}
			asked(&pl.p.Floors, leg, s.Floor, from, to)
			asked(&pl.p.Targets, leg, s.Target, from, to)
		case move.WithBody:
			a := x.Into(pGF)
			b := r3.Add(r3.Add(stand, side(s.End)), r3.Vec{Z: -pl.s.Height})
			piece.Hold = motion.WithBody
			path := curve.Bezier{P0: a, P1: r3.Add(a, side(s.Out)), P2: r3.Add(b, side(s.In)), P3: b}
			piece.Span = span(path, s.Timing, s.Even)
			pl.foot[leg], pl.hold[leg] = b, motion.WithBody
			asked(&pl.p.Floors, leg, s.Floor, from, to)
			asked(&pl.p.Targets, leg, s.Target, from, to)
		default:
			return fmt.Errorf("foot track %d, span %d: unknown hold", number, j+1)
		}
		if err := piece.Span.Check(); err != nil {
			return fmt.Errorf("foot track %d, span %d: %w", number, j+1, err)
		}
		pl.p.Feet[leg] = append(pl.p.Feet[leg], piece)
		from = to
	}
	return nil
}

// least gives the lesser of two counts of feet, 0 being none.
func least(a, b int) int {
	if a == 0 {
		return b
	}
	return min(a, b)
}
