// SPDX-License-Identifier: MIT

package document

import (
	"testing"

	"pgregory.net/rapid"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// strike gives the part of the sequence in which the drummer strikes.
func strike(t testing.TB, d *Document) (from float64, entry int) {
	t.Helper()
	for i, p := range d.Result().Trajectory.Parts {
		if p.Kind == "move" {
			return p.From, i
		}
	}
	t.Fatal("the demo has no move")
	return 0, 0
}

func TestTidyBringsBack(t *testing.T) {
	d := open(t, assets.Demo)
	rapid.Check(t, func(rt *rapid.T) {
		any := func(name string) int { return rapid.IntRange(-20, 20).Draw(rt, name) }
		p := Place{Time: rapid.Float64Range(-5, 50).Draw(rt, "t"), Leg: any("leg"), Move: any("move"), Track: any("track"), Span: any("span"), Finding: any("finding")}
		p.Tidy(d)
		n := len(d.File().Moves[0].Body)
		if p.Track >= 0 {
			n = len(d.File().Moves[0].Feet[p.Track].Spans)
		}
		if p.Time < 0 || p.Time > d.Result().Trajectory.Duration() || p.Leg < 0 || p.Leg > 5 || p.Move != 0 ||
			p.Track < -1 || p.Track > 0 || p.Span < 0 || p.Span >= n || p.Finding > -1 || p.Speed != 1 {
			rt.Fatalf("%+v", p)
		}
	})
}

func TestTidyWithoutMoves(t *testing.T) {
	d := open(t, assets.Demo)
	if err := d.Change("no moves", func(f *workfile.File) { f.Moves, f.Sequence = nil, f.Sequence[:2] }); err != nil {
		t.Fatal(err)
	}
	p := Place{Time: 11, Move: 3, Track: 2, Span: 4}
	p.Tidy(d)
	if p.Track != -1 || p.Span != 0 || p.Time != d.Result().Trajectory.Duration() {
		t.Errorf("%+v", p)
	}
	if _, ok := p.MovePart(d); ok {
		t.Error("there is a move part without moves")
	}
	p.Choose(d, 4)
	if p.Leg != 4 {
		t.Errorf("leg=%d, want=4", p.Leg)
	}
}

// Going to an instant chooses the span under way there. The expected spans
// are read off the demo's marks.
func TestGoToFollowsTheSpan(t *testing.T) {
	d := open(t, assets.Demo)
	from, _ := strike(t, d)
	marks := d.File().Moves[0].Marks
	last := 0.0
	for i, m := range marks {
		p := Place{Leg: 0}
		p.GoTo(d, from+(last+m.At)/2000)
		if p.Track != 0 || p.Span != i {
			t.Errorf("before %q: track=%d span=%d, want=0 %d", m.Name, p.Track, p.Span, i)
		}
		right := Place{Leg: 3} // the mirrored leg is moved by the same track
		right.GoTo(d, from+(last+m.At)/2000)
		if right.Track != 0 || right.Span != i || right.Leg != 3 {
			t.Errorf("RF before %q: %+v", m.Name, right)
		}
		last = m.At
	}
	for _, span := range []int{2, 3} { // between two spans the chosen one stays
		p := Place{Leg: 3, Track: 0, Span: span}
		p.GoTo(d, from+marks[2].At/1000)
		p.Choose(d, 0)
		if p.Span != span {
			t.Errorf("at the mark between spans: span=%d, want=%d", p.Span, span)
		}
	}
	p := Place{Leg: 1, Track: 0, Span: 2} // the middle leg has no track: the choice stays
	p.GoTo(d, from+1.6)
	if p.Track != 0 || p.Span != 2 || p.Leg != 1 {
		t.Errorf("middle leg: %+v", p)
	}
}

func TestChoose(t *testing.T) {
	d := open(t, assets.Demo)
	for leg, track := range map[int]int{0: 0, 3: 0, 1: -1} {
		p := Place{Track: -1}
		p.Choose(d, leg)
		if p.Leg != leg || p.Track != track {
			t.Errorf("leg %d: %+v, want track %d", leg, p, track)
		}
	}
}

func TestMovePart(t *testing.T) {
	d := open(t, assets.Demo)
	if err := d.Change("strike again", func(f *workfile.File) { f.Sequence = append(f.Sequence, f.Sequence[3]) }); err == nil {
		d.Result() // names must differ: refused
	}
	if err := d.Change("strike again", func(f *workfile.File) {
		e := f.Sequence[3]
		e.Name = "strike more"
		f.Sequence = append(f.Sequence, e)
	}); err != nil {
		t.Fatal(err)
	}
	from, _ := strike(t, d)
	p := Place{}
	first, ok := p.MovePart(d)
	if !ok || first.From != from {
		t.Errorf("at the start: %+v, %v", first, ok)
	}
	p.Time = d.Result().Trajectory.Duration() - 1
	second, ok := p.MovePart(d)
	if !ok || second.Name != "strike more" || p.Time < second.From || p.Time > second.To {
		t.Errorf("near the end: %+v, %v", second, ok)
	}
}

func TestHold(t *testing.T) {
	var p Place
	p.Hold(2, 1, 0.3)
	if a, ok := p.Held[[2]int{2, 1}]; !ok || a != 0.3 {
		t.Errorf("%v", p.Held)
	}
	p.Hold(2, 1, 0.9)
	p.Hold(2, 7, 1)
	p.Hold(2, -1, 1)
	if len(p.Held) != 0 {
		t.Errorf("%v", p.Held)
	}
}
