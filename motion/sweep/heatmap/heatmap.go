// SPDX-License-Identifier: MIT

// Package heatmap draws a sweep as a picture: a row a change, a column an
// instant at which it is asked for, and as the colour of a cell the smallest
// dynamic stability margin. Colours go from dark to light, so that lightness
// tells the order to every eye, in print too; a cell that may not be done on
// the robot, or of which nothing is known, has a mark.
package heatmap

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
	"path/filepath"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/palette"
	"gonum.org/v1/plot/palette/moreland"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"gaitwright/motion/sweep"
)

// Sizes on paper.
const (
	wide     = 10 * vg.Inch
	legend   = 1.1 * vg.Inch // of it
	around   = 1.5 * vg.Inch // above and below the rows
	row      = 0.25 * vg.Inch
	fewRows  = 2 * vg.Inch  // rows are higher where they would take less: the legend needs it
	mostRows = 40 * vg.Inch // rows are narrower where they would take more
	letters  = vg.Length(9)
	perInch  = 144 // dots of the PNG
	shades   = 255
)

// ErrEmpty tells that a sweep has no row to be drawn.
var ErrEmpty = errors.New("heatmap: no change was swept, so there is nothing to draw")

// Draw gives the heat map of a sweep of the workfile name as SVG and as PNG.
// An error for a sweep without rows, and when a picture cannot be made.
func Draw(r *sweep.Result, name string) (svg, png []byte, err error) {
	if len(r.Rows) == 0 {
		return nil, nil, ErrEmpty
	}
	high := around + min(mostRows, max(fewRows, row*vg.Length(len(r.Rows))))
	s := vgsvg.New(wide, high)
	p := vgimg.NewWith(vgimg.UseWH(wide, high), vgimg.UseDPI(perInch))
	for _, c := range []vg.CanvasSizer{s, p} {
		if err := onto(draw.New(c), r, name); err != nil {
			return nil, nil, err
		}
	}
	if svg, err = written(s); err != nil {
		return nil, nil, err
	}
	if png, err = written(vgimg.PngCanvas{Canvas: p}); err != nil {
		return nil, nil, err
	}
	return svg, png, nil
}

func written(w io.WriterTo) ([]byte, error) {
	var b bytes.Buffer
	if _, err := w.WriteTo(&b); err != nil {
		return nil, fmt.Errorf("heatmap: cannot draw: %w", err)
	}
	return b.Bytes(), nil
}

// onto draws the map with its legend on the right.
func onto(c draw.Canvas, r *sweep.Result, name string) error {
	g := &grid{r: r}
	colours := moreland.ExtendedBlackBody()
	lo, hi := g.ends()
	colours.SetMin(lo)
	colours.SetMax(hi)

	p := plot.New()
	p.Title.Text = "Changes of " + filepath.Base(name) + ": how far the zero-moment point stays inside the feet"
	p.Title.Padding = vg.Points(6)
	p.X.Label.Text = "phase of the old gait's cycle at which it is asked for      " + meaning
	p.X.Padding, p.Y.Padding = 0, 0
	p.Y.Label.Text = "change asked for"
	sans(p)
	p.Y.Tick.Length = 0
	p.Y.Tick.Marker = plot.ConstantTicks(g.names(c.Size().Y - around))
	p.Add(&cells{g, colours.Palette(shades), lo, hi})
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0, 1, -0.5, float64(len(r.Rows))-0.5
	p.X.Tick.Marker = plot.ConstantTicks(tenths())

	l := plot.New()
	l.Title.Text = " " // as high as the other
	l.Title.Padding = p.Title.Padding
	sans(l)
	l.HideX()
	l.X.Padding, l.Y.Padding = 0, 0
	l.Y.Label.Text = "smallest dynamic margin, mm"
	l.Add(&plotter.ColorBar{ColorMap: colours, Vertical: true, Colors: shades})
	l.Y.Min, l.Y.Max = lo, hi

	gap := vg.Points(8)
	p.Draw(draw.Crop(c, gap, -legend, gap, -gap))
	// The bar begins where the rows do.
	l.Draw(draw.Crop(c, c.Size().X-legend+gap, -gap, gap+vg.Points(30), -gap))
	return nil
}

// sans sets the letters of a plot.
func sans(p *plot.Plot) {
	for _, f := range []*font.Font{
		&p.Title.TextStyle.Font, &p.X.Label.TextStyle.Font, &p.X.Tick.Label.Font, &p.Y.Label.TextStyle.Font, &p.Y.Tick.Label.Font,
	} {
		f.Variant, f.Size = "Sans", letters
	}
	p.Title.TextStyle.Font.Size = letters + 2
}

