// SPDX-License-Identifier: MIT

package strips

import (
	"image"
	"math"

	"gioui.org/layout"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// keyHeight is the line above the curves of an open strip.
const keyHeight unit.Dp = 15

// sign is an entry of a strip's key.
type sign struct {
	words, brief string
	stroke       int // of a line, -1 for none
	draw         func(b *draw.Batch, at r2.Vec, r float64)
}

// signs gives what the key of a strip explains: only what is drawn in it.
func (s *strip) signs() (out []sign) {
	for i := range s.lines {
		out = append(out, sign{words: s.lines[i].name, brief: s.lines[i].name, stroke: i})
	}
	if s.measured != nil {
		out = append(out, sign{words: "measured", brief: "measured", stroke: 1})
	}
	for i := range s.rules {
		if r := &s.rules[i]; r.bad == fine && r.at <= s.hi && r.name != "" {
			out = append(out, sign{r.name + " (" + short(r.at) + " " + s.unit + ")", r.name, -1, dashes})
		}
	}
	lands, strikes := false, false
	for i := range s.stems {
		lands, strikes = lands || !s.stems[i].strike, strikes || s.stems[i].strike
	}
	if lands {
		out = append(out, sign{"foot meets ground, % of greatest speed", "meets ground", -1, landing})
	}
	if strikes {
		out = append(out, sign{"foot meets target, % of greatest speed", "meets target", -1, strike})
	}
	if len(s.above) > 0 {
		out = append(out, sign{"goes on above " + short(s.hi) + " " + s.unit, "goes on above", -1, above})
	}
	return out
}

// dashes is the sign of a limit that only informs.
func dashes(b *draw.Batch, at r2.Vec, r float64) {
	for _, x := range [2]float64{-1.2, 0.4} {
		b.Segment(r2.Vec{X: at.X + x*r, Y: at.Y}, r2.Vec{X: at.X + (x+0.8)*r, Y: at.Y}, draw.Line{Width: r / 3})
	}
}

func landing(b *draw.Batch, at r2.Vec, r float64) { b.Triangle(at, r*1.2, math.Pi/2) }

func strike(b *draw.Batch, at r2.Vec, r float64) { b.Square(at, r) }

// above is the sign of a line that goes on above what shows.
func above(b *draw.Batch, at r2.Vec, r float64) {
	b.Segment(r2.Vec{X: at.X - r, Y: at.Y + r/2}, r2.Vec{X: at.X, Y: at.Y - r/2}, draw.Line{Width: r / 2})
	b.Segment(r2.Vec{X: at.X, Y: at.Y - r/2}, r2.Vec{X: at.X + r, Y: at.Y + r/2}, draw.Line{Width: r / 2})
}

// key explains what an open strip draws, in the line above its curves; the
// note stands at the right end. Where there is no room for all, short words
// do, and then the note gives way.
func (w *painter) key(gtx layout.Context, s *strip, area image.Rectangle) {
	th := w.th
	line := gtx.Dp(keyHeight)
	mid := float64(line) / 2
	write := th.Writer(look.Small, th.Dim)
	swatch, gap, space := gtx.Dp(24), gtx.Dp(5), gtx.Dp(14)
	signs := s.signs()
	if g := w.ghost.find(s.name); g != nil {
		stroke := ghostStroke
		if s.angle {
			stroke = ghostDots
		}
		signs = append(signs, sign{words: w.ghost.name, brief: w.ghost.name, stroke: stroke})
	}
	width := func(brief bool) (sum int) {
		for i := range signs {
			words, lead := signs[i].words, swatch
			if brief {
				words = signs[i].brief
			}
			if signs[i].stroke < 0 {
				lead = gtx.Dp(8)
			}
			d, _ := write.Measure(gtx, words)
			sum += lead + gap + d.Size.X + space
		}
		return sum
	}
	x, end := area.Min.X+gtx.Dp(8), area.Max.X-gtx.Dp(6)
	free := end - x
	if s.note != "" {
		note := th.Writer(look.Small, inkOf(th, s.noted))
		if d, _ := note.Measure(gtx, s.note); width(true)+d.Size.X <= free {
			note.At(gtx, r2.Vec{X: float64(end), Y: mid}, layout.E, s.note)
			free -= d.Size.X
		}
	}
	brief := width(false) > free
	b := &w.lines.batch
	for i := range signs {
		g := &signs[i]
		words, lead := g.words, swatch
		if brief {
			words = g.brief
		}
		if g.stroke >= 0 {
			w.swatch(gtx, x, line/2, swatch, g.stroke)
		} else {
			lead = gtx.Dp(8)
			b.Reset(image.Rect(area.Min.X, 0, area.Max.X, line))
			g.draw(b, r2.Vec{X: float64(x) + float64(lead)/2, Y: mid}, float64(gtx.Dp(3)))
			b.Paint(gtx.Ops, th.Text)
		}
		box := write.At(gtx, r2.Vec{X: float64(x + lead + gap), Y: mid}, layout.W, words)
		x = box.Max.X + space
	}
}

// cuts marks along the upper edge when a line goes on above it.
func (w *painter) cuts(gtx layout.Context, s *strip, area image.Rectangle) {
	if len(s.above) == 0 {
		return
	}
	r := float64(gtx.Dp(3))
	step := float64(gtx.Dp(90))
	b := &w.lines.batch
	b.Reset(area)
	w.axis.Bars(s.above, func(x0, x1 int) {
		n := max(1, math.Round(float64(x1-x0)/step))
		for i := range int(n) {
			above(b, r2.Vec{X: float64(x0) + (float64(i)+0.5)*float64(x1-x0)/n, Y: float64(area.Min.Y) + r}, r)
		}
	})
	b.Paint(gtx.Ops, w.th.Text)
}
