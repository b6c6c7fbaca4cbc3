// SPDX-License-Identifier: MIT

package timeline

import (
	"cmp"
	"fmt"
	"image"
	"math"
	"slices"
	"sort"

	"gioui.org/layout"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/record"
)

// measured is what a robot did, laid over the rows of the legs: under each
// stance as drawn the one that its foot switch saw.
type measured struct {
	rec *record.Record
	cmp *record.Comparison

	span   stretch     // of the log
	known  []bool      // a leg: the log has its foot switch
	stance [][]stretch // a leg, in order
	steps  []step      // leg by leg, in order of time
	first  []int       // a leg: its first step; one more than there are legs
	texts  []string    // of the steps, "" for one not needed yet
}

// step is a foot that should come down, or did.
type step struct {
	record.Step
	at float64 // when it shows, s
}

// OnTime is how much earlier or later than drawn a foot comes down without
// being marked: about the distance of two looks at the robot, s.
const OnTime = 0.02

// missed and extra tell of a foot that did not come down, and of one that was
// not to.
func (s *step) missed() bool { return s.Seen != s.Seen }
func (s *step) extra() bool  { return s.Planned != s.Planned }

// off tells whether a step is to be marked.
func (s *step) off() bool { return !(math.Abs(s.Late()) <= OnTime) }

// bad puts steps in order of how bad they are.
func (s *step) bad() float64 {
	switch {
	case s.missed():
		return math.Inf(1)
	case s.extra():
		return math.MaxFloat64
	}
	return math.Abs(s.Late())
}

// Measured lays what a robot did over the legs' rows; nil for nothing. It is
// called in every frame, before Layout.
func (p *Panel) Measured(rec *record.Record, c *record.Comparison) {
	m := &p.measured
	if m.rec == rec && m.cmp == c {
		return
	}
	*m = measured{rec: rec, cmp: c}
	if rec == nil || c == nil {
		*m = measured{}
		return
	}
	m.span.from, m.span.to = c.Span(rec)
	for i := range rec.Legs {
		m.known = append(m.known, rec.Knows(i))
		var runs []stretch
		for _, s := range rec.Stances(i, c.Offset) {
			runs = append(runs, stretch{s.From, s.To})
		}
		m.stance = append(m.stance, runs)
	}
	for _, s := range c.Steps {
		m.steps = append(m.steps, step{s, s.Planned})
	}
	for _, s := range c.Extra {
		m.steps = append(m.steps, step{s, s.Seen})
	}
	slices.SortStableFunc(m.steps, func(a, b step) int { return cmp.Or(cmp.Compare(a.Leg, b.Leg), cmp.Compare(a.at, b.at)) })
	m.texts = make([]string, len(m.steps))
	for i := range rec.Legs + 1 {
		m.first = append(m.first, sort.Search(len(m.steps), func(k int) bool { return m.steps[k].Leg >= i }))
	}
}

// has tells whether there is something to show in the row of a leg.
func (m *measured) has(leg int) bool { return leg < len(m.known) && m.known[leg] }

// halves divides the height of a row: the bar as drawn above, the measured one
// below.
func halves(row int) (top, planned, gap, below int) {
	planned, below, gap = max(row*8/20, 3), max(row*6/20, 4), max(row/12, 1)
	return (row - planned - gap - below) / 2, planned, gap, below
}

// rowMeasured draws what the foot switch of a leg saw: a line with ends where
// the foot stood, a hair where it was in the air, nothing outside of the log.
func (w *painter) rowMeasured(leg int, row image.Rectangle) {
	gtx, th, m := w.gtx, w.th, &w.measured
	top, planned, gap, high := halves(row.Dy())
	y := row.Min.Y + top + planned + gap
	thick := max(high/2, 2*w.hair)
	mid := y + (high-thick)/2
	ends := max(gtx.Dp(1), 1)
	if m.span.to > w.axis.from && m.span.from < w.axis.to {
		draw.Rect(gtx.Ops, image.Rect(w.axis.column(m.span.from), y+(high-w.hair)/2, w.axis.column(m.span.to), y+(high-w.hair)/2+w.hair), th.Dim)
	}
	w.axis.bars(m.stance[leg], func(x0, x1 int) {
		draw.Rect(gtx.Ops, image.Rect(x0, mid, x1, mid+thick), th.Text)
		draw.Rect(gtx.Ops, image.Rect(x0, y, x0+ends, y+high), th.Text)
		draw.Rect(gtx.Ops, image.Rect(max(x1-ends, x0), y, x1, y+high), th.Text)
	})
	w.rowSteps(leg, row, y, high)
}

