// SPDX-License-Identifier: MIT

package strips

import (
	"cmp"
	"image"
	"math"
	"slices"
	"sort"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/kin"
	"gaitwright/motion/record"
	"gaitwright/motion/rehearsal"
)

// log is what a robot did, held against the motion; the zero value for nothing.
type log struct {
	rec *record.Record
	cmp *record.Comparison
}

// Measured lets the angles show what a robot's servos reported beside what is
// drawn; nil for nothing. It is called in every frame, before Update.
func (p *Panel) Measured(rec *record.Record, c *record.Comparison) {
	if rec == nil || c == nil {
		rec, c = nil, nil
	}
	p.derived.log = log{rec, c}
}

// trail is a line at times of its own, as reported.
type trail struct {
	times  []float64 // s
	shift  float64   // added to them, s
	data   []float64
	stride int
	offset int
	scale  float64
	rest   float64 // time without a row that breaks the line, s
}

func (l *trail) at(k int) float64   { return l.data[k*l.stride+l.offset] * l.scale }
func (l *trail) time(k int) float64 { return l.times[k] + l.shift }

// leastRest is the time without a report for which a line still goes on, s. A
// log with fewer rows than that goes on for some of them.
const leastRest = 0.25

// trailOf gives the reported angle of a joint, nil when none was.
func (g *log) trailOf(leg, joint int) *trail {
	if g.rec == nil || leg >= g.rec.Legs {
		return nil
	}
	l := &trail{times: g.rec.Time, shift: g.cmp.Offset, data: g.rec.Angle, stride: g.rec.Legs * kin.Joints, offset: leg*kin.Joints + joint, scale: degree}
	n := len(l.times)
	l.rest = max(leastRest, 4*(l.times[n-1]-l.times[0])/float64(n-1))
	for k := range l.times {
		if v := l.at(k); v == v {
			return l
		}
	}
	return nil
}

// trace appends the points of the line from time from to time to, at x px and y
// px. Of the rows in a column of pixels it keeps the first, the least, the
// greatest and the last, so that the drawing covers the same pixels as all of
// them would; a point that is not finite breaks the line.
// Cost: a search, and one pass over the rows that show.
func (l *trail) trace(from, to float64, x, y func(float64) float64, out []r2.Vec) []r2.Vec {
	nan := r2.Vec{X: math.NaN(), Y: math.NaN()}
	at := max(sort.Search(len(l.times), func(k int) bool { return l.time(k) >= from })-1, 0)
	var first, low, high, last int // of the column at hand
	column, any := 0, false
	flush := func() {
		if !any {
			return
		}
		a, b := min(low, high), max(low, high)
		prev := -1
		for _, k := range [4]int{first, a, b, last} {
			if k != prev {
				out = append(out, r2.Vec{X: x(l.time(k)), Y: y(l.at(k))})
				prev = k
			}
		}
		any = false
	}
	cut := func() {
		flush()
		if n := len(out); n > 0 && out[n-1].X == out[n-1].X {
			out = append(out, nan)
		}
	}
	before := math.Inf(-1) // time of the last number
	for k := at; k < len(l.times); k++ {
		s, v := l.time(k), l.at(k)
		if v == v {
			if s-before > l.rest {
				cut()
			}
			c := int(math.Floor(x(s)))
			if any && c != column {
				flush()
			}
			if !any {
				first, low, high, column, any = k, k, k, c, true
			}
			if v < l.at(low) {
				low = k
			}
			if v > l.at(high) {
				high = k
			}
			last, before = k, s
		}
		if s > to {
			break
		}
	}
	flush()
	return out
}

// near gives the number nearest to a time; false where the line is broken.
func (l *trail) near(s float64) (v float64, ok bool) {
	k := sort.Search(len(l.times), func(k int) bool { return l.time(k) >= s })
	best := l.rest / 2
	look := func(from, step int) {
		for i := from; i >= 0 && i < len(l.times); i += step {
			far := math.Abs(l.time(i) - s)
			if far > best {
				return
			}
			if x := l.at(i); x == x {
				v, ok, best = x, true, far
				return
			}
		}
	}
	look(k, 1)
	look(k-1, -1)
	return v, ok
}

