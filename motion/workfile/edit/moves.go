// SPDX-License-Identifier: MIT

package edit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/kin/support"
	"gaitwright/motion/workfile"
)

// What a new move begins with.
const (
	newLift   = 30  // the foot goes up by, mm
	newLean   = 700 // time of shifting the weight, ms
	newUp     = 600 // time of going up, ms
	newDown   = 700 // time of going down, ms
	spareLean = 5   // margin beyond the one wanted, mm
	mostLean  = 120 // farthest shift that is tried, mm
)

// Played lists the entries of the sequence that play a move.
func Played(f *workfile.File, move int) (entries []int) {
	if move < 0 || move >= len(f.Moves) {
		return nil
	}
	for i := range f.Sequence {
		if f.Sequence[i].Move == f.Moves[move].Name {
			entries = append(entries, i)
		}
	}
	return entries
}

func moveNamed(f *workfile.File, name string) int {
	return slices.IndexFunc(f.Moves, func(m workfile.Move) bool { return m.Name == name })
}

func freeMove(f *workfile.File, name string) string {
	return another(name, func(s string) bool { return moveNamed(f, s) >= 0 })
}

// AddMove adds a move at the end, plays it at the end of the sequence, and
// gives its index. The first leg lifts its foot and puts it down again; where
// that leg is missed, the body first shifts its weight away, until the margin
// that the file wants is kept on the other feet, as far as a standing robot
// tells.
func AddMove(f *workfile.File, name string) (index int, err error) {
	if name == "" {
		name = "move"
	}
	err = attempt(f, func(f *workfile.File) error {
		if len(f.Legs) == 0 {
			return refuse("add one first", "the robot has no leg")
		}
		shift, err := weightAway(f, 0)
		if err != nil {
			return err
		}
		m := workfile.Move{Name: freeMove(f, name)}
		lift := min(newLift, math.Round(f.Robot.StandHeight/3))
		up, down := workfile.FootSpan{To: "up", Hold: "ground", End: &[3]float64{0, 0, lift}, Out: &[3]float64{0, 0, micro(lift / 3)}},
			workfile.FootSpan{To: "down", Hold: "ground", End: &[3]float64{}, In: &[3]float64{0, 0, micro(lift / 3)}}
		if shift == ([3]float64{}) {
			m.Marks = []workfile.Mark{{Name: "up", At: newUp}, {Name: "down", At: newUp + newDown}}
			m.Feet = []workfile.FootTrack{{Leg: f.Legs[0].Name, Spans: []workfile.FootSpan{up, down}}}
		} else {
			m.Marks = []workfile.Mark{
				{Name: "weight away", At: newLean}, {Name: "up", At: newLean + newUp},
				{Name: "down", At: newLean + newUp + newDown}, {Name: "home", At: 2*newLean + newUp + newDown},
			}
			m.Body = []workfile.BodySpan{{To: "weight away", Shift: shift}, {To: "down", Shift: shift}, {To: "home"}}
			m.Feet = []workfile.FootTrack{{Leg: f.Legs[0].Name, Spans: []workfile.FootSpan{
				{To: "weight away", Hold: "planted"}, up, down, {To: "home", Hold: "planted"},
			}}}
		}
		f.Moves = append(f.Moves, m)
		index = len(f.Moves) - 1
		AddEntry(f, len(f.Sequence)-1, workfile.Entry{Kind: "move", Move: m.Name})
		return nil
	})
	return index, err
}

