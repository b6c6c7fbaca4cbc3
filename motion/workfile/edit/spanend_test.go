// SPDX-License-Identifier: MIT

package edit

import (
	"math"
	"testing"
)

// The end is where it was put, the rest as it was, and the file reads; what
// cannot be is refused and changes nothing.
func TestEndSpan(t *testing.T) {
	f := drummer(t)
	spot := Spot{}
	for spot.Span = range f.Moves[0].Feet[0].Spans {
		if f.Moves[0].Feet[0].Spans[spot.Span].Hold != "planted" {
			break
		}
	}
	g := f.Clone()
	if err := EndSpan(g, spot, [3]float64{12.34567, -0.0001, 60}); err != nil {
		t.Fatal(err)
	}
	plays(t, g)
	if got := *g.Moves[0].Feet[0].Spans[spot.Span].End; got != ([3]float64{12.346, 0, 60}) || math.Signbit(got[1]) {
		t.Errorf("it ends at %v", got)
	}
	*g.Moves[0].Feet[0].Spans[spot.Span].End = *f.Moves[0].Feet[0].Spans[spot.Span].End
	if !g.Equal(f) {
		t.Error("something else was changed")
	}
	planted := f.Clone()
	planted.Moves[0].Feet[0].Spans[0].Hold, planted.Moves[0].Feet[0].Spans[0].End = "planted", nil
	for _, c := range []struct {
		s Spot
		p [3]float64
	}{
		{Spot{Move: 9}, [3]float64{}}, {Spot{Track: BodyTrack}, [3]float64{}}, {Spot{Track: 9}, [3]float64{}}, {Spot{Span: 99}, [3]float64{}},
		{Spot{Span: -1}, [3]float64{}}, {Spot{}, [3]float64{1, 2, 3}}, {Spot{Span: 2}, [3]float64{2001, 0, 0}}, {Spot{Span: 2}, [3]float64{0, math.NaN(), 0}},
	} {
		g := planted.Clone()
		if err := EndSpan(g, c.s, c.p); err == nil || Words(err) == "" || !g.Equal(planted) {
			t.Errorf("%v at %v: %v", c.s, c.p, err)
		}
	}
}
