// SPDX-License-Identifier: MIT

package changes

import (
	"errors"
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/assets"
	"gaitwright/motion/sweep"
)

// rig is a map of given results over a document.
type rig struct {
	*drive.Tester
	m      Map
	answer Answer
}

func open(t *testing.T, r *sweep.Result, dark bool) *rig {
	t.Helper()
	d, err := document.Open("", "test", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	g := &rig{m: Map{file: d.File(), result: r}}
	th := look.New(dark)
	var card control.Modal
	card.Open(g.m.Open(d, nil))
	g.Tester = drive.For(t, drive.New(image.Pt(900, 520), func(gtx layout.Context) layout.Dimensions {
		if a := g.m.Layout(gtx, th, &card, d); a != Open {
			g.answer = a
		}
		return layout.Dimensions{Size: gtx.Constraints.Max}
	}))
	g.Settle()
	return g
}

// made is a result with every kind of cell, and more rows than there is room.
func made() *sweep.Result {
	nan := math.NaN()
	r := &sweep.Result{Instants: 10, Rate: 100, Gaits: []sweep.Gait{
		{Name: "tripod"}, {Name: "wave"},
		{Name: "gallop", Word: "airborne", Why: "no foot stands for 0.2 s"},
	}}
	for i := range 20 {
		row := sweep.Row{From: 0, To: 1, Move: -1, Name: "tripod to wave"}
		if i%2 == 1 {
			row = sweep.Row{From: 1, To: -1, Move: 0, Name: "wave, move with quite a long name to be cut off at its end"}
		}
		for k := range r.Instants {
			c := sweep.Cell{From: row.From, To: row.To, Move: row.Move, Phase: float64(k) / 10, Run: true, Time: 1.5, Back: nan}
			c.Dynamic, c.Static, c.At, c.Slip, c.Speed = float64(k*(i%8+1))*0.0005-0.02, 0.01, 0.25, 0, 0.5
			switch {
			case i%3 == 1 && k == 3:
				c.Stops, c.Word, c.Why = 2, "tips-fast", "it falls over"
			case i%3 == 1 && k == 5:
				c.Dynamic, c.Static, c.At, c.Slip, c.Speed = nan, nan, nan, nan, nan
			case i == 4 && k == 7:
				c.Fault = "a foot hangs"
				c.Dynamic, c.At, c.Time = nan, nan, nan
			case i%4 == 2:
				c.Cautions = 1
			}
			row.Cells = append(row.Cells, c)
		}
		r.Rows = append(r.Rows, row)
	}
	r.Total = 20 * r.Instants
	r.Runs = r.Total
	return r
}

func (g *rig) says(what string) {
	g.T.Helper()
	if _, ok := g.Find(what); !ok {
		g.T.Errorf("nowhere: %q in\n%s", what, g.Dump())
	}
}

// What is under the pointer is read out, and a press counts only where it is
// released.
func TestRead(t *testing.T) {
	g := open(t, made(), true)
	g.says("A stop in 8 of 200 changes, 1 gait cannot be walked.")
	g.says("gallop cannot be walked, and is in no change: airborne: no foot stands for 0.2 s")
	at := func(row, column int) f32.Point {
		b := g.m.grid.box(row, column, 10)
		o := g.MustFind("map of changes").Desc.Bounds.Min
		return f32.Pt(float32(o.X+b.Min.X+b.Dx()/2), float32(o.Y+b.Min.Y+b.Dy()/2))
	}
	for _, c := range []struct {
		row, column int
		want        []string
	}{
		{1, 3, []string{"tips-fast: it falls over (the first of 2 stops)", "−17.0 mm, 0.25 s after", "the move begins after"}},
		{1, 5, []string{"no stop and no caution", "–"}},
		{4, 7, []string{"cannot be played: a foot hangs"}},
		{2, 0, []string{"no stop, 1 caution", "in force after", "1.50 s"}},
	} {
		g.MoveTo(at(c.row, c.column))
		g.Settle()
		for _, s := range c.want {
			g.says(s)
		}
		g.says(Title(g.m.result.Rows[c.row].Name, &g.m.result.Rows[c.row].Cells[c.column]))
	}
	// Pressed here, released there.
	p := func(k pointer.Kind, at f32.Point, b pointer.Buttons) {
		g.Queue(pointer.Event{Kind: k, Source: pointer.Mouse, Buttons: b, Position: at})
		g.Frame()
	}
	p(pointer.Press, at(2, 2), pointer.ButtonPrimary)
	p(pointer.Release, at(3, 2), 0)
	if g.answer != Open || g.m.row != 2 || g.m.column != 2 {
		t.Errorf("answer %v, at %d, %d", g.answer, g.m.row, g.m.column)
	}
	g.ClickAt(at(3, 4))
	g.Settle()
	if name, c, ok := g.m.Chosen(); g.answer != Chosen || !ok || name != g.m.result.Rows[3].Name || c.Phase != 0.4 {
		t.Errorf("answer %v, %s at %v", g.answer, name, c.Phase)
	}
	g.Press(key.NameLeftArrow, 0) // the reading is of the chosen cell then
	g.Settle()
	if g.m.grid.over || g.m.column != 3 {
		t.Errorf("over %v, column %d", g.m.grid.over, g.m.column)
	}
	g.m.Fail(errors.New("it has a reason"))
	g.Frame()
	g.says("This change cannot be shown: it has a reason")
	g.Press(key.NameRightArrow, 0)
	g.Settle()
	g.MustMiss("This change cannot be shown: it has a reason")
}

// Lightness grows with the margin, and the ends of the scale are those of the
// numbers.
func TestScale(t *testing.T) {
	var g grid
	r := made()
	g.derive(r)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, row := range r.Rows {
		for _, c := range row.Cells {
			if !math.IsNaN(c.Dynamic) {
				lo, hi = min(lo, c.Dynamic), max(hi, c.Dynamic)
			}
		}
	}
	if g.lo != lo || g.hi != hi {
		t.Errorf("%v to %v, want %v to %v", g.lo, g.hi, lo, hi)
	}
	last := -1.0
	for k := range 21 {
		l := look.Luminance(g.shade(lo + (hi-lo)*float64(k)/20))
		if l <= last {
			t.Errorf("shade %d is no lighter than the one before", k)
		}
		last = l
	}
}

// No number is shown for one that there is not.
func TestNoNumbers(t *testing.T) {
	nan := math.NaN()
	for _, v := range []float64{nan, math.Inf(1), math.Inf(-1)} {
		c := sweep.Cell{To: -1, Time: v, Back: v, Measure: sweep.Measure{Static: v, Dynamic: v, At: v, Slip: v, Speed: v}}
		for _, f := range Facts(&c) {
			if strings.ContainsAny(f.Value, "0123456789") || strings.Contains(f.Value, "N") || strings.Contains(f.Value, "Inf") {
				t.Errorf("%v: %s reads %q", v, f.Name, f.Value)
			}
		}
	}
	var g grid
	g.derive(&sweep.Result{Rows: []sweep.Row{{Cells: []sweep.Cell{{Measure: sweep.Measure{Dynamic: nan}}}}}})
	if !(g.hi > g.lo) {
		t.Errorf("%v to %v", g.lo, g.hi)
	}
}
