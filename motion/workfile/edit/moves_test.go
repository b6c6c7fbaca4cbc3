// SPDX-License-Identifier: MIT

package edit_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// A new move plays at once and nothing stops it, on six legs and on four.
func TestAddedMovePlays(t *testing.T) {
	for name, text := range map[string][]byte{"demo": assets.Demo, "walker": assets.Walker, "new": assets.New} {
		f := file(t, text)
		n := len(f.Moves)
		for range 2 {
			i, err := edit.AddMove(f, "")
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if i != len(f.Moves)-1 || len(f.Moves[i].Feet) != 1 {
				t.Fatalf("%s: %+v", name, f.Moves)
			}
		}
		if len(f.Moves) != n+2 || f.Moves[n].Name != "move" || f.Moves[n+1].Name != "move 2" {
			t.Errorf("%s: %d moves, the last is %s", name, len(f.Moves), f.Moves[len(f.Moves)-1].Name)
		}
		if e := f.Sequence[len(f.Sequence)-1]; e.Kind != "move" || e.Move != "move 2" {
			t.Errorf("%s: %+v", name, e)
		}
		reads(t, f)
		if r := plays(t, f); review.Stops(r.Findings) > 0 {
			t.Errorf("%s: %+v", name, r.Findings)
		}
	}
}

// The four-legged robot shifts its weight first, the six-legged need not.
func TestAddedMoveShiftsWeightWhereNeeded(t *testing.T) {
	f := walker(t)
	i, err := edit.AddMove(f, "wave")
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Moves[i].Body) != 3 || f.Moves[i].Body[0].Shift[0] >= 0 || f.Moves[i].Body[0].Shift[1] >= 0 {
		t.Errorf("%+v: want a shift back and to the right, away from %s", f.Moves[i].Body, f.Moves[i].Feet[0].Leg)
	}
}

func TestRenameMoveInTheSequenceToo(t *testing.T) {
	f := demo(t)
	if err := edit.RenameMove(f, 0, " drum "); err != nil {
		t.Fatal(err)
	}
	if f.Moves[0].Name != "drum" || f.Sequence[3].Move != "drum" {
		t.Errorf("%s, %+v", f.Moves[0].Name, f.Sequence[3])
	}
	reads(t, f)
	plays(t, f)
	was := f.Clone()
	refused(t, edit.RenameMove(f, 0, " "), f, was, "needs a name")
	refused(t, edit.RenameMove(f, 0, strings.Repeat("long ", 20)), f, was, "at most 60")
	if _, err := edit.AddMove(f, "other"); err != nil {
		t.Fatal(err)
	}
	was = f.Clone()
	refused(t, edit.RenameMove(f, 1, "drum"), f, was, "There is a move called drum already")
	refused(t, edit.RenameMove(f, 7, "x"), f, was, "no move number 8")
}

func TestDeleteMove(t *testing.T) {
	f := demo(t)
	f.Sequence = append(f.Sequence, workfile.Entry{Kind: "move", Move: "strike"})
	was := f.Clone()
	err := edit.DeleteMove(f, 0, false)
	refused(t, err, f, was, "The move strike is played by entries 4 and 7 of the sequence")
	var used *edit.MoveInUse
	if !errors.As(err, &used) || !slices.Equal(used.Entries, []int{3, 6}) {
		t.Errorf("%#v", err)
	}
	if err := edit.DeleteMove(f, 0, true); err != nil {
		t.Fatal(err)
	}
	if len(f.Moves) != 0 || len(f.Sequence) != 5 {
		t.Errorf("%d moves, %d entries", len(f.Moves), len(f.Sequence))
	}
	reads(t, f)
	plays(t, f)
	was = f.Clone()
	refused(t, edit.DeleteMove(f, 0, true), f, was, "no move number 1")
}

