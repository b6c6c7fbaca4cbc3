// SPDX-License-Identifier: MIT

package heatmap

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/palette/moreland"

	"gaitwright/motion/sweep"
)

// made is a sweep of some rows and instants, with margins of all sizes.
func made(rows, instants int) *sweep.Result {
	r := &sweep.Result{Instants: instants, Rate: 100, Gaits: []sweep.Gait{{Name: "amble"}, {Name: "march"}}}
	for i := range rows {
		row := sweep.Row{To: 1, Move: -1, Name: "amble to march & co " + string(rune('a'+i%26))}
		for k := range instants {
			row.Cells = append(row.Cells, sweep.Cell{
				Phase: float64(k) / float64(instants), Run: true,
				Measure: sweep.Measure{Dynamic: 0.001 * float64((7*i+3*k)%40-4)},
			})
		}
		r.Rows = append(r.Rows, row)
	}
	return r
}

func draw2(t *testing.T, r *sweep.Result) (svg string, img image.Image) {
	t.Helper()
	s, p, err := Draw(r, "made.toml")
	if err != nil {
		t.Fatal(err)
	}
	if img, err = png.Decode(bytes.NewReader(p)); err != nil {
		t.Fatal(err)
	}
	for d := xml.NewDecoder(bytes.NewReader(s)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	return string(s), img
}

// Both pictures decode, and name the rows, the axes and the marks.
func TestDraw(t *testing.T) {
	r := made(9, 20)
	svg, img := draw2(t, r)
	for _, word := range []string{
		"made.toml", "amble to march &amp; co a", "amble to march &amp; co i", "phase of the old gait", "change asked for",
		"smallest dynamic margin, mm", "× a finding of level stop", "no number",
	} {
		if !strings.Contains(svg, word) {
			t.Errorf("the SVG does not say %q", word)
		}
	}
	if b := img.Bounds(); b.Dx() != 1440 || b.Dy() != int(math.Round((1.5+9*0.25)*144)) {
		t.Errorf("the PNG is %v", b)
	}
	again, _ := draw2(t, r)
	if again != svg {
		t.Error("drawn again it differs")
	}
}

// differing counts the dots in which two pictures differ, and those of them
// that are black in the second.
func differing(a, b image.Image) (all, black int) {
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			p, q := color.GrayModel.Convert(a.At(x, y)).(color.Gray), color.GrayModel.Convert(b.At(x, y)).(color.Gray)
			if p != q {
				all++
				if q.Y < 40 {
					black++
				}
			}
		}
	}
	return all, black
}

// A cell with a stop, one that cannot be played, and one without a number have
// marks: lines that are there whatever the colour.
func TestMarks(t *testing.T) {
	_, plain := draw2(t, made(4, 20))
	for name, change := range map[string]func(*sweep.Cell){
		"stop":      func(c *sweep.Cell) { c.Stops = 1 },
		"fault":     func(c *sweep.Cell) { c.Fault = "does not come to an end" },
		"no number": func(c *sweep.Cell) { c.Dynamic = math.NaN() },
	} {
		r := made(4, 20)
		r.Rows[1].Cells[5].Dynamic = 0.034 // bright
		_, plain2 := draw2(t, r)
		change(&r.Rows[1].Cells[5])
		_, marked := draw2(t, r)
		if all, black := differing(plain2, marked); black < 15 || all > 8000 {
			t.Errorf("%s: %d dots differ, %d of them black", name, all, black)
		}
	}
	if all, _ := differing(plain, plain); all != 0 {
		t.Error("no difference counts")
	}
}

// Sweeps with one margin only, with none, of one instant and of many rows.
func TestDrawAtTheEdge(t *testing.T) {
	same, none := made(2, 5), made(1, 1)
	for i := range same.Rows {
		for k := range same.Rows[i].Cells {
			same.Rows[i].Cells[k].Dynamic = 0.02
		}
	}
	none.Rows[0].Cells[0].Dynamic = math.NaN()
	for _, r := range []*sweep.Result{same, none, made(1, 1), made(200, 3)} {
		if svg, _ := draw2(t, r); strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			t.Error("a number that is none")
		}
	}
	if _, _, err := Draw(&sweep.Result{}, "x"); !errors.Is(err, ErrEmpty) {
		t.Errorf("nothing to draw: %v", err)
	}
}

// The colours' lightness rises all the way: relative luminance by WCAG 2.2.
func TestColoursByLightness(t *testing.T) {
	m := moreland.ExtendedBlackBody()
	m.SetMax(1)
	last := -1.0
	for _, c := range m.Palette(shades).Colors() {
		r, g, b, _ := c.RGBA()
		linear := func(v uint32) float64 {
			s := float64(v) / 0xffff
			if s <= 0.04045 {
				return s / 12.92
			}
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		y := 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
		if y < last-0.002 { // one of 255 steps of a colour's parts
			t.Errorf("luminance falls from %v to %v", last, y)
		}
		last = y
	}
	if last < 0.95 {
		t.Errorf("the brightest has luminance %v", last)
	}
}