// meaning is the legend of the marks.
const meaning = "× a finding of level stop      – no number"

func tenths() (t []plot.Tick) {
	for k := range 11 {
		v := float64(k) / 10
		t = append(t, plot.Tick{Value: v, Label: fmt.Sprintf("%.1f", v)})
	}
	return t
}

// grid is a sweep seen as a table, the first row on top.
type grid struct{ r *sweep.Result }

func (g *grid) cell(column, line int) *sweep.Cell {
	return &g.r.Rows[len(g.r.Rows)-1-line].Cells[column]
}

// value is the margin of a cell, NaN where there is none, mm.
func (g *grid) value(column, line int) float64 { return g.cell(column, line).Dynamic * 1000 }

// ends gives the least and the greatest value, apart from one another.
func (g *grid) ends() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for line := range g.r.Rows {
		for column := range g.r.Instants {
			if v := g.value(column, line); !math.IsNaN(v) {
				lo, hi = min(lo, v), max(hi, v)
			}
		}
	}
	switch {
	case lo > hi:
		return 0, 1
	case hi-lo < 1:
		mid := (lo + hi) / 2
		return mid - 0.5, mid + 0.5
	}
	return lo, hi
}

// names gives the rows' names, or some of them where they would overlap.
func (g *grid) names(high vg.Length) (t []plot.Tick) {
	n := len(g.r.Rows)
	every := max(1, int(math.Ceil(float64(n)*float64(letters*1.1)/float64(high))))
	for k := 0; k < n; k += every {
		t = append(t, plot.Tick{Value: float64(n - 1 - k), Label: g.r.Rows[k].Name})
	}
	return t
}

// cells draws the cells and their marks.
type cells struct {
	*grid
	shades palette.Palette
	lo, hi float64 // mm
}

// Plot draws onto a canvas.
func (m *cells) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	all := m.shades.Colors()
	n := float64(m.r.Instants)
	for line := range m.r.Rows {
		for column := range m.r.Instants {
			k := m.cell(column, line)
			var colour color.Color = color.Gray{Y: 0xd0}
			v := m.value(column, line)
			if !math.IsNaN(v) {
				share := (v - m.lo) / (m.hi - m.lo)
				colour = all[int(math.Round(share*float64(len(all)-1)))]
			}
			a := vg.Point{X: x(float64(column) / n), Y: y(float64(line) - 0.5)}
			b := vg.Point{X: x(float64(column+1) / n), Y: y(float64(line) + 0.5)}
			c.SetColor(colour)
			c.Fill(box(a, b))
			half := vg.Length(min(float64(b.X-a.X), float64(b.Y-a.Y), 14)) * 0.32
			mid := vg.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
			switch {
			case k.Bad():
				m.mark(c, vg.Point{X: mid.X - half, Y: mid.Y - half}, vg.Point{X: mid.X + half, Y: mid.Y + half},
					vg.Point{X: mid.X - half, Y: mid.Y + half}, vg.Point{X: mid.X + half, Y: mid.Y - half})
			case math.IsNaN(v):
				m.mark(c, vg.Point{X: mid.X - half, Y: mid.Y}, vg.Point{X: mid.X + half, Y: mid.Y})
			}
		}
	}
	// A frame, so that the lightest cells show on paper.
	c.SetLineStyle(draw.LineStyle{Color: color.Black, Width: vg.Points(0.5)})
	c.Stroke(box(vg.Point{X: x(0), Y: y(-0.5)}, vg.Point{X: x(1), Y: y(float64(len(m.r.Rows)) - 0.5)}))
}

// box is the rectangle between two corners.
func box(a, b vg.Point) (p vg.Path) {
	p.Move(a)
	p.Line(vg.Point{X: b.X, Y: a.Y})
	p.Line(b)
	p.Line(vg.Point{X: a.X, Y: b.Y})
	p.Close()
	return p
}

// mark draws lines from point to point, black with a white edge, which shows
// on every colour.
func (m *cells) mark(c draw.Canvas, ends ...vg.Point) {
	for _, pen := range []draw.LineStyle{{Color: color.White, Width: vg.Points(2.6)}, {Color: color.Black, Width: vg.Points(1.1)}} {
		for k := 0; k+1 < len(ends); k += 2 {
			c.StrokeLine2(pen, ends[k].X, ends[k].Y, ends[k+1].X, ends[k+1].Y)
		}
	}
}
