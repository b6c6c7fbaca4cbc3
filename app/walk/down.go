// SPDX-License-Identifier: MIT

package walk

import (
	"fmt"
	"image"
	"math"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Heights in the gait diagram, dp.
const (
	diagramHead = 24 // the words above the bars
	diagramAxis = 22 // the shares of the period
	downWords   = 16 // the words above the feet that are down
	mostDown    = 40 // of their line
	leastDown   = 16
)

// arrange divides the diagram: the legs' bars above, the feet that are down
// below, on one axis.
func (g *diagram) arrange(gtx layout.Context, size image.Point) {
	x0, x1 := gtx.Dp(44), max(gtx.Dp(44)+1, size.X-gtx.Dp(14))
	y0, y1 := gtx.Dp(diagramHead), size.Y-gtx.Dp(diagramAxis)
	low := max(gtx.Dp(leastDown), min(gtx.Dp(mostDown), (y1-y0)/5))
	g.box = image.Rect(x0, y0, x1, y1-low-gtx.Dp(downWords))
	g.steps = image.Rect(x0, y1-low, x1, y1)
	if g.box.Dy() < 1 { // Rect has turned it round
		g.box.Max.Y = g.box.Min.Y
	}
}

// downText says how many feet the gait leaves standing at the least, and at
// the most.
func downText(least, most int) []string {
	words := fmt.Sprintf("feet down: at least %d ▼", least)
	if least == most {
		words = fmt.Sprintf("feet down: always %d", least)
	}
	if least < 3 {
		return []string{words + ", judged in motion", words, "feet down"}
	}
	return []string{words, "feet down"}
}

// down draws how many feet are down over the cycle as a line of steps. Where
// they are fewest the line is thick, with a mark above it.
func (g *diagram) down(gtx layout.Context, th *look.Theme, d *document.Document, w place) {
	px := float64(gtx.Dp(1))
	gt := &d.Result().Built.Gaits[w.gait]
	all := gt.Standing()
	least, most := len(gt.Phase), 0
	for _, s := range all {
		least, most = min(least, s.Feet), max(most, s.Feet)
	}
	box := g.steps
	top, low := float64(box.Min.Y)+7*px, float64(box.Max.Y)-3*px
	y := func(feet int) float64 {
		if most == least {
			return (top + low) / 2
		}
		return low - (low-top)*float64(feet-least)/float64(most-least)
	}
	x := func(phase float64) float64 { return float64(box.Min.X) + phase*float64(box.Dx()) }
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	small.At(gtx, r2.Vec{X: float64(box.Min.X), Y: float64(box.Min.Y) - 1*px}, layout.SW, small.Fitting(gtx, box.Dx(), downText(least, most)...))
	small.At(gtx, r2.Vec{X: float64(box.Min.X) - 8*px, Y: y(least)}, layout.E, fmt.Sprint(least))
	if most > least && y(least)-y(most) >= 11*px {
		small.At(gtx, r2.Vec{X: float64(box.Min.X) - 8*px, Y: y(most)}, layout.E, fmt.Sprint(most))
	}

	g.sheet.Reset(image.Rectangle{Max: gtx.Constraints.Max})
	tone := th.Text
	if least < 3 {
		tone = th.Caution.Ink
	}
	line, fewest := g.sheet.In(th.Dim), g.sheet.In(tone)
	for i, s := range all {
		a, b := r2.Vec{X: x(s.From), Y: y(s.Feet)}, r2.Vec{X: x(s.To), Y: y(s.Feet)}
		if i > 0 {
			line.Segment(r2.Vec{X: a.X, Y: y(all[i-1].Feet)}, a, draw.Line{Width: max(1, px)})
		}
		if s.Feet > least {
			line.Segment(a, b, draw.Line{Width: 1.5 * px})
			continue
		}
		fewest.Segment(a, b, draw.Line{Width: 3 * px})
		if most > least {
			fewest.Triangle(r2.Vec{X: (a.X + b.X) / 2, Y: a.Y - 6*px}, 3.5*px, math.Pi/2)
		}
	}
	g.sheet.Paint(gtx.Ops)
}