// angles is the strip of a joint: its angle as drawn, and as reported.
func (v *derived) angles(r *rehearsal.Rehearsal, leg, joint int) strip {
	t := r.Trajectory
	s := strip{
		name: r.Built.Robot.Legs[leg].Name + " " + kin.JointName(joint), unit: "°", leg: leg, angle: true,
		lines:    []series{{"drawn", t.Q, t.Legs * kin.Joints, leg*kin.Joints + joint, degree, math.NaN()}},
		measured: v.log.trailOf(leg, joint),
	}
	travel := r.Built.Robot.Legs[leg].Limits[joint]
	s.travel = [2]float64{travel.Lo * degree, travel.Hi * degree}
	lo, hi := s.extremes()
	if m := s.measured; m != nil {
		for k := range m.times {
			if x := m.at(k); x-x == 0 {
				lo, hi = min(lo, x), max(hi, x)
			}
		}
		s.notMeasured(t.Duration())
		for i := range v.log.cmp.Follow {
			if f := &v.log.cmp.Follow[i]; f.Leg == leg && f.Joint == joint {
				s.worst = worst{true, f.At, "off by", f.Worst * degree, fine, leg}
				if x, ok := m.near(f.At); ok {
					s.mark = x
				}
			}
		}
	}
	if lo > hi { // no finite angle
		lo, hi = -1, 1
	}
	s.drawn = [2]float64{lo, hi}
	const least = 2 // °
	pad := max(0.08*(hi-lo), (least-(hi-lo))/2, 0.1)
	s.lo, s.hi = lo-pad, hi+pad
	for _, end := range s.travel {
		if end >= s.lo && end <= s.hi {
			s.rules = append(s.rules, rule{end, "end of travel", fine})
		}
	}
	return s
}

// notMeasured notes where a joint was not reported.
func (s *strip) notMeasured(end float64) {
	const words, brief = "the robot's log has no angle of this joint here", "not measured"
	m, known := s.measured, 0.0 // up to here
	put := func(to float64) {
		if to > known {
			s.gaps = append(s.gaps, gap{known, to, words, brief})
		}
	}
	for k := range m.times {
		if v := m.at(k); v != v {
			continue
		}
		at := m.time(k)
		if at > end {
			break
		}
		if at-known > m.rest {
			put(at)
		}
		known = max(known, at)
	}
	if end-known > m.rest {
		put(end)
	}
}

// rankAngles puts the joints first, the one that was farthest off before the
// others; without a log they stay in order. While something is dragged the rows
// keep their places.
func (v *derived) rankAngles(d *document.Document) {
	if d.Dragging() && len(v.turns) == len(v.strips) {
		return
	}
	v.turns = v.turns[:0]
	for i := range v.strips {
		v.turns = append(v.turns, i)
	}
	off := func(i int) float64 { // the others last
		s := &v.strips[i]
		switch {
		case !s.angle:
			return -2
		case !s.worst.ok:
			return -1
		}
		return math.Round(10 * math.Abs(s.worst.value))
	}
	slices.SortStableFunc(v.turns, func(a, b int) int { return cmp.Compare(off(b), off(a)) })
}

// reported draws the angle that was reported.
func (w *painter) reported(gtx layout.Context, s *strip, area image.Rectangle, y scale) {
	if s.measured == nil {
		return
	}
	k := strokes(w.th)[1]
	from, to := w.axis.Between()
	w.lines.pts = thin(s.measured.trace(from, to, w.axis.Px, y.y, w.lines.pts[:0]), bend)
	b := &w.lines.batch
	b.Reset(area)
	width := max(float64(gtx.Metric.PxPerDp)*1.4, 1)
	b.Polyline(w.lines.pts, draw.Line{Width: width, Pattern: k.Pattern, Unit: width * 0.9})
	b.Paint(gtx.Ops, k.Color)
}

// angleValues gives the rows of the card of values for sample k.
func (w *painter) angleValues(s *strip, k int, plain, quiet, said func(string) cell) (out [][]cell) {
	t := w.d.Result().Trajectory
	drawn := s.lines[0].at(k)
	out = append(out, []cell{{text: "drawn", ink: w.th.Text, left: true, swash: 1}, plain(s.amount(drawn)),
		said("travel " + draw.Number(s.travel[0], 0) + " to " + s.amountOf(s.travel[1], 0))})
	if s.measured == nil {
		return out
	}
	name := cell{text: "measured", ink: w.th.Text, left: true, swash: 2}
	x, ok := s.measured.near(t.Time(k))
	if !ok {
		return append(out, []cell{name, quiet("–"), {}})
	}
	return append(out, []cell{name, plain(s.amount(x)), said(draw.Number(x-drawn, 1) + "° off")})
}
