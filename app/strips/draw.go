// SPDX-License-Identifier: MIT

package strips

import (
	"image"
	"image/color"
	"math"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/timeline"
	"gaitwright/motion"
)

// drawer is what drawing reuses.
type drawer struct {
	batch draw.Batch
	pts   []r2.Vec
}

// drawing is a strip drawn, kept until something in it changes.
type drawing struct {
	key  drawingKey
	ops  op.Ops
	call op.CallOp
}

type drawingKey struct {
	made   int
	ghost  int
	axis   timeline.Axis
	height int
	open   bool
	dark   bool
	dp     float32
}

// strokes tell the lines of a strip apart, by colour and pattern.
func strokes(th *look.Theme) [3]look.Stroke {
	return [3]look.Stroke{
		{Color: th.Accent.Fill, Pattern: draw.Solid},
		{Color: th.Leg(3).Color, Pattern: draw.Dashed},
		{Color: th.Leg(2).Color, Pattern: draw.DashDot},
	}
}

// curves draws what a strip shows over time, from the drawing that is kept if
// nothing has changed.
func (w *painter) curves(r *row) {
	s := &w.derived.strips[r.strip]
	if w.drawings == nil {
		w.drawings = map[string]*drawing{}
	}
	c := w.drawings[s.name]
	if c == nil {
		c = new(drawing)
		w.drawings[s.name] = c
	}
	k := drawingKey{w.derived.made, w.ghost.made, w.axis, r.box.Dy(), r.open, w.th.Dark, w.gtx.Metric.PxPerDp}
	if c.key != k {
		c.key = k
		c.ops.Reset()
		m := op.Record(&c.ops)
		gtx := w.gtx
		gtx.Ops = &c.ops
		if r.open {
			w.plot(gtx, s, r.box.Dy())
		} else {
			w.band(gtx, s, r.box.Dy())
		}
		c.call = m.Stop()
	}
	defer offset(w.gtx.Ops, r.box.Min.Y).Pop()
	c.call.Add(w.gtx.Ops)
}

// scale maps values of an open strip to heights in its row, px.
type scale struct{ y0, perUnit float64 }

func (s *strip) scale(gtx layout.Context, height int) scale {
	top, low := float64(gtx.Dp(keyHeight)), float64(height-gtx.Dp(4))
	k := (low - top) / (s.hi - s.lo)
	return scale{low + s.lo*k, -k}
}

func (c scale) y(v float64) float64 { return c.y0 + v*c.perUnit }

// plot draws an open strip at the origin of its row.
func (w *painter) plot(gtx layout.Context, s *strip, height int) {
	th := w.th
	x0, x1 := w.axis.Ends()
	area := image.Rect(x0, gtx.Dp(keyHeight), x1, height-w.hair)
	y := s.scale(gtx, height)
	w.key(gtx, s, image.Rect(x0, 0, x1, area.Min.Y))
	func() {
		defer clip.Rect(area).Push(gtx.Ops).Pop()
		w.grounds(gtx, s, area, y)
		w.parts(gtx, area)
		w.missing(gtx, s, area)
		w.shadow(gtx, s, area, y)
		for i := range s.lines { // dashes above the solid line, so that both show
			w.curve(gtx, w.d.Result().Trajectory, &s.lines[i], strokes(th)[i], 1.4, area, y)
		}
		w.reported(gtx, s, area, y)
		w.cuts(gtx, s, area)
		w.landings(gtx, s, area, y)
		w.worstPoint(gtx, s, area, y)
		w.intervals(gtx, s, area.Max.Y)
	}()
	w.numbers(gtx, s, area, y)
}

// grounds shades what lies beyond the limits, and draws these.
func (w *painter) grounds(gtx layout.Context, s *strip, area image.Rectangle, y scale) {
	th := w.th
	row := func(v float64) int { return int(math.Round(max(-far, min(y.y(v), far)))) }
	for _, bad := range [2]level{near, past} {
		for i := range s.rules {
			if s.rules[i].bad != bad {
				continue
			}
			at := row(s.rules[i].at)
			beyond := image.Rect(area.Min.X, area.Min.Y, area.Max.X, at)
			if s.least {
				beyond = image.Rect(area.Min.X, at, area.Max.X, area.Max.Y)
			}
			draw.Rect(gtx.Ops, beyond.Intersect(area), look.Mix(th.Canvas, tone(th, bad).Wash, 0.6))
		}
	}
	b := &w.lines.batch
	for i := range s.rules {
		r := &s.rules[i]
		at := float64(row(r.at)) - float64(w.hair)/2
		switch r.bad {
		case past:
			draw.Horizontal(gtx.Ops, float64(area.Min.X), float64(area.Max.X), at, w.hair, tone(th, past).Ink)
		default:
			ink := th.Dim
			if r.bad == near {
				ink = tone(th, near).Ink
			}
			b.Reset(area)
			b.Segment(r2.Vec{X: float64(area.Min.X), Y: at}, r2.Vec{X: float64(area.Max.X), Y: at},
				draw.Line{Width: float64(w.hair), Pattern: draw.Dashed, Unit: float64(gtx.Dp(1))})
			b.Paint(gtx.Ops, ink)
		}
	}
}