func TestCopyMove(t *testing.T) {
	f := demo(t)
	f.Sequence[3].Speed = ptr(0.8)
	i, err := edit.CopyMove(f, 0)
	if err != nil {
		t.Fatal(err)
	}
	if i != 1 || f.Moves[1].Name != "strike 2" || f.Sequence[4].Move != "strike 2" || *f.Sequence[4].Speed != 0.8 {
		t.Fatalf("%d %s %+v", i, f.Moves[1].Name, f.Sequence[4])
	}
	f.Moves[1].Feet[0].Spans[1].End[2] = 7
	*f.Sequence[4].Speed = 1
	if f.Moves[0].Feet[0].Spans[1].End[2] != 130 || *f.Sequence[3].Speed != 0.8 {
		t.Error("the copy shares with the original")
	}
	reads(t, f)
	plays(t, f)
	f.Sequence = f.Sequence[:2]
	if i, err = edit.CopyMove(f, 0); err != nil || i != 1 || len(f.Sequence) != 2 {
		t.Errorf("a copy of a move that is not played: %d %v, %d entries", i, err, len(f.Sequence))
	}
	if e, err := edit.PlayMove(f, 1); err != nil || e != 2 || f.Sequence[2].Move != f.Moves[1].Name {
		t.Errorf("%d %v %+v", e, err, f.Sequence)
	}
	reads(t, f)
}

func TestFootTracks(t *testing.T) {
	f := demo(t)
	i, err := edit.AddFootTrack(f, 0, "LM", true)
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Moves[0].Feet[i]; i != 1 || got.Leg != "LM" || !got.Pair || len(got.Spans) != 1 || got.Spans[0].To != "home" {
		t.Errorf("%d %+v", i, got)
	}
	if mm, _ := apart(t, planned(t, demo(t)), planned(t, f)); mm != 0 {
		t.Errorf("a new track moves something by %v mm", mm)
	}
	reads(t, f)
	was := f.Clone()
	_, err = edit.AddFootTrack(f, 0, "RM", false)
	refused(t, err, f, was, "Leg RM has a track in the move strike already")
	_, err = edit.AddFootTrack(f, 0, "LH", true)
	if err == nil {
		was = f.Clone()
	}
	_, err = edit.AddFootTrack(f, 0, "XX", true)
	refused(t, err, f, was, "no leg XX")
	refused(t, edit.AddBodyTrack(f, 0), f, was, "has a track")

	// With the feet's track go the marks that only it ends on.
	if err := edit.RemoveTrack(f, 0, 0); err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, k := range f.Moves[0].Marks {
		names = append(names, k.Name)
	}
	if want := []string{"weight back", "raised", "clear", "down", "home"}; !slices.Equal(names, want) {
		t.Errorf("marks %q, want %q", names, want)
	}
	if err := edit.RemoveTrack(f, 0, edit.BodyTrack); err != nil {
		t.Fatal(err)
	}
	for len(f.Moves[0].Feet) > 0 {
		if err := edit.RemoveTrack(f, 0, 0); err != nil {
			t.Fatal(err)
		}
	}
	if len(f.Moves[0].Marks) != 1 {
		t.Errorf("%d marks, want the last one, which a move needs", len(f.Moves[0].Marks))
	}
	reads(t, f)
	plays(t, f)
	was = f.Clone()
	refused(t, edit.RemoveTrack(f, 0, edit.BodyTrack), f, was, "no track")
	refused(t, edit.RemoveTrack(f, 0, 0), f, was, "no foot track number 1")
	if err := edit.AddBodyTrack(f, 0); err != nil || f.Moves[0].Body[0].To != "home" {
		t.Errorf("%v %+v", err, f.Moves[0].Body)
	}
	reads(t, f)
}

