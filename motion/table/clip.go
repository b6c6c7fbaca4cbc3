// SPDX-License-Identifier: MIT

package table

import (
	"fmt"
	"math"
	"sort"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/sequence"
	"gaitwright/motion/stride"
	"gaitwright/motion/workfile"
)

// Clip is a motion that becomes a sheet. It is exact: a plan with its clock at
// 0.
type Clip struct {
	Name  string // identifier, distinct from the others' whatever the case
	Title string // of the move or the gait in the workfile
	Entry string // the sequence entry that plays it
	Kind  string // move, walk, start, stop, sequence

	Plan     *motion.Plan
	Duration float64       // without the cool-down, s
	Loop     bool          // the end joins the beginning
	CoolDown float64       // s
	Marks    []motion.Mark // within it
}

// Which says what is made into clips.
type Which struct {
	Moves bool // every move of the sequence
	Walks bool // for each gait and command walked: from standing into the cycle, the cycle, and from it to standing
	Whole bool // the whole sequence
}

// Clips cuts what is wanted out of a plan, which is b's sequence. A move
// played twice at the same speed from the same stance is still two clips: they
// may begin differently.
func Clips(b *workfile.Built, p *motion.Plan, which Which) ([]Clip, error) {
	var all []Clip
	if which.Whole {
		all = append(all, Clip{Name: "sequence", Title: "sequence", Entry: "all", Kind: "sequence",
			Plan: p, Duration: p.Duration, Marks: p.Marks})
	}
	if which.Moves {
		for i := range p.Parts {
			q := &p.Parts[i]
			if q.Kind != sequence.Move.String() {
				continue
			}
			c := Clip{Title: q.Name, Entry: q.Name, Kind: "move"}
			if q.Index >= 0 && q.Index < len(b.Script.Seq) {
				if e := &b.Script.Seq[q.Index]; e.Move >= 0 && e.Move < len(b.Script.Moves) {
					m := &b.Script.Moves[e.Move]
					c.Title, c.CoolDown = m.Name, max(0, m.CoolDown)
				}
			}
			c.Duration = q.To - q.From - c.CoolDown
			if !(c.Duration > 0) {
				return nil, fmt.Errorf("%w: move %s lasts no time", ErrNoMove, q.Name)
			}
			c.Plan = p.Cut(q.From, q.From+c.Duration)
			for _, m := range c.Plan.Marks {
				if m.At > -onGrid && m.At < c.Duration+onGrid {
					c.Marks = append(c.Marks, motion.Mark{Name: m.Name, At: min(max(0, m.At), c.Duration)})
				}
			}
			all = append(all, c)
		}
	}
	if which.Walks {
		walks, err := walkClips(b)
		if err != nil {
			return nil, err
		}
		if len(walks) == 0 {
			return nil, fmt.Errorf("%w: the sequence has no walk: add an entry of kind \"walk\" to it, or ask for moves alone", ErrNoMove)
		}
		all = append(all, walks...)
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("%w: the sequence plays no move: add an entry of kind \"move\" to it, or ask for walks", ErrNoMove)
	}
	taken := map[string]bool{}
	for i := range all {
		c := &all[i]
		suffix := ""
		if c.Kind == "start" || c.Kind == "stop" {
			suffix = " " + c.Kind
		}
		c.Name = distinct(identifier(c.Title+suffix, c.Kind), taken)
		sort.SliceStable(c.Marks, func(i, j int) bool { return c.Marks[i].At < c.Marks[j].At })
	}
	return all, nil
}

// walkClips gives three clips for each gait and command that the sequence
// walks.
func walkClips(b *workfile.Built) ([]Clip, error) {
	type walk struct {
		gait  int
		twist motion.Twist
	}
	done := map[walk]bool{}
	var last motion.Twist
	var all []Clip
	for i := range b.Script.Seq {
		e := &b.Script.Seq[i]
		switch e.Kind {
		case sequence.Walk:
			last = e.Command
		case sequence.Change:
		default:
			continue
		}
		k := walk{e.Gait, last}
		if done[k] || e.Gait < 0 || e.Gait >= len(b.Script.Gaits) {
			continue
		}
		done[k] = true
		clips, err := steady(b, e.Gait, last, e.Name)
		if err != nil {
			return nil, err
		}
		all = append(all, clips...)
	}
	return all, nil
}

