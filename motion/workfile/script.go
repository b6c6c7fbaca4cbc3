// SPDX-License-Identifier: MIT

package workfile

import (
	"fmt"
	"slices"

	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/move"
	"gaitwright/motion/sequence"
)

// script converts gaits, moves and the sequence of a checked file. Errors
// would be slips of Check.
func (f *File) script(b *Built) error {
	s := &b.Script
	s.Robot, s.Height, s.Tilt, s.Margin = &b.Robot, b.Height, b.Tilt, f.limits().Margin
	for i := range f.Gaits {
		g, err := f.gait(&f.Gaits[i])
		if err != nil {
			return fmt.Errorf("workfile: gait %s: %w", f.Gaits[i].Name, err)
		}
		s.Gaits = append(s.Gaits, g)
	}
	for i := range f.Moves {
		m, err := f.move(&f.Moves[i])
		if err != nil {
			return fmt.Errorf("workfile: move %s: %w", f.Moves[i].Name, err)
		}
		s.Moves = append(s.Moves, m)
	}
	for i := range f.Sequence {
		s.Seq = append(s.Seq, f.entry(&f.Sequence[i]))
	}
	return nil
}

func (f *File) gait(g *Gait) (gait.Gait, error) {
	t, err := parseTiming(g.Timing)
	out := gait.Gait{
		Name: g.Name, Period: scaled(g.Period, ms), Duty: g.Duty, StepHeight: scaled(g.StepHeight, mm),
		Swing: gait.PlainSwing, Timing: t, EarlyLift: g.EarlyLift, LateTouch: g.LateTouch, Sway: scaled(g.Sway, mm),
	}
	for i := range f.Legs {
		name := f.Legs[i].Name
		out.Phase = append(out.Phase, g.Phase[name])
		if len(g.Duties) == 0 {
			continue
		}
		duty, own := g.Duties[name]
		if !own {
			duty = g.Duty
		}
		out.Duties = append(out.Duties, duty)
	}
	if h := g.Swing; h != nil {
		out.Swing = gait.Swing{LiftAlong: h[0], LiftUp: h[1], LandAlong: h[2], LandUp: h[3]}
	}
	if err == nil {
		err = out.Check(len(f.Legs))
	}
	return out, err
}

func (f *File) move(m *Move) (move.Move, error) {
	out := move.Move{Name: m.Name, CoolDown: scaled(m.CoolDown, ms), Mirrored: m.Mirrored}
	at := map[string]float64{}
	for _, k := range m.Marks {
		at[k.Name] = scaled(k.At, ms)
		out.Marks = append(out.Marks, move.Mark{Name: k.Name, At: at[k.Name]})
	}
	for i := range m.Body {
		s := &m.Body[i]
		t, err := parseTiming(s.Timing)
		if err != nil {
			return out, err
		}
		out.Body = append(out.Body, move.BodySpan{
			To: at[s.To], Shift: vec(s.Shift, mm), Lean: vec(s.Lean, deg),
			ShiftOut: vecOr(s.ShiftOut, mm), ShiftIn: vecOr(s.ShiftIn, mm),
			LeanOut: vecOr(s.LeanOut, deg), LeanIn: vecOr(s.LeanIn, deg),
			Timing: t, Even: s.Even,
		})
	}
	for i := range m.Feet {
		k, err := f.track(&m.Feet[i], at)
		if err != nil {
			return out, err
		}
		out.Feet = append(out.Feet, k)
	}
	return out, nil
}

func (f *File) track(t *FootTrack, at map[string]float64) (move.FootTrack, error) {
	out := move.FootTrack{Leg: slices.Index(f.legNames(), t.Leg), Pair: t.Pair}
	for i := range t.Spans {
		s := &t.Spans[i]
		timing, err := parseTiming(s.Timing)
		if err != nil {
			return out, err
		}
		hold := move.Planted
		switch s.Hold {
		case "ground":
			hold = move.OverGround
		case "body":
			hold = move.WithBody
		}
		out.Spans = append(out.Spans, move.FootSpan{
			To: at[s.To], Hold: hold, End: vecOr(s.End, mm), Out: vecOr(s.Out, mm), In: vecOr(s.In, mm), Timing: timing, Even: s.Even,
			Target: height(s.Target), Floor: height(s.Floor),
		})
	}
	return out, nil
}

// height converts a height that may be left out.
func height(v *float64) *float64 {
	if v == nil {
		return nil
	}
	h := scaled(*v, mm)
	return &h
}

// entry converts one entry. One without a name is called by what it does.
func (f *File) entry(e *Entry) sequence.Entry {
	kind, _ := sequence.ParseKind(e.Kind)
	out := sequence.Entry{
		Name: e.Name, Kind: kind, Duration: scaled(orElse(e.Duration, 0), ms),
		Gait: slices.Index(f.gaitNames(), e.Gait), Move: slices.Index(f.moveNames(), e.Move),
		Cycles: orElse(e.Cycles, 0), Speed: orElse(e.Speed, 1),
		Command: motion.Twist{
			Forward: scaled(orElse(e.Forward, 0), mm), Side: scaled(orElse(e.Side, 0), mm), Turn: orElse(e.Turn, 0) * deg,
		},
	}
	if kind == sequence.Stand {
		out.Duration = scaled(orElse(e.Duration, standMs), ms)
	}
	if out.Name == "" {
		out.Name = e.Kind
		if what := e.Gait + e.Move; what != "" { // an entry has at most one of them
			out.Name += " " + what
		}
	}
	return out
}