// stepSize is half the size of a step's sign, and stepReach how far beside it a
// pointer still finds it.
const (
	stepSize  unit.Dp = 3.5
	stepReach unit.Dp = 5
)

// rowSteps marks the steps of a leg that were early, late, missing or too many,
// about the measured bar at y. Of a crowd the worst one is marked.
func (w *painter) rowSteps(leg int, row image.Rectangle, y, high int) {
	gtx, m := w.gtx, &w.measured
	all := m.steps[m.first[leg]:m.first[leg+1]]
	at := sort.Search(len(all), func(k int) bool { return all[k].at >= w.axis.from || w.axis.shows(all[k].at) })
	near, reach := gtx.Dp(crowd), gtx.Dp(stepReach)
	r := min(float64(gtx.Dp(stepSize)), float64(row.Max.Y-y)-1)
	view := image.Rectangle{Max: w.lanes.size}
	halo, ink, stop := &w.flags, &w.glyphs[0], &w.glyphs[levels-1]
	halo.Reset(view)
	ink.Reset(view)
	stop.Reset(view)
	for at < len(all) && w.axis.shows(all[at].at) {
		worst, n := at, 1
		heart := w.axis.column(all[at].at)
		for at++; at < len(all) && w.axis.shows(all[at].at) && w.axis.column(all[at].at)-heart < near; at++ {
			if n++; all[at].bad() > all[worst].bad() {
				worst = at
			}
		}
		s := &all[worst]
		x := w.axis.column(s.at)
		lo, hi := x, x
		if !s.missed() && !s.extra() {
			seen := w.axis.column(s.Seen)
			lo, hi = min(lo, seen), max(hi, seen)
		}
		box := image.Rect(lo-reach, y-w.hair, hi+reach, row.Max.Y)
		w.spots = append(w.spots, spot{stepSpot, m.first[leg] + worst, leg, box.Intersect(w.lanes.rows), x, n})
		if s.off() {
			w.stepSign(s, lo, hi, float64(y)+float64(high)/2, r)
		}
	}
	ground := w.th.Canvas
	if leg == w.at.Leg {
		ground = w.th.Chosen
	}
	halo.Paint(gtx.Ops, ground)
	ink.Paint(gtx.Ops, w.th.Caution.Ink)
	stop.Paint(gtx.Ops, w.th.Stop.Ink)
}

// stepSign draws the sign of a step: an arrow from when it was to come to when
// it came, a cross where it did not come, a ring where none was to.
func (w *painter) stepSign(s *step, lo, hi int, y, r float64) {
	halo, ink, stop := &w.flags, &w.glyphs[0], &w.glyphs[levels-1]
	hair := float64(w.hair)
	switch {
	case s.missed():
		at := r2.Vec{X: float64(lo), Y: y}
		halo.Square(at, r+hair)
		stop.Cross(at, r, max(r/2, hair))
	case s.extra():
		at := r2.Vec{X: float64(lo), Y: y}
		halo.Disc(at, r+hair)
		ink.Ring(at, r-hair/2, max(r/3, hair))
	default:
		arrow(halo, s.Late() > 0, float64(lo), float64(hi), y, r+hair, hair)
		arrow(ink, s.Late() > 0, float64(lo), float64(hi), y, r, hair)
	}
}

// arrow draws an arrow head that points at when a foot came down, and a line to
// it from when it was to.
func arrow(b *draw.Batch, late bool, lo, hi, y, r, hair float64) {
	tip, back, tail := hi, hi-1.6*r, lo
	if !late {
		tip, back, tail = lo, lo+1.6*r, hi
	}
	b.Polygon(r2.Vec{X: tip, Y: y}, r2.Vec{X: back, Y: y - r}, r2.Vec{X: back, Y: y + r})
	if (tail-back)*(back-tip) > 0 { // the line shows behind the head
		b.Segment(r2.Vec{X: tail, Y: y}, r2.Vec{X: back, Y: y}, draw.Line{Width: 2 * hair})
	}
}

// stepWords says when a foot came down.
func (p *Panel) stepWords(i int) string {
	m := &p.measured
	if m.texts[i] == "" {
		m.texts[i] = p.describeStep(&m.steps[i])
	}
	return m.texts[i]
}

func (p *Panel) describeStep(s *step) string {
	leg := p.derived.legs[s.Leg]
	switch {
	case s.missed():
		return fmt.Sprintf("%s did not come down: its step is drawn for %s s", leg, draw.Number(s.Planned, 3))
	case s.extra():
		return fmt.Sprintf("%s came down at %s s, where no step is drawn", leg, draw.Number(s.Seen, 3))
	}
	when := "on time"
	if ms := math.Round(1000 * s.Late()); ms > 0 {
		when = draw.Number(ms, 0) + " ms late"
	} else if ms < 0 {
		when = draw.Number(-ms, 0) + " ms early"
	}
	return fmt.Sprintf("%s came down %s, at %s s", leg, when, draw.Number(s.Seen, 3))
}

