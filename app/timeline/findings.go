// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"image/color"
	"math"

	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// findingRows draws the findings in the rows of their legs.
func (w *painter) findingRows() {
	g := &w.lanes
	defer w.drawingArea(g.rows).Push(w.gtx.Ops).Pop()
	for i := range w.derived.legs {
		if row := g.leg(i); row.Overlaps(g.rows) {
			w.rowFindings(i, row)
		}
	}
}

// rowFindings draws the findings of a leg in its row.
func (w *painter) rowFindings(leg int, row image.Rectangle) {
	in := &w.derived.rows[leg]
	if len(in[0])+len(in[1]) == 0 {
		return
	}
	ground := w.th.Canvas
	if leg == w.at.Leg {
		ground = w.th.Chosen
	}
	px := max(min(w.gtx.Dp(signSize), w.lanes.row-w.gtx.Dp(3)), 3)
	y := (row.Min.Y+row.Max.Y)/2 - w.gtx.Dp(1)
	w.signs(leg, y, px, ground)
	w.intervals(*in, y+px/2+w.gtx.Dp(1.5))
}

// findingLane draws the findings of all legs.
func (w *painter) findingLane() {
	if len(w.derived.findings) == 0 {
		return
	}
	g := &w.lanes
	defer w.drawingArea(g.findings).Push(w.gtx.Ops).Pop()
	w.signs(-1, (g.findings.Min.Y+g.findings.Max.Y)/2-w.gtx.Dp(1), w.gtx.Dp(signSize), w.th.Canvas)
	w.intervals(w.derived.lane, g.findings.Max.Y-w.hair)
}

// intervals draws when there are findings as lines upon y: a caution thin, a
// stop thicker.
func (w *painter) intervals(levels [levels][]stretch, y int) {
	for l, in := range levels {
		h := w.gtx.Dp(unit.Dp(1.5 + 1.5*float32(l)))
		w.axis.bars(in, func(x0, x1 int) {
			draw.Rect(w.gtx.Ops, image.Rect(x0, y-h, x1, y), w.tone(l).Fill)
		})
	}
}

// signs draws the glyphs of the findings of a leg, or of all for row -1, px
// large about the height y. A crowd is drawn as one: the first stop in it,
// else the first caution. The chosen finding is drawn besides, above the
// others, so that choosing moves none of them.
func (w *painter) signs(row, y, px int, ground color.NRGBA) {
	near := w.gtx.Dp(crowd)
	w.taken = w.taken[:0]
	w.beginSigns()
	seen := w.derived.within(w.axis)
	for l := levels - 1; l >= 0; l-- {
		for _, i := range seen {
			f := &w.derived.findings[i]
			if levelOf(f) != l || row >= 0 && f.Leg != row && f.Other != row {
				continue
			}
			x := w.axis.column(f.Worst)
			if _, ok := w.crowdAt(x, near); ok {
				continue
			}
			w.taken = append(w.taken, x)
			if i != w.at.Finding {
				w.sign(i, row, y, px, x)
			}
		}
	}
	w.endSigns(ground)

	i := w.at.Finding
	if i < 0 || i >= len(w.derived.findings) || !w.axis.shows(w.derived.findings[i].Worst) {
		return
	}
	f := &w.derived.findings[i]
	if row >= 0 && f.Leg != row && f.Other != row {
		return
	}
	w.beginSigns()
	heart, _ := w.crowdAt(w.axis.column(f.Worst), near)
	box := w.sign(i, row, y, px, heart)
	if row < 0 {
		draw.Rect(w.gtx.Ops, box, ground)
		draw.Frame(w.gtx.Ops, box, w.hair, w.th.Text)
	}
	w.endSigns(ground)
}

func (w *painter) beginSigns() {
	view := image.Rectangle{Max: w.lanes.size}
	w.flags.Reset(view)
	for l := range levels {
		w.glyphs[l].Reset(view)
	}
}

func (w *painter) endSigns(ground color.NRGBA) {
	w.flags.Paint(w.gtx.Ops, ground)
	for l := range levels {
		w.glyphs[l].Paint(w.gtx.Ops, w.tone(l).Ink)
	}
}

// sign puts the glyph of finding i into a row and makes a spot of it, which
// stands for the crowd at heart, px. Where something is behind it, a bar or
// the cursor, a rim keeps the glyph apart.
func (w *painter) sign(i, row, y, px, heart int) image.Rectangle {
	f := &w.derived.findings[i]
	x := w.axis.column(f.Worst)
	box := image.Rect(x-px/2, y-px/2, x-px/2+px, y-px/2+px).Inset(-w.gtx.Dp(1))
	w.spots = append(w.spots, spot{findingSpot, i, row, box, heart, 1})
	l, fx, fy := levelOf(f), float64(x), float64(y)
	if now := w.axis.column(w.at.Time); row >= 0 || i == w.at.Finding || max(x-now, now-x) < px {
		halo(&w.flags, l, fx, fy, float64(px), float64(w.hair))
	}
	sign(l).Add(&w.glyphs[l], fx, fy, float64(px))
	return box
}

func sign(level int) look.Glyph {
	if level == levels-1 {
		return look.Halt
	}
	return look.Warning
}

// crowdAt gives the glyph in the lane that is less than near from x, px. Only
// one a crowd is kept, so that there are few to look through.
func (p *Panel) crowdAt(x, near int) (heart int, ok bool) {
	for _, k := range p.taken {
		if max(x-k, k-x) < near {
			return k, true
		}
	}
	return x, false
}

// halo adds the outer shape of a level's glyph, wider by rim, px.
func halo(b *draw.Batch, level int, x, y, size, rim float64) {
	if sign(level) == look.Halt {
		b.Disc(r2.Vec{X: x, Y: y}, size*0.47+rim)
		return
	}
	b.Triangle(r2.Vec{X: x, Y: y + size*0.125}, size*0.53+2*rim, -math.Pi/2)
}

// tone gives the colours of a level, sign its glyph.
func (w *painter) tone(level int) look.Tone {
	if level == levels-1 {
		return w.th.Stop
	}
	return w.th.Caution
}
