// SPDX-License-Identifier: MIT

package table

import (
	"fmt"
	"math"
	"testing"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/move"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
)

// part is a part of the sequence for made: a move when title is not empty.
type part struct {
	entry, title string
	from, to     float64
}

// made builds a robot of 3 joints a leg whose channels all differ, and a
// trajectory of n samples at rate whose angles all differ.
func made(legs, n int, rate float64, parts ...part) (*workfile.Built, *motion.Trajectory) {
	b := &workfile.Built{Robot: kin.Robot{Name: "table robot"}}
	t := &motion.Trajectory{Rate: rate, N: n, Legs: legs, Q: make([]float64, n*legs*3)}
	for i := range legs {
		b.Robot.Legs = append(b.Robot.Legs, kin.Leg{Name: fmt.Sprintf("L%d", i+1), Mirror: -1})
		var ch [kin.Joints]workfile.Channel
		for j := range ch {
			c := 3*i + j
			ch[j] = workfile.Channel{
				Number: 40 - c, Set: true, Centre: 1500 + float64(c), PerRad: 10 * 180 / math.Pi,
				Min: 500, Max: 2500, Sign: 1 - 2*float64(c%2), Trim: 0.01 * float64(c),
			}
		}
		ch[kin.Tibia].Offset = 0.2
		b.Channels = append(b.Channels, ch)
	}
	for k := range n {
		for c := range legs * 3 {
			t.Q[k*legs*3+c] = 0.9 * math.Sin(0.013*float64(k)*(1+0.1*float64(c))+float64(c))
		}
	}
	for i, p := range parts {
		t.Parts = append(t.Parts, motion.Part{Name: p.entry, Kind: "wait", From: p.from, To: p.to, Index: i})
		e := sequence.Entry{Name: p.entry, Kind: sequence.Wait}
		if p.title != "" {
			t.Parts[i].Kind = "move"
			e.Kind, e.Move = sequence.Move, len(b.Script.Moves)
			b.Script.Moves = append(b.Script.Moves, move.Move{Name: p.title})
		}
		b.Script.Seq = append(b.Script.Seq, e)
	}
	return b, t
}

// sample is the table of a move of 0.2 to 1.1 s, with findings and a robot's
// name that would break a comment.
func sample(t *testing.T) (*workfile.Built, *motion.Trajectory, *Table) {
	t.Helper()
	b, tr := made(6, 60, 50, part{"rest", "", 0, 0.2}, part{"first, \"loud\"", "drum hit!", 0.2, 1.1})
	b.Robot.Name = "drum*/\n#error /* robot\u202e \\"
	tb, err := Make(b, tr, Options{Name: "my drum", Workfile: "my drum.toml", SHA256: "abc123", Findings: []review.Finding{
		{Word: "tips-slow", Level: review.Stop, Part: 1, Entry: "first, \"loud\"", Leg: -1, Joint: -1, From: 0.3, To: 0.4, Worst: 0.35, Value: -4, Limit: 10, Unit: "mm", Why: "it leans over /* far */ too far"},
		{Word: "joint-speed", Level: review.Caution, Part: 1, Entry: "x", Leg: 2, Joint: kin.Femur, From: 0.5, To: 0.6, Worst: 0.5, Value: 300, Limit: 250, Unit: "deg/s", Why: "fast"},
	}})
	if err != nil {
		t.Fatal(err)
	}
	return b, tr, tb
}

// verify checks a move against the trajectory: every pulse and angle within
// half a unit of what the trajectory says. The formula is written out again
// here, from the workfile's description of a channel.
func verify(t *testing.T, b *workfile.Built, tr *motion.Trajectory, m *Move, pulse func(frame, joint int) float64, angle func(frame, joint int) float64) {
	t.Helper()
	first := int(math.Round(m.From * tr.Rate))
	const half = 0.5 + 1e-9
	for f := range m.Frames {
		for i := range tr.Legs {
			for j := range kin.Joints {
				q := tr.Q[((first+f)*tr.Legs+i)*3+j]
				c := b.Channels[i][j]
				us := c.Centre + c.PerRad*(c.Sign*(q+c.Offset)+c.Trim)
				if got := pulse(f, 3*i+j); !(math.Abs(got-us) <= half) {
					t.Fatalf("%s, frame %d, joint %d: pulse %v, trajectory says %v", m.Name, f, 3*i+j, got, us)
				}
				if got := angle(f, 3*i+j); !(math.Abs(got-q*1800/math.Pi) <= half) {
					t.Fatalf("%s, frame %d, joint %d: angle %v, trajectory says %v", m.Name, f, 3*i+j, got, q*1800/math.Pi)
				}
			}
		}
	}
}