// Two mirrors are none, one swaps sides: the right foot then does what the
// left one did, mirrored, and the body leans the other way.
func TestMirror(t *testing.T) {
	f := walker(t)
	was := f.Clone()
	if err := edit.MirrorMove(f, 0); err != nil {
		t.Fatal(err)
	}
	if f.Moves[0].Feet[0].Leg != "RF" || f.Moves[0].Body[0].Shift != [3]float64{-28, 28, 0} {
		t.Errorf("%+v", f.Moves[0])
	}
	a, b := planned(t, was), planned(t, f)
	at := 0.0
	for i := range a.Parts {
		if a.Parts[i].Kind == "move" {
			at = a.Parts[i].From + 1.8
		}
	}
	xa, _ := a.BodyAt(at).Pose(at)
	xb, _ := b.BodyAt(at).Pose(at)
	ca, cb := a.BodyAt(at).Start, b.BodyAt(at).Start
	r, err := was.Build()
	if err != nil {
		t.Fatal(err)
	}
	lf, rf := r.Robot.LegIndex("LF"), r.Robot.LegIndex("RF")
	p, q := ca.Into(a.FootAt(lf, at).At(at, &xa)), cb.Into(b.FootAt(rf, at).At(at, &xb))
	if math.Abs(p.X-q.X) > 1e-9 || math.Abs(p.Y+q.Y) > 1e-9 || math.Abs(p.Z-q.Z) > 1e-9 {
		t.Errorf("%v and %v do not mirror", p, q)
	}
	reads(t, f)
	if err := edit.MirrorMove(f, 0); err != nil || !f.Equal(was) {
		t.Errorf("two mirrors are not none: %v", err)
	}
	for track := range 2 {
		for range 2 {
			if err := edit.MirrorTrack(f, 0, track-1); err != nil {
				t.Fatal(err)
			}
			reads(t, f)
		}
		if !f.Equal(was) {
			t.Errorf("track %d: two mirrors are not none", track-1)
		}
	}
	d := demo(t)
	was = d.Clone()
	refused(t, edit.MirrorTrack(d, 0, 0), d, was, "both sides already")
}

// Tracks of both sides change places.
func TestMirrorExchanges(t *testing.T) {
	f := walker(t)
	if _, err := edit.AddFootTrack(f, 0, "RF", false); err != nil {
		t.Fatal(err)
	}
	if err := edit.MirrorTrack(f, 0, 0); err != nil {
		t.Fatal(err)
	}
	if f.Moves[0].Feet[0].Leg != "RF" || f.Moves[0].Feet[1].Leg != "LF" || len(f.Moves[0].Feet[1].Spans) != 1 {
		t.Errorf("%+v", f.Moves[0].Feet)
	}
	reads(t, f)
}

// A pair made two tracks moves as before, and two that mirror can be a pair.
func TestPairs(t *testing.T) {
	f := demo(t)
	was := f.Clone()
	if err := edit.SetPair(f, 0, 0, false); err != nil {
		t.Fatal(err)
	}
	if len(f.Moves[0].Feet) != 2 || f.Moves[0].Feet[1].Leg != "RF" || f.Moves[0].Feet[1].Spans[1].End[1] != 50 {
		t.Fatalf("%+v", f.Moves[0].Feet)
	}
	if mm, _ := apart(t, planned(t, was), planned(t, f)); mm > 1e-9 {
		t.Errorf("moved by %v mm", mm)
	}
	reads(t, f)
	if err := edit.SetPair(f, 0, 0, true); err != nil || !f.Equal(was) {
		t.Errorf("the pair is not what it was: %v", err)
	}
	// From the other side, with a mark that only the track that goes ends on.
	if err := edit.SetPair(f, 0, 0, false); err != nil {
		t.Fatal(err)
	}
	if _, err := edit.Split(f, edit.Spot{Track: 0, Span: 1}, 1000, -1); err != nil {
		t.Fatal(err)
	}
	if err := edit.SetPair(f, 0, 1, true); err != nil {
		t.Fatal(err)
	}
	if len(f.Moves[0].Feet) != 1 || f.Moves[0].Feet[0].Leg != "RF" || len(f.Moves[0].Marks) != 8 {
		t.Errorf("%+v, %d marks", f.Moves[0].Feet, len(f.Moves[0].Marks))
	}
	if mm, _ := apart(t, planned(t, was), planned(t, f)); mm > 1e-9 {
		t.Errorf("moved by %v mm", mm)
	}
	reads(t, f)
}