// tone gives the colours of a level that is not fine.
func tone(th *look.Theme, l level) look.Tone {
	if l == past {
		return th.Stop
	}
	return th.Caution
}

// parts draws the seams of the sequence.
func (w *painter) parts(gtx layout.Context, area image.Rectangle) {
	for i, p := range w.d.Result().Trajectory.Parts {
		if i > 0 && w.axis.Shows(p.From) {
			x := w.axis.Column(p.From)
			draw.Rect(gtx.Ops, image.Rect(x, area.Min.Y, x+w.hair, area.Max.Y), w.th.GridStrong)
		}
	}
}

// missing marks where there are no numbers, and says why where that fits.
func (w *painter) missing(gtx layout.Context, s *strip, area image.Rectangle) {
	write := w.th.Writer(look.Small, w.th.Dim)
	for _, g := range s.gaps {
		if !w.axis.Shows(g.from) && !w.axis.Shows(g.to) && !(g.from < w.axis.Time(float64(area.Min.X)) && g.to > w.axis.Time(float64(area.Max.X))) {
			continue
		}
		r := area
		r.Min.X, r.Max.X = w.axis.Column(g.from), max(w.axis.Column(g.to), w.axis.Column(g.from)+1)
		draw.Rect(gtx.Ops, r, look.Mix(w.th.Canvas, w.th.Text, 0.07))
		if r.Dx() < gtx.Dp(36) {
			continue
		}
		d, call := write.Measure(gtx, "no number: "+g.why)
		if d.Size.X+gtx.Dp(8) > r.Dx() {
			if d, call = write.Measure(gtx, g.brief); d.Size.X+gtx.Dp(8) > r.Dx() {
				continue
			}
		}
		o := op.Offset(image.Pt((r.Min.X+r.Max.X-d.Size.X)/2, (r.Min.Y+r.Max.Y-d.Size.Y)/2)).Push(gtx.Ops)
		call.Add(gtx.Ops)
		o.Pop()
	}
}

// bend is how far a drawn line may lie off the samples, px.
const bend = 0.25

// curve draws a line of a trajectory, width dp wide.
func (w *painter) curve(gtx layout.Context, t *motion.Trajectory, l *series, k look.Stroke, width float64, area image.Rectangle, y scale) {
	from, to := w.axis.Between()
	m := mapping{
		x0: w.axis.Px(0), perSample: w.axis.Px(1/t.Rate) - w.axis.Px(0),
		y0: y.y0, perUnit: y.perUnit,
		from: max(int(from*t.Rate)-1, 0), to: min(int(to*t.Rate)+2, t.N-1),
	}
	w.lines.pts = thin(l.trace(m, w.lines.pts[:0]), bend)
	b := &w.lines.batch
	b.Reset(area)
	width = max(float64(gtx.Metric.PxPerDp)*width, 1)
	b.Polyline(w.lines.pts, draw.Line{Width: width, Pattern: k.Pattern, Unit: width * 0.9})
	b.Paint(gtx.Ops, k.Color)
}

// landings draws a stem for each foot that lands or strikes.
func (w *painter) landings(gtx layout.Context, s *strip, area image.Rectangle, y scale) {
	if len(s.stems) == 0 {
		return
	}
	b := &w.lines.batch
	b.Reset(area)
	low := float64(area.Max.Y)
	r := float64(gtx.Dp(3))
	for i := range s.stems {
		m := &s.stems[i]
		x, top := w.axis.Px(m.at), max(y.y(m.value), float64(area.Min.Y)+r)
		if !w.axis.Shows(m.at) {
			continue
		}
		b.Segment(r2.Vec{X: x, Y: low}, r2.Vec{X: x, Y: top + r}, draw.Line{Width: float64(w.hair)})
		if m.strike {
			strike(b, r2.Vec{X: x, Y: top}, r)
		} else {
			landing(b, r2.Vec{X: x, Y: top}, r)
		}
	}
	b.Paint(gtx.Ops, w.th.Text)
}

// worstPoint marks the worst value where it shows.
func (w *painter) worstPoint(gtx layout.Context, s *strip, area image.Rectangle, y scale) {
	if !s.worst.ok || !w.axis.Shows(s.worst.at) || s.least && s.worst.value > s.hi {
		return
	}
	r := float64(gtx.Dp(4))
	v := s.worst.value
	if s.angle {
		v = s.mark
	}
	at := r2.Vec{X: w.axis.Px(s.worst.at), Y: max(float64(area.Min.Y)+r, min(y.y(v), float64(area.Max.Y)-r))}
	b := &w.lines.batch
	b.Reset(area)
	b.Diamond(at, r+float64(gtx.Dp(2)))
	b.Paint(gtx.Ops, w.th.Canvas)
	b.Reset(area)
	b.Diamond(at, r)
	b.Paint(gtx.Ops, inkOf(w.th, s.worst.bad))
}

