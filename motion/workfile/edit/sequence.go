// SPDX-License-Identifier: MIT

package edit

import (
	"math"
	"slices"
	"strings"

	"gaitwright/motion/workfile"
)

// Kinds are the kinds of entries that can be added, in the order in which a
// person meets them.
func Kinds() []string { return []string{"stand", "walk", "change", "move", "recover", "wait"} }

// What a new entry begins with.
const (
	newStand  = 600 // ms
	newWait   = 500 // ms
	newCycles = 3
)

// CanAdd tells why no entry of a kind can stand after entry after of the
// sequence (-1 for the first), nil when one can.
func CanAdd(f *workfile.File, kind string, after int) error {
	switch kind {
	case "stand", "wait", "recover":
	case "walk":
		if len(f.Gaits) == 0 {
			return noGait()
		}
	case "change":
		if walkBefore(f, after) < 0 {
			return refuse("put a walk before it", "there is no walk to go on with")
		}
	case "move":
		if len(f.Moves) == 0 {
			return refuse("make one on the page “move” first", "there is no move yet")
		}
	default:
		return refuse("use one of "+strings.Join(Kinds(), ", "), "no entry is of the kind “%s”", kind)
	}
	return nil
}

func noGait() error {
	return refuse("add one on the page “walk” first", "there is no gait yet")
}

// NewEntry gives an entry of a kind with sensible values, to stand after entry
// after of the sequence (-1 for the first). A walk takes gait and command of
// the walk before it, or else the file's first gait at half of the fastest way
// ahead; a change takes the gait after the one that is walked; a move takes
// the file's move of index move, or else the first.
func NewEntry(f *workfile.File, kind string, after, move int) (workfile.Entry, error) {
	e := workfile.Entry{Kind: kind}
	if err := CanAdd(f, kind, after); err != nil {
		return e, err
	}
	before := walkBefore(f, after)
	switch kind {
	case "stand":
		e.Duration = value(newStand)
	case "wait":
		e.Duration = value(newWait)
	case "walk":
		if before >= 0 {
			return walkLike(f, before), nil
		}
		return NewWalk(f, 0), nil
	case "change":
		i := GaitIndex(f, f.Sequence[before].Gait)
		if i < 0 {
			return e, noGait()
		}
		e.Gait, e.Cycles = f.Gaits[(i+1)%len(f.Gaits)].Name, value(newCycles)
	case "move":
		if move < 0 || move >= len(f.Moves) {
			move = 0
		}
		e.Move = f.Moves[move].Name
	}
	return e, nil
}

// walkLike gives a walk as that of entry i, which walks or changes.
func walkLike(f *workfile.File, i int) workfile.Entry {
	e := workfile.Entry{Kind: "walk", Gait: f.Sequence[i].Gait, Cycles: value(newCycles)}
	for ; i >= 0; i-- {
		if w := &f.Sequence[i]; w.Kind == "walk" {
			e.Forward, e.Side, e.Turn = same(w.Forward), same(w.Side), same(w.Turn)
			break
		}
	}
	return e
}

// walkBefore gives the last entry up to index at that walks, -1 for none.
func walkBefore(f *workfile.File, at int) int {
	for i := min(at, len(f.Sequence)-1); i >= 0; i-- {
		if Walks(&f.Sequence[i]) {
			return i
		}
	}
	return -1
}

// Walks tells whether an entry walks with a gait of its own.
func Walks(e *workfile.Entry) bool { return e.Kind == "walk" || e.Kind == "change" }

// AddEntry puts an entry after entry after (-1 for the first place) and gives
// its index.
func AddEntry(f *workfile.File, after int, e workfile.Entry) int {
	at := max(0, min(after+1, len(f.Sequence)))
	f.Sequence = slices.Insert(f.Sequence, at, e)
	return at
}

// DeleteEntry takes an entry out. An index that is none changes nothing.
func DeleteEntry(f *workfile.File, i int) {
	if i >= 0 && i < len(f.Sequence) {
		f.Sequence = slices.Delete(f.Sequence, i, i+1)
	}
}

