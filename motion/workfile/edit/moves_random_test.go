// SPDX-License-Identifier: MIT

package edit_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Random edits, one after the other: each leaves a file that reads, builds and
// is rehearsed, or says why not and leaves the file as it was.
func TestRandomEdits(t *testing.T) {
	n := 400
	if testing.Short() {
		n = 80
	}
	rng := rand.New(rand.NewPCG(5, 7)) // any seed will do
	done, not := map[string]int{}, map[string]int{}
	for _, f := range []*workfile.File{demo(t), walker(t)} {
		first := f.Clone()
		for i := range n {
			was := f.Clone()
			name, err := randomEdit(rng, f)
			if err != nil {
				not[name]++
				if edit.Words(err) == "" {
					t.Fatalf("%d, %s: no reason", i, name)
				}
				if !f.Equal(was) {
					t.Fatalf("%d, %s: refused (%v), and yet the file changed", i, name, err)
				}
				continue
			}
			done[name]++
			reads(t, f)
			if i%4 == 0 {
				if _, err := rehearsal.Run(f, rehearsal.Options{Rate: 20}); err != nil {
					t.Fatalf("%d, %s: %v", i, name, err)
				}
			} else if _, err := f.Build(); err != nil {
				t.Fatalf("%d, %s: %v", i, name, err)
			}
			if len(f.Moves) > 6 || len(f.Moves) > 0 && len(f.Moves[0].Marks) > 40 || len(f.Sequence) > 20 {
				f = first.Clone() // keeps the test quick
			}
		}
	}
	for name := range not {
		if done[name] == 0 && n > 100 {
			t.Errorf("%s was refused every time", name)
		}
	}
	t.Logf("done %v; refused %v", done, not)
}

func randomEdit(rng *rand.Rand, f *workfile.File) (name string, err error) {
	pick := func(n int) int { return rng.IntN(max(n, 1)+2) - 1 } // also just outside
	move := pick(len(f.Moves))
	var m workfile.Move
	if move >= 0 && move < len(f.Moves) {
		m = f.Moves[move]
	}
	track := pick(len(m.Feet))
	spans := len(m.Body)
	if track >= 0 && track < len(m.Feet) {
		spans = len(m.Feet[track].Spans)
	}
	s := edit.Spot{Move: move, Track: track, Span: pick(spans)}
	mark := pick(len(m.Marks))
	leg := f.Legs[rng.IntN(len(f.Legs))].Name
	coin := rng.IntN(2) == 0
	from, to, _ := edit.SpanTimes(f, s)
	at := from + (to-from)*(rng.Float64()*1.2-0.1)
	word := fmt.Sprintf("n%d", rng.IntN(30))
	h := rng.Float64()*80 - 10
	switch rng.IntN(24) {
	case 0:
		_, err = edit.AddMove(f, word)
		return "add move", err
	case 1:
		return "rename move", edit.RenameMove(f, move, word)
	case 2:
		return "delete move", edit.DeleteMove(f, move, coin)
	case 3:
		_, err = edit.CopyMove(f, move)
		return "copy move", err
	case 4:
		_, err = edit.PlayMove(f, move)
		return "play move", err
	case 5:
		_, err = edit.AddFootTrack(f, move, leg, coin)
		return "add track", err
	case 6:
		return "add body", edit.AddBodyTrack(f, move)
	case 7:
		if rng.IntN(4) > 0 { // seldom, or nothing is left
			track = 99
		}
		return "remove track", edit.RemoveTrack(f, move, track)
	case 8:
		_, err = edit.CopyTrack(f, move, track, leg, coin)
		return "copy track", err
	case 9:
		return "mirror track", edit.MirrorTrack(f, move, track)
	case 10:
		return "mirror move", edit.MirrorMove(f, move)
	case 11:
		return "pair", edit.SetPair(f, move, track, coin)
	case 12, 13:
		_, err = edit.Split(f, s, at, rng.IntN(8)-1)
		return "split", err
	case 14:
		_, err = edit.Join(f, s, rng.IntN(8)-1)
		return "join", err
	case 15:
		return "delete span", edit.DeleteSpan(f, s)
	case 16:
		return "insert span", edit.InsertSpan(f, s)
	case 17:
		return "shift span", edit.ShiftSpan(f, s, rng.IntN(3)-1)
	case 18:
		return "rename mark", edit.RenameMark(f, move, mark, word)
	case 19:
		old := 0.0
		if mark >= 0 && mark < len(m.Marks) {
			old = m.Marks[mark].At
		}
		return "retime", edit.Retime(f, move, mark, old+rng.Float64()*400-200, coin)
	case 20:
		return "scale", edit.ScaleMove(f, move, 0.5+rng.Float64()*1.2)
	case 21:
		return "hold", edit.SetHold(f, s, [...]string{"planted", "ground", "body"}[rng.IntN(3)])
	case 22:
		if coin {
			return "floor", edit.SetFloor(f, s, &h)
		}
		return "target", edit.SetTarget(f, s, &h)
	}
	return "even", edit.SetEven(f, s, coin)
}