// weightAway gives the shift of the body (mm) that lets a standing robot lift
// the foot of a leg: along the shortest way in from the nearest edge of the
// support of the other feet. Zero where none is needed, or where none helps.
func weightAway(f *workfile.File, leg int) (shift [3]float64, err error) {
	b, err := f.Build()
	if err != nil {
		return shift, err
	}
	var feet []support.Point
	chains := make([]kin.Chain, len(b.Robot.Legs))
	for i := range b.Robot.Legs {
		l := &b.Robot.Legs[i]
		m := l.Mount()
		s := l.Solve(m.Into(r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius - b.Height}))
		chains[i] = l.Chain(s.Q)
		if i != leg {
			feet = append(feet, support.Point{X: l.Stand.X, Y: l.Stand.Y})
		}
	}
	hull := support.Hull(feet)
	c := mass.Lump(&b.Robot).Centre(chains)
	var mid support.Point
	for i := range hull.N {
		mid.X += hull.V[i].X / float64(hull.N)
		mid.Y += hull.V[i].Y / float64(hull.N)
	}
	want := b.Limits.Margin
	if hull.Margin(support.Point{X: c.X, Y: c.Y}) >= want {
		return shift, nil
	}
	dx, dy := mid.X-c.X, mid.Y-c.Y
	far := math.Hypot(dx, dy)
	if far == 0 {
		return shift, nil
	}
	for mm := 1.0; mm <= mostLean && mm <= far*1000; mm++ {
		x, y := math.Round(dx/far*mm), math.Round(dy/far*mm)
		if hull.Margin(support.Point{X: c.X + x/1000, Y: c.Y + y/1000}) >= want+spareLean/1000.0 {
			return [3]float64{x, y, 0}, nil
		}
	}
	return shift, nil
}

// PlayMove adds an entry at the end of the sequence that plays a move, and
// gives its index.
func PlayMove(f *workfile.File, move int) (entry int, err error) {
	err = attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		entry = AddEntry(f, len(f.Sequence)-1, workfile.Entry{Kind: "move", Move: m.Name})
		return nil
	})
	return entry, err
}

// RenameMove gives a move another name, in the sequence as well.
func RenameMove(f *workfile.File, move int, name string) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		if name = strings.TrimSpace(name); name == "" {
			return refuse("type one", "a move needs a name")
		}
		if i := moveNamed(f, name); i >= 0 && i != move {
			return refuse("choose another name", "there is a move called %s already", name)
		}
		for _, i := range Played(f, move) {
			f.Sequence[i].Move = name
		}
		m.Name = name
		return nil
	})
}

// CopyMove puts a copy of a move behind it, under a name of its own, and gives
// its index. The copy is played right after the last entry that plays the
// original; where none does, it is not played either.
func CopyMove(f *workfile.File, move int) (index int, err error) {
	err = attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		entries := Played(f, move)
		c := f.Clone().Moves[move]
		c.Name = freeMove(f, m.Name)
		index = move + 1
		f.Moves = slices.Insert(f.Moves, index, c)
		if n := len(entries); n > 0 {
			e := workfile.Entry{Kind: "move", Move: c.Name, Speed: same(f.Sequence[entries[n-1]].Speed)}
			AddEntry(f, entries[n-1], e)
		}
		return nil
	})
	return index, err
}

// MoveInUse is why a move is not deleted.
type MoveInUse struct {
	Name    string
	Entries []int // of the sequence
}

// Error names the entries, counted from 1.
func (e *MoveInUse) Error() string {
	var n []string
	for _, i := range e.Entries {
		n = append(n, fmt.Sprint(i+1))
	}
	where, them := "entry "+n[0], "it"
	if k := len(n) - 1; k > 0 {
		where, them = "entries "+strings.Join(n[:k], ", ")+" and "+n[k], "them"
	}
	return fmt.Sprintf("edit: the move %s is played by %s of the sequence: delete %s as well", e.Name, where, them)
}

// DeleteMove takes a move out. One that the sequence plays stays, and the error
// is a MoveInUse, unless the entries that play it go as well.
func DeleteMove(f *workfile.File, move int, withEntries bool) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		uses := Played(f, move)
		if len(uses) > 0 && !withEntries {
			return &MoveInUse{m.Name, uses}
		}
		for i := len(uses) - 1; i >= 0; i-- {
			DeleteEntry(f, uses[i])
		}
		f.Moves = slices.Delete(f.Moves, move, move+1)
		return nil
	})
}

// SetCoolDown sets how long a move holds its last pose, ms.
func SetCoolDown(f *workfile.File, move int, ms float64) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err == nil {
			m.CoolDown = ms
		}
		return err
	})
}

// SetMirrored says whether all pairs of legs are meant to mirror in a move.
func SetMirrored(f *workfile.File, move int, on bool) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err == nil {
			m.Mirrored = on
		}
		return err
	})
}