// goToStep goes to the instant and the leg of a step.
func (p *Panel) goToStep(d *document.Document, at *document.Place, i int) {
	s := &p.measured.steps[i]
	at.Playing = false
	at.Choose(d, s.Leg)
	at.GoTo(d, s.at)
}

// NextOff goes to the next step, or the one before for by < 0, that was early,
// late, missing or too many; false when there is none.
func (p *Panel) NextOff(d *document.Document, at *document.Place, by int) bool {
	best := -1
	const hair = 1e-6
	for i := range p.measured.steps {
		s := &p.measured.steps[i]
		if !s.off() || s.Leg >= len(d.Result().Built.Robot.Legs) {
			continue
		}
		// In order of time, and of the leg at the same time.
		ahead := s.at > at.Time+hair || math.Abs(s.at-at.Time) <= hair && s.Leg > at.Leg
		behind := s.at < at.Time-hair || math.Abs(s.at-at.Time) <= hair && s.Leg < at.Leg
		switch {
		case by > 0 && ahead && (best < 0 || s.at < p.measured.steps[best].at-hair):
			best = i
		case by < 0 && behind && (best < 0 || s.at >= p.measured.steps[best].at-hair):
			best = i
		}
	}
	if best < 0 {
		return false
	}
	p.goToStep(d, at, best)
	return true
}

// legend explains the signs, as many as there is room for beside the words of
// the line.
func (p *Panel) legend(gtx layout.Context, th *look.Theme) layout.Dimensions {
	if p.measured.cmp == nil || !slices.Contains(p.measured.known, true) {
		return layout.Dimensions{}
	}
	const beside, swatch, gap, space unit.Dp = 120, 18, 4, 10
	write := th.Writer(look.Small, th.Dim)
	height := gtx.Dp(look.Control)
	y := float64(height) / 2
	hair := max(gtx.Dp(1), 1)
	r := float64(gtx.Dp(stepSize))
	bar := func(x, high int, ends bool) {
		x1, mid := x+gtx.Dp(swatch), height/2
		if !ends {
			draw.Rect(gtx.Ops, image.Rect(x, mid-high/2, x1, mid+high/2), look.Mix(th.Canvas, th.RobotFar, 0.82))
			return
		}
		draw.Rect(gtx.Ops, image.Rect(x, mid-hair, x1, mid+hair), th.Text)
		for _, c := range [2]int{x, x1 - hair} {
			draw.Rect(gtx.Ops, image.Rect(c, mid-high/2, c+hair, mid+high/2), th.Text)
		}
	}
	sign := func(s step) func(x int) {
		return func(x int) {
			w := painter{Panel: p, gtx: gtx, th: th, hair: hair}
			view := image.Rect(0, 0, gtx.Constraints.Max.X, height)
			halo, ink, stop := &p.flags, &p.glyphs[0], &p.glyphs[levels-1]
			halo.Reset(view)
			ink.Reset(view)
			stop.Reset(view)
			lo, hi := x, x+gtx.Dp(swatch)
			if s.missed() || s.extra() {
				lo = (lo + hi) / 2
			}
			w.stepSign(&s, lo, hi, y, r)
			ink.Paint(gtx.Ops, th.Caution.Ink)
			stop.Paint(gtx.Ops, th.Stop.Ink)
		}
	}
	nan := math.NaN()
	items := []struct {
		words string
		draw  func(x int)
	}{
		{"drawn", func(x int) { bar(x, gtx.Dp(8), false) }},
		{"measured", func(x int) { bar(x, gtx.Dp(7), true) }},
		{"late", sign(step{record.Step{Planned: 0, Seen: 1}, 0})},
		{"early", sign(step{record.Step{Planned: 1, Seen: 0}, 0})},
		{"missing", sign(step{record.Step{Planned: 0, Seen: nan}, 0})},
		{"too many", sign(step{record.Step{Planned: nan, Seen: 0}, 0})},
	}
	x, room := 0, gtx.Constraints.Max.X-gtx.Dp(beside)
	for _, it := range items {
		d, _ := write.Measure(gtx, it.words)
		wide := gtx.Dp(swatch+gap+space) + d.Size.X
		if x+wide > room {
			break
		}
		it.draw(x)
		write.At(gtx, r2.Vec{X: float64(x + gtx.Dp(swatch+gap)), Y: y}, layout.W, it.words)
		x += wide
	}
	return layout.Dimensions{Size: image.Pt(x, height)}
}
