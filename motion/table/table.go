// SPDX-License-Identifier: MIT

// Package table turns the moves of a sequence into tables for a robot's
// firmware: servo pulses in microseconds and joint angles in tenths of a
// degree, as C, as C for an AVR, as CSV or as JSON.
//
// A table holds what the trajectory holds, rounded once: nothing is clamped,
// and what a servo or the number format cannot take is an error.
//
// For the player in assets/firmware it makes sheets: a clip (a move, a cycle
// of a walk, the ways into it and out of it, or the whole sequence) in frames
// of a rate chosen, or of the lowest one with which what the player makes of
// them stays within a stated error. Sheet.At works out to the last bit what
// the player does; a sheet is measured by it against the motion, 10,000 times
// a second.
package table

import (
	"errors"
	"fmt"
	"math"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
)

// What Make's errors wrap.
var (
	ErrNoMove = errors.New("table: nothing to export")
	ErrJoint  = errors.New("table: a joint cannot follow")
)

// Options say what the tables are called and what their comments tell. The
// zero value names nothing.
type Options struct {
	Name     string // what files and identifiers begin with, any text; "" for "moves"
	Workfile string // file name, for the comment
	SHA256   string // of the workfile's bytes, lower-case hexadecimal, for the comment

	// Whole makes one table of the whole sequence, walking included, instead
	// of one for each move.
	Whole bool

	// Findings are what the review has to say; the comment repeats them.
	Findings []review.Finding
}

// Table holds the moves of one sequence, ready to be written.
type Table struct {
	Options // Name is an identifier

	Robot  string
	Rate   float64 // frames a second, Hz
	Joints []Joint // leg by leg in the workfile's order, coxa, femur, tibia
	Moves  []Move
}

// Joint is one column of a table.
type Joint struct {
	Leg     string
	Name    string // coxa, femur, tibia
	Channel int    // output of the servo driver
}

// Move is one move of the sequence in frames. Frame k is k/Rate seconds after
// frame 0.
type Move struct {
	Name  string // identifier, distinct from the others' whatever the case
	Title string // the move's name in the workfile
	Entry string // the sequence entry that plays it

	From   float64 // time of frame 0 in the sequence, s
	Lead   float64 // time from the move's start to frame 0, less than one frame, s
	Frames int

	Pulse []uint16 // servo pulse (frames x joints), µs
	Angle []int16  // joint angle (frames x joints), 0.1 degree
}

// Duration is the time from the first frame to the last, s.
func (t *Table) Duration(m *Move) float64 { return float64(m.Frames-1) / t.Rate }

// onGrid is how near a move's end may lie to a frame to count as on it, in
// frames.
const onGrid = 1e-6

// Make builds the tables of every move in t, which is b's sequence sampled at
// the rate wanted, or one of all of it. A move has the frames that lie within it, both its ends
// and its cool-down included; a move played twice has two tables. Pulses and
// angles are rounded to the nearest, halves away from zero.
//
// Errors wrap ErrNoMove when the sequence plays no move or one too short for
// a frame; the error is a JointError, which wraps ErrJoint, when a joint has no channel or would be asked for a
// pulse outside its channel's range; then each joint is named once, with the
// worst instant and the remedy.
func Make(b *workfile.Built, t *motion.Trajectory, o Options) (*Table, error) {
	if t.Legs != len(b.Robot.Legs) || len(b.Channels) != t.Legs {
		return nil, fmt.Errorf("table: the trajectory has %d legs, the robot %d and %d of them have channels", t.Legs, len(b.Robot.Legs), len(b.Channels))
	}
	tb := &Table{Options: o, Robot: b.Robot.Name, Rate: t.Rate}
	tb.Name = identifier(o.Name, "moves")
	var faults []string
	for i := range b.Robot.Legs {
		for j := range kin.Joints {
			c := &b.Channels[i][j]
			if !c.Set {
				faults = append(faults, fmt.Sprintf("leg %s, %s: the joint has no channel: give it one in the workfile", b.Robot.Legs[i].Name, kin.JointName(j)))
			} else if c.Number < 0 || c.Number > math.MaxUint16 {
				faults = append(faults, fmt.Sprintf("leg %s, %s: channel %d is outside 0 to %d: give it another", b.Robot.Legs[i].Name, kin.JointName(j), c.Number, math.MaxUint16))
			}
			tb.Joints = append(tb.Joints, Joint{Leg: b.Robot.Legs[i].Name, Name: kin.JointName(j), Channel: c.Number})
		}
	}
	if len(faults) > 0 {
		return nil, &JointError{faults}
	}

	w := worst{at: make([]miss, len(tb.Joints))}
	taken := map[string]bool{}
	parts := t.Parts
	if o.Whole {
		parts = []motion.Part{{Name: "sequence", Kind: sequence.Move.String(), To: t.Duration(), Index: -1}}
	}
	for i := range parts {
		p := &parts[i]
		if p.Kind != sequence.Move.String() {
			continue
		}
		m, err := frames(b, t, p, &w)
		if err != nil {
			return nil, err
		}
		m.Name = distinct(identifier(m.Title, "move"), taken)
		tb.Moves = append(tb.Moves, m)
	}
	if len(tb.Moves) == 0 {
		return nil, fmt.Errorf("%w: the sequence plays no move: add an entry of kind \"move\" to it", ErrNoMove)
	}
	if faults := w.faults(tb); len(faults) > 0 {
		return nil, &JointError{faults}
	}
	return tb, nil
}

// frames fills one move. What a joint cannot follow is noted in w.
func frames(b *workfile.Built, t *motion.Trajectory, p *motion.Part, w *worst) (Move, error) {
	m := Move{Title: p.Name, Entry: p.Name}
	if p.Index >= 0 && p.Index < len(b.Script.Seq) {
		if e := &b.Script.Seq[p.Index]; e.Move >= 0 && e.Move < len(b.Script.Moves) {
			m.Title = b.Script.Moves[e.Move].Name
		}
	}
	first := int(math.Ceil(p.From*t.Rate - onGrid))
	last := min(int(math.Floor(p.To*t.Rate+onGrid)), t.N-1)
	if last < first {
		return m, fmt.Errorf("%w: move %s lasts %.4g s, less than a frame at %g Hz: raise the rate or slow the move down", ErrNoMove, p.Name, p.To-p.From, t.Rate)
	}
	m.From = t.Time(first)
	m.Lead = max(0, m.From-p.From)
	m.Frames = last - first + 1
	n := m.Frames * t.Legs * kin.Joints
	m.Pulse, m.Angle = make([]uint16, 0, n), make([]int16, 0, n)
	for k := first; k <= last; k++ {
		for i := range t.Legs {
			q := t.JointsAt(k, i)
			for j := range kin.Joints {
				us := b.Channels[i][j].Pulse(q[j])
				tenth := math.Round(q[j] * (1800 / math.Pi))
				w.note(i*kin.Joints+j, t.Time(k), p.Name, us, tenth, &b.Channels[i][j])
				m.Pulse = append(m.Pulse, uint16(max(0, min(math.MaxUint16, math.Round(us)))))
				m.Angle = append(m.Angle, int16(max(math.MinInt16, min(math.MaxInt16, tenth))))
			}
		}
	}
	return m, nil
}