func TestCopyTrack(t *testing.T) {
	f := demo(t)
	i, err := edit.CopyTrack(f, 0, 0, "LM", true)
	if err != nil || i != 1 {
		t.Fatal(i, err)
	}
	if got := f.Moves[0].Feet[1]; got.Leg != "LM" || !got.Pair || *got.Spans[2].End != [3]float64{66, -70, 60} {
		t.Errorf("%+v", got)
	}
	f.Moves[0].Feet[1].Spans[2].End[0] = 1
	if f.Moves[0].Feet[0].Spans[2].End[0] != 66 {
		t.Error("the copy shares with the original")
	}
	// To the other side it is mirrored. Of a pair that has a track the other
	// leg goes on as it did.
	if i, err = edit.CopyTrack(f, 0, 0, "RM", false); err != nil {
		t.Fatal(err)
	}
	if got := f.Moves[0].Feet[i]; got.Leg != "RM" || got.Pair || *got.Spans[2].End != [3]float64{66, 70, 60} {
		t.Errorf("%+v", got)
	}
	if j := edit.TrackOf(f, 0, "LM"); j < 0 || f.Moves[0].Feet[j].Pair || f.Moves[0].Feet[j].Leg != "LM" || f.Moves[0].Feet[j].Spans[2].End[0] != 1 {
		t.Errorf("LM: %d %+v", j, f.Moves[0].Feet)
	}
	reads(t, f)
	plays(t, f)
	was := f.Clone()
	_, err = edit.CopyTrack(f, 0, 0, "RF", false)
	refused(t, err, f, was, "moved by this track itself")
	_, err = edit.CopyTrack(f, 0, 9, "LM", false)
	refused(t, err, f, was, "no foot track number 10")
	_, err = edit.CopyTrack(f, 0, 0, "none", false)
	refused(t, err, f, was, "no leg none")
}

func TestSpans(t *testing.T) {
	f := demo(t)
	m := func() *workfile.Move { return &f.Moves[0] }
	hit := edit.Spot{Track: 0, Span: 2}

	if err := edit.DeleteSpan(f, hit); err != nil {
		t.Fatal(err)
	}
	if len(m().Feet[0].Spans) != 7 || edit.MarkIndex(f, 0, "hit") >= 0 || m().Feet[0].Spans[2].To != "up again" {
		t.Errorf("%+v", m().Feet[0].Spans)
	}
	reads(t, f)
	plays(t, f)

	f = demo(t)
	before := planned(t, f).Duration
	if err := edit.InsertSpan(f, hit); err != nil {
		t.Fatal(err)
	}
	if s := m().Feet[0].Spans[3]; s.To != "rest" || *s.End != *m().Feet[0].Spans[2].End || s.Hold != "ground" || *s.Floor != 54 {
		t.Errorf("%+v", s)
	}
	if k := edit.MarkIndex(f, 0, "rest"); m().Marks[k].At != 2010 || m().Marks[k+1].At != 2410 {
		t.Errorf("%+v", m().Marks)
	}
	if now := planned(t, f).Duration; math.Abs(now-before-0.3) > 1e-9 {
		t.Errorf("lasts %v s, before %v", now, before)
	}
	reads(t, f)
	for _, s := range []edit.Spot{{Track: 0, Span: 0}, {Track: 0, Span: 8}, {Track: edit.BodyTrack, Span: 4}, {Track: edit.BodyTrack, Span: 0}} {
		if err := edit.InsertSpan(f, s); err != nil {
			t.Fatal(err)
		}
		reads(t, f)
		plays(t, f)
	}

	f = demo(t)
	was := f.Clone()
	a, b := *m().Feet[0].Spans[2].End, *m().Feet[0].Spans[3].End
	if err := edit.ShiftSpan(f, hit, 1); err != nil {
		t.Fatal(err)
	}
	if s := m().Feet[0].Spans; *s[3].End != a || *s[2].End != b || s[2].To != "hit" || s[3].To != "up again" {
		t.Errorf("%+v", s)
	}
	reads(t, f)
	if err := edit.ShiftSpan(f, edit.Spot{Track: 0, Span: 3}, -1); err != nil || !f.Equal(was) {
		t.Errorf("there and back is not nothing: %v", err)
	}
	refused(t, edit.ShiftSpan(f, edit.Spot{Track: 0, Span: 0}, -1), f, was, "no span to exchange")
	refused(t, edit.ShiftSpan(f, edit.Spot{Track: 0, Span: 7}, 1), f, was, "no span to exchange")

	if err := edit.SetHold(f, hit, "planted"); err != nil {
		t.Fatal(err)
	}
	if s := m().Feet[0].Spans[2]; s.End != nil || s.Floor != nil || s.Target != nil || s.Timing != "" {
		t.Errorf("%+v", s)
	}
	if err := edit.SetHold(f, hit, "body"); err != nil || m().Feet[0].Spans[2].End == nil {
		t.Errorf("%v %+v", err, m().Feet[0].Spans[2])
	}
	for _, e := range []error{edit.SetFloor(f, hit, ptr(20)), edit.SetTarget(f, hit, ptr(30)), edit.SetEven(f, hit, true), edit.SetEven(f, edit.Spot{Track: -1}, true),
		edit.SetCoolDown(f, 0, 450), edit.SetMirrored(f, 0, false)} {
		if e != nil {
			t.Error(e)
		}
	}
	reads(t, f)
	was = f.Clone()
	refused(t, edit.SetFloor(f, hit, ptr(31)), f, was, "above the target")
	refused(t, edit.SetTarget(f, hit, ptr(19)), f, was, "below the floor")
	refused(t, edit.SetFloor(f, edit.Spot{Track: 0}, ptr(1)), f, was, "planted foot")
	refused(t, edit.SetFloor(f, edit.Spot{Track: -1}, ptr(1)), f, was, "foot track")
	refused(t, edit.SetHold(f, hit, "air"), f, was, "planted")
	refused(t, edit.SetCoolDown(f, 0, -1), f, was, "cool_down_ms")

	one := edit.Spot{Track: 1}
	if _, err := edit.AddFootTrack(f, 0, "LM", false); err != nil {
		t.Fatal(err)
	}
	was = f.Clone()
	refused(t, edit.DeleteSpan(f, one), f, was, "remove the track")
	_, err := edit.Join(f, one, -1)
	refused(t, err, f, was, "no span after this one")
}

