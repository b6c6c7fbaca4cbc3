// SPDX-License-Identifier: MIT

package edit_test

import (
	"testing"

	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// spots lists every span of a file's moves.
func spots(f *workfile.File) (all []edit.Spot) {
	for i := range f.Moves {
		m := &f.Moves[i]
		for k := range m.Body {
			all = append(all, edit.Spot{Move: i, Track: edit.BodyTrack, Span: k})
		}
		for j := range m.Feet {
			for k := range m.Feet[j].Spans {
				all = append(all, edit.Spot{Move: i, Track: j, Span: k})
			}
		}
	}
	return all
}

// Splitting any span of the program's own moves, at five instants each, leaves
// the motion: no foot and no body moves by more than a hundredth of a
// millimetre or of a degree at any instant, which is what the writing of
// thousandths and of five digits of the timing leaves. Joining the parts gives
// the span back, as near.
func TestSplitKeepsTheMotionAndJoinGivesItBack(t *testing.T) {
	worst, worstBack, n := 0.0, 0.0, 0
	for _, f := range []*workfile.File{demo(t), walker(t)} {
		was := planned(t, f)
		for _, s := range spots(f) {
			from, to, ok := edit.SpanTimes(f, s)
			if !ok {
				t.Fatal("no times")
			}
			for k := 1; k < 10; k += 2 {
				at := from + (to-from)*float64(k)/10
				g := f.Clone()
				d, err := edit.Split(g, s, at, -1)
				if err != nil {
					t.Fatalf("%+v at %v: %v", s, at, err)
				}
				mm, deg := apart(t, was, planned(t, g))
				if mm > 0.01 || deg > 0.01 || d.Path > 0.01 || d.Lean > 0.01 {
					t.Errorf("%+v at %v ms: moved by %.4f mm, %.4f degrees; says %+v", s, at, mm, deg, d)
				}
				worst = max(worst, mm)
				reads(t, g)
				d, err = edit.Join(g, s, -1)
				if err != nil {
					t.Fatalf("join %+v at %v: %v", s, at, err)
				}
				mm, deg = apart(t, was, planned(t, g))
				if mm > 0.03 || deg > 0.03 || d.Path > 0.03 {
					t.Errorf("%+v at %v ms joined again: moved by %.4f mm, %.4f degrees; says %+v", s, at, mm, deg, d)
				}
				worstBack = max(worstBack, mm)
				if len(g.Moves[s.Move].Marks) != len(f.Moves[s.Move].Marks) {
					t.Errorf("%+v: the mark of the split stayed", s)
				}
				reads(t, g)
				n++
			}
		}
	}
	t.Logf("%d splits: at most %.5f mm away, %.5f mm when joined again", n, worst, worstBack)
}

// The same with timings that are hard to cut, also along the path's length.
// Only where a part cannot be written as a timing is the motion off, and then
// Split says by how much. The limits of those are what was measured, rounded
// up.
func TestSplitOfHardTimings(t *testing.T) {
	for _, c := range []struct {
		timing string
		most   float64 // mm, of a stroke of some 170 mm
	}{
		{"linear", 0.01},
		{"ease", 0.01},
		{"ease-in", 0.01},
		{"ease-out", 0.01},
		{"cubic-bezier(0.3, 0.1, 0.6, 0.9)", 0.01},
		{"cubic-bezier(0.2, 0.8, 0.7, 0.1)", 1.5}, // slows down half-way
		{"cubic-bezier(0, 1, 1, 0)", 12},          // stands half-way
		{"cubic-bezier(0.9, 0, 0.1, 1)", 15},      // nearly upright half-way: at its end, no timing is as steep
		{"cubic-bezier(1, 0, 0, 1)", 40},          // upright half-way
		{"cubic-bezier(0, 0, 0, 0)", 0.01},
	} {
		for _, even := range []bool{false, true} {
			worst := 0.0
			for k := 1; k < 20; k += 3 {
				f := demo(t)
				s := edit.Spot{Track: 0, Span: 1}
				p := &f.Moves[0].Feet[0].Spans[1]
				p.Timing, p.Even = c.timing, even
				p.Out, p.In = &[3]float64{-40, 0, 90}, &[3]float64{-60, 30, 60}
				was := planned(t, f)
				from, to, _ := edit.SpanTimes(f, s)
				d, err := edit.Split(f, s, from+(to-from)*float64(k)/20, -1)
				if err != nil {
					t.Fatal(err)
				}
				mm, _ := apart(t, was, planned(t, f))
				if mm > d.Path+0.02 && mm > 1.2*d.Path {
					t.Errorf("%s, even=%v: moved by %.3f mm, says %.3f", c.timing, even, mm, d.Path)
				}
				worst = max(worst, mm)
				reads(t, f)
			}
			if worst > c.most {
				t.Errorf("%s, even=%v: moved by %.3f mm, want at most %v", c.timing, even, worst, c.most)
			}
			t.Logf("%s, even=%v: %.4f mm", c.timing, even, worst)
		}
	}
}

// A body that shifts and leans by handles is split in both.
func TestSplitOfALeaningBody(t *testing.T) {
	f := demo(t)
	b := &f.Moves[0].Body[1]
	b.Lean, b.LeanOut, b.LeanIn = [3]float64{3, -5, 8}, &[3]float64{2, 0, 1}, &[3]float64{0, 2, -3}
	b.Shift, b.ShiftOut = [3]float64{-45, 12, 10}, &[3]float64{0, 9, 0}
	for _, even := range []bool{false, true} {
		b.Even = even
		was := planned(t, f)
		for _, at := range []float64{850, 1000, 1200, 1449} {
			g := f.Clone()
			if _, err := edit.Split(g, edit.Spot{Track: edit.BodyTrack, Span: 1}, at, -1); err != nil {
				t.Fatal(err)
			}
			if mm, deg := apart(t, was, planned(t, g)); mm > 0.01 || deg > 0.01 {
				t.Errorf("at %v ms, even=%v: moved by %.4f mm, %.4f degrees", at, even, mm, deg)
			}
			reads(t, g)
		}
	}
}

func TestSplitTakesAMarkThatStandsThere(t *testing.T) {
	f := demo(t)
	n := len(f.Moves[0].Marks)
	// The body's third span goes on through "hit" and others.
	if _, err := edit.Split(f, edit.Spot{Track: edit.BodyTrack, Span: 2}, 1710, -1); err != nil {
		t.Fatal(err)
	}
	if got := f.Moves[0].Body[2].To; got != "hit" || len(f.Moves[0].Marks) != n {
		t.Errorf("ends on %q, %d marks", got, len(f.Moves[0].Marks))
	}
	reads(t, f)
}

func TestSplitRefuses(t *testing.T) {
	f := demo(t)
	was := f.Clone()
	for _, c := range []struct {
		s    edit.Spot
		at   float64
		want string
	}{
		{edit.Spot{Track: 0, Span: 2}, 1450, "inside of the span"},
		{edit.Spot{Track: 0, Span: 2}, 3000, "inside of the span"},
		{edit.Spot{Track: 0, Span: 8}, 3000, "no span number 9"},
		{edit.Spot{Track: 3}, 3000, "no foot track number 4"},
		{edit.Spot{Move: 2}, 3000, "no move number 3"},
		{edit.Spot{Move: -1}, 3000, "no move number 0"},
	} {
		_, err := edit.Split(f, c.s, c.at, -1)
		refused(t, err, f, was, c.want)
	}
	f.Moves[0].Marks = append(f.Moves[0].Marks[:2:2], append([]workfile.Mark{{Name: "near", At: 1500.4}}, f.Moves[0].Marks[2:]...)...)
	was = f.Clone()
	_, err := edit.Split(f, edit.Spot{Track: 0, Span: 2}, 1500, -1)
	refused(t, err, f, was, "less than 1 ms away")
}