// closes is how near the end of a cycle comes to its beginning, rad.
const closes = 1e-7

// steady walks from standing until every cycle is like the one before, for one
// cycle from phase 0 of the gait's clock, and to standing again.
func steady(b *workfile.Built, g int, w motion.Twist, entry string) ([]Clip, error) {
	gt := &b.Script.Gaits[g]
	fail := func(err error) error { return fmt.Errorf("table: walk %s in gait %s: %w", entry, gt.Name, err) }
	wk, err := stride.New(stride.Options{Robot: &b.Robot, Height: b.Height, Tilt: b.Tilt, Margin: b.Script.Margin})
	if err != nil {
		return nil, fail(err)
	}
	if err := wk.Ask(0, stride.Request{Gait: gt, Command: w, Height: b.Height}); err != nil {
		return nil, fail(err)
	}
	const most = 1000 // events, and cycles, before it is given up
	for n := 0; !wk.Done() || wk.State().Gait == nil; n++ {
		next := wk.Next()
		if math.IsInf(next, 0) || n > most {
			return nil, fail(fmt.Errorf("%w: it does not get into step", ErrNoMove))
		}
		wk.Advance(next)
	}
	s := wk.State()
	start := s.At + (1-s.Phase)*gt.Period
	for n := 0; ; n++ {
		wk.Advance(start + gt.Period)
		p := wk.Plan()
		t, err := motion.NewSampler(&b.Robot).Sample(p.Cut(start, start+gt.Period), 16/gt.Period, nil)
		if err != nil {
			return nil, fail(err)
		}
		gap := 0.0
		for i := range t.Legs * kin.Joints {
			gap = max(gap, math.Abs(t.Q[i]-t.Q[(t.N-1)*t.Legs*kin.Joints+i]))
		}
		if gap <= closes {
			break
		}
		if n > 20 {
			return nil, fail(fmt.Errorf("%w: after twenty cycles one still differs from the next by %.2g rad", ErrNoMove, gap))
		}
		start += gt.Period
	}
	end := start + gt.Period
	if err := wk.Ask(end, stride.Request{Height: b.Height}); err != nil {
		return nil, fail(err)
	}
	for n := 0; !wk.Done(); n++ {
		next := wk.Next()
		if math.IsInf(next, 0) || n > most {
			return nil, fail(fmt.Errorf("%w: it does not come to stand", ErrNoMove))
		}
		wk.Advance(next)
	}
	p := wk.Plan()
	name := entry
	if name == "" {
		name = gt.Name
	}
	return []Clip{
		{Title: name, Entry: entry, Kind: "start", Plan: p.Cut(0, start), Duration: start},
		{Title: name, Entry: entry, Kind: "walk", Plan: p.Cut(start, end), Duration: gt.Period, Loop: true},
		{Title: name, Entry: entry, Kind: "stop", Plan: p.Cut(end, p.Duration), Duration: p.Duration - end},
	}, nil
}

// Contact is an instant from which on a set of feet stands.
type Contact struct {
	At      float64 // s
	Planted uint16  // bit i: leg i
}

// contacts lists when which feet stand, the first at 0.
func (c *Clip) contacts() []Contact {
	times := []float64{0}
	for _, chain := range c.Plan.Feet {
		for i := range chain {
			if t := chain[i].From; t > 1e-9 && t < c.Duration-1e-9 {
				times = append(times, t)
			}
		}
	}
	sort.Float64s(times)
	var out []Contact
	for _, t := range times {
		var set uint16
		for i := range c.Plan.Feet {
			if c.Plan.FootAt(i, t+1e-9).Hold == motion.Planted {
				set |= 1 << i
			}
		}
		if n := len(out); n == 0 || out[n-1].Planted != set {
			out = append(out, Contact{t, set})
		}
	}
	return out
}