// Spans that were never one are joined as near as one curve goes, and the
// distance that Join gives is the one measured on the motion.
func TestJoinOfAnySpans(t *testing.T) {
	for _, c := range []struct {
		name string
		s    edit.Spot
		most float64 // mm; measured, rounded up
	}{
		{"planted and raised", edit.Spot{Track: 0, Span: 0}, 12},
		{"down and planted", edit.Spot{Track: 0, Span: 6}, 8},
		{"down and up again", edit.Spot{Track: 0, Span: 2}, 25},
		{"two shifts of the body", edit.Spot{Track: edit.BodyTrack, Span: 0}, 5},
		{"the body back and home", edit.Spot{Track: edit.BodyTrack, Span: 3}, 6},
	} {
		f := demo(t)
		was := planned(t, f)
		d, err := edit.Join(f, c.s, -1)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		mm, _ := apart(t, was, planned(t, f))
		if mm > c.most || math.Abs(mm-d.Path) > 0.3 {
			t.Errorf("%s: moved by %.3f mm, says %.3f, want at most %v", c.name, mm, d.Path, c.most)
		}
		t.Logf("%s: %.2f mm", c.name, mm)
		reads(t, f)
	}
	f := demo(t)
	f.Moves[0].Feet[0].Spans[2].Hold = "body"
	was := f.Clone()
	_, err := edit.Join(f, edit.Spot{Track: 0, Span: 2}, -1)
	refused(t, err, f, was, "fix both to the same first")
	f = demo(t)
	f.Moves[0].Feet[0].Spans[3].Floor = ptr(50)
	was = f.Clone()
	_, err = edit.Join(f, edit.Spot{Track: 0, Span: 2}, -1)
	refused(t, err, f, was, "different floors")
}