// intervals draws when the strip is near or past its limit as lines upon y.
func (w *painter) intervals(gtx layout.Context, s *strip, y int) {
	w.axis.Bars(s.near, func(x0, x1 int) {
		draw.Rect(gtx.Ops, image.Rect(x0, y-gtx.Dp(2), x1, y), w.th.Caution.Fill)
	})
	w.axis.Bars(s.past, func(x0, x1 int) {
		draw.Rect(gtx.Ops, image.Rect(x0, y-gtx.Dp(4), x1, y), w.th.Stop.Fill)
	})
}

// numbers writes the limits, the end of the scale and the unit at the right
// end, the more important first; what would touch them is left out.
func (w *painter) numbers(gtx layout.Context, s *strip, area image.Rectangle, y scale) {
	high := float64(gtx.Dp(12))                    // of a label
	top, low := high/2, float64(area.Max.Y)-high/2 // the unit is beside the key
	var taken []float64
	put := func(at, move float64, ink color.NRGBA, words string) {
		at = max(top, min(at, low))
		for _, t := range taken {
			if math.Abs(at-t) < high {
				if at = t + math.Copysign(high, move); move == 0 || at < top || at > low {
					return
				}
			}
		}
		for _, t := range taken {
			if math.Abs(at-t) < high {
				return
			}
		}
		taken = append(taken, at)
		write := w.th.Writer(look.Small-1, ink)
		x, end := area.Max.X+gtx.Dp(2), w.size.X-gtx.Dp(3) // where the bar is
		if d, _ := write.Measure(gtx, words); x+d.Size.X > end {
			x = end - d.Size.X
		}
		write.At(gtx, r2.Vec{X: float64(x), Y: at}, layout.W, words)
	}
	for i := range s.rules {
		r := &s.rules[i]
		at := y.y(r.at)
		if at < float64(area.Min.Y) || at > float64(area.Max.Y) {
			continue
		}
		ink, move := w.th.Dim, 0.0
		if r.bad != fine {
			ink = tone(w.th, r.bad).Ink
			move = s.rules[0].at - r.at // away from the first
		}
		words := short(r.at)
		if d, _ := w.th.Writer(look.Small-1, ink).Measure(gtx, words); area.Max.X+gtx.Dp(2)+d.Size.X > w.size.X-gtx.Dp(3) { // where the bar is
			words = draw.Number(r.at, 0)
		}
		put(at, move, ink, words)
	}
	if s.angle {
		for _, v := range s.drawn {
			put(y.y(v), 0, w.th.Dim, draw.Number(v, 0))
		}
		return
	}
	if s.least { // the unit where no limit is
		put(top, 0, w.th.Dim, s.unit)
	} else {
		put(low, 0, w.th.Dim, s.unit)
	}
	if len(s.above) > 0 {
		put(y.y(s.hi), 1, w.th.Dim, short(s.hi))
	}
}

// band draws a folded row at its origin: when it is near or past its limit,
// where numbers are missing, and where the worst is.
func (w *painter) band(gtx layout.Context, s *strip, height int) {
	x0, x1 := w.axis.Ends()
	mid := height / 2
	area := image.Rect(x0, 0, x1, height)
	defer clip.Rect(image.Rect(x0-gtx.Dp(edge), 0, x1+gtx.Dp(edge), height)).Push(gtx.Ops).Pop()
	draw.Rect(gtx.Ops, image.Rect(x0, mid, x1, mid+w.hair), w.th.GridStrong)
	for _, g := range s.gaps {
		if r := image.Rect(w.axis.Column(g.from), 0, w.axis.Column(g.to), height); r.Overlaps(area) {
			draw.Rect(gtx.Ops, image.Rect(r.Min.X, mid, max(r.Max.X, r.Min.X+1), mid+w.hair), w.th.Canvas)
		}
	}
	w.axis.Bars(s.near, func(a, b int) {
		draw.Rect(gtx.Ops, image.Rect(a, mid-gtx.Dp(1), b, mid+gtx.Dp(1)), w.th.Caution.Fill)
	})
	w.axis.Bars(s.past, func(a, b int) {
		draw.Rect(gtx.Ops, image.Rect(a, mid-gtx.Dp(3), b, mid+gtx.Dp(3)), w.th.Stop.Fill)
	})
	if s.worst.ok && w.axis.Shows(s.worst.at) {
		b := &w.lines.batch
		b.Reset(image.Rect(x0-gtx.Dp(edge), 0, x1+gtx.Dp(edge), height))
		b.Diamond(r2.Vec{X: w.axis.Px(s.worst.at), Y: float64(mid) + float64(w.hair)/2}, float64(gtx.Dp(4)))
		b.Paint(gtx.Ops, inkOf(w.th, s.worst.bad))
	}
}

// inkOf gives the colour of words about a value.
func inkOf(th *look.Theme, l level) color.NRGBA {
	if l == fine {
		return th.Dim
	}
	return tone(th, l).Ink
}