// DuplicateEntry puts a copy behind an entry and gives its index. A copy of a
// named one gets a name of its own, since names must differ.
func DuplicateEntry(f *workfile.File, i int) int {
	if i < 0 || i >= len(f.Sequence) {
		return i
	}
	e := f.Sequence[i]
	e.Duration, e.Cycles, e.Speed = same(e.Duration), same(e.Cycles), same(e.Speed)
	e.Forward, e.Side, e.Turn = same(e.Forward), same(e.Side), same(e.Turn)
	if e.Name != "" {
		e.Name = another(e.Name, func(s string) bool {
			return slices.ContainsFunc(f.Sequence, func(o workfile.Entry) bool { return o.Name == s })
		})
	}
	return AddEntry(f, i, e)
}

// MoveEntry takes an entry to another place of the sequence; the ones between
// move up.
func MoveEntry(f *workfile.File, from, to int) {
	if from < 0 || from >= len(f.Sequence) || to < 0 || to >= len(f.Sequence) || from == to {
		return
	}
	e := f.Sequence[from]
	f.Sequence = slices.Insert(slices.Delete(f.Sequence, from, from+1), to, e)
}

// Steps of a length that is set by hand.
const (
	durationStep = 10   // ms
	cycleStep    = 0.5  // half a cycle, in which each leg of a gait of two beats steps once
	speedStep    = 0.01 // of a move
)

// Stretchable tells whether the file says how long an entry lasts.
func Stretchable(f *workfile.File, i int) bool {
	if i < 0 || i >= len(f.Sequence) {
		return false
	}
	switch e := &f.Sequence[i]; e.Kind {
	case "stand", "wait":
		return true
	case "walk", "change":
		return GaitIndex(f, e.Gait) >= 0
	case "move":
		return drawn(f, e) > 0
	}
	return false // a recovery takes as long as its steps
}

// Stretch makes an entry longer by a time (s), or shorter by a negative one,
// in steps: the duration of a stand or a wait by 10 ms, the cycles of a walk
// by halves, the speed of a move by hundredths. It stays in the range of its
// key. A walk ends when its feet stand, so that it need not be longer by just
// as much.
func Stretch(f *workfile.File, i int, by float64) {
	if !Stretchable(f, i) || math.IsNaN(by) || math.IsInf(by, 0) {
		return
	}
	e := &f.Sequence[i]
	switch e.Kind {
	case "stand", "wait":
		was := float64(newStand) // what the reader takes for a stand without one
		if e.Duration != nil {
			was = *e.Duration
		}
		e.Duration = value(stepped(was+by*1000, durationStep, durationStep, 600000))
	case "walk", "change":
		was := 0.0
		if e.Cycles != nil {
			was = *e.Cycles
		}
		period := f.Gaits[GaitIndex(f, e.Gait)].Period / 1000
		e.Cycles = value(stepped(was+by/period, cycleStep, cycleStep, 10000))
	case "move":
		was := 1.0
		if e.Speed != nil {
			was = *e.Speed
		}
		length := drawn(f, e) / 1000
		to := 10.0
		if now := length/was + by; now > length/to {
			to = length / now
		}
		e.Speed = value(stepped(to, speedStep, speedStep, 10))
	}
}

// Stretching gives Stretch as an edit.
func Stretching(i int, by float64) func(*workfile.File) {
	return func(f *workfile.File) { Stretch(f, i, by) }
}

// drawn gives how long the move of an entry lasts as drawn, without its
// cool-down, ms; 0 where there is none.
func drawn(f *workfile.File, e *workfile.Entry) float64 {
	i := slices.IndexFunc(f.Moves, func(m workfile.Move) bool { return m.Name == e.Move })
	if i < 0 || len(f.Moves[i].Marks) == 0 {
		return 0
	}
	return f.Moves[i].Marks[len(f.Moves[i].Marks)-1].At
}

// stepped rounds v to a step, and to hundredths of it, so that it is written
// in few digits.
func stepped(v, step, lo, hi float64) float64 {
	v = math.Round(v/step) * step
	return max(lo, min(hi, math.Round(v*100)/100))
}

func value(v float64) *float64 { return &v }

func same(p *float64) *float64 {
	if p == nil {
		return nil
	}
	return value(*p)
}