func TestMarks(t *testing.T) {
	f := demo(t)
	m := func() *workfile.Move { return &f.Moves[0] }
	if err := edit.RenameMark(f, 0, 1, "top"); err != nil {
		t.Fatal(err)
	}
	if m().Marks[1].Name != "top" || m().Body[1].To != "top" || m().Feet[0].Spans[1].To != "top" {
		t.Errorf("%+v", m())
	}
	reads(t, f)
	was := f.Clone()
	refused(t, edit.RenameMark(f, 0, 1, "hit"), f, was, "a mark called hit already")
	refused(t, edit.RenameMark(f, 0, 1, ""), f, was, "needs a name")
	refused(t, edit.RenameMark(f, 0, 8, "x"), f, was, "no mark number 9")

	// Along: the later spans keep their length.
	if err := edit.Retime(f, 0, 2, 1810, true); err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{800, 1450, 1810, 2210, 2470, 2920, 3520, 4220} {
		if m().Marks[i].At != want {
			t.Errorf("mark %d at %v, want %v", i, m().Marks[i].At, want)
		}
	}
	if err := edit.Retime(f, 0, 2, 1710, true); err != nil || !f.Equal(was) {
		t.Errorf("there and back is not nothing: %v", err)
	}
	// Alone: the next span makes up for it.
	if err := edit.Retime(f, 0, 2, 2109, false); err != nil || m().Marks[2].At != 2109 || m().Marks[3].At != 2110 {
		t.Errorf("%v %+v", err, m().Marks)
	}
	reads(t, f)
	was = f.Clone()
	refused(t, edit.Retime(f, 0, 2, 2110, false), f, was, "let the later marks move along, or give it 2109 ms or earlier")
	refused(t, edit.Retime(f, 0, 2, 1450, true), f, was, "give it 1451 ms or later")
	refused(t, edit.Retime(f, 0, 0, 0.5, true), f, was, "1 ms or later")
	refused(t, edit.Retime(f, 0, 0, math.NaN(), true), f, was, "cannot be at")
	refused(t, edit.Retime(f, 0, 7, 700000, true), f, was, "too long")
	refused(t, edit.Retime(f, 0, 9, 1, true), f, was, "no mark number 10")
	if lo, hi := edit.RetimeRange(f, 0, 2, false); lo != 1451 || hi != 2109 {
		t.Errorf("range %v to %v", lo, hi)
	}

	f = demo(t)
	was = f.Clone()
	if err := edit.SetSpanLength(f, edit.Spot{Track: 0, Span: 2}, 300, true); err != nil || m().Marks[2].At != 1750 || m().Marks[7].At != 4160 {
		t.Errorf("%v %+v", err, m().Marks)
	}
	f = was.Clone()
	for _, k := range []float64{1.5, 1 / 1.5} {
		if err := edit.ScaleMove(f, 0, k); err != nil {
			t.Fatal(err)
		}
		reads(t, f)
		plays(t, f)
	}
	if !f.Equal(was) {
		t.Errorf("there and back: %+v", m().Marks)
	}
	refused(t, edit.ScaleMove(f, 0, 0), f, was, "factor above 0")
	refused(t, edit.ScaleMove(f, 0, math.Inf(1)), f, was, "factor above 0")
	refused(t, edit.ScaleMove(f, 0, 0.001), f, was, "closer than 1 ms")
	refused(t, edit.ScaleMove(f, 0, 1000), f, was, "600 s")
}

// What the review asks for, "give the span so many times its time", is done in
// one act and makes no other span faster.
func TestFollowingTheRemedyMendsIt(t *testing.T) {
	text, err := assets.Faults.ReadFile("faults/joint-speed.toml")
	if err != nil {
		t.Fatal(err)
	}
	f := file(t, text)
	if r := plays(t, f); review.Stops(r.Findings) == 0 {
		t.Fatal("the faulty file has no stop")
	}
	s := edit.Spot{Track: 0, Span: 1}
	from, to, _ := edit.SpanTimes(f, s)
	if err := edit.SetSpanLength(f, s, (to-from)*7, true); err != nil {
		t.Fatal(err)
	}
	if r := plays(t, f); review.Stops(r.Findings) != 0 {
		t.Errorf("%+v", r.Findings)
	}
}
