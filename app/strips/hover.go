// SPDX-License-Identifier: MIT

package strips

import (
	"image"
	"image/color"
	"math"

	"gioui.org/op"

	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/kin/servo"
)

// cell is a text of the card of values.
type cell struct {
	text  string
	ink   color.NRGBA
	left  bool // else right-aligned, as numbers are
	swash int  // stroke drawn before it, plus one
}

// hover draws a line at the pointer and shows the values there.
func (w *painter) hover(area image.Rectangle) {
	q := w.mouse.Round()
	i, ok := w.rowAt(q)
	x0, x1 := w.axis.Ends()
	if !w.over || w.held || !ok || !w.gtx.Enabled() || q.X < x0 || q.X > x1 {
		return
	}
	r := &w.Panel.rows[i]
	s := &w.derived.strips[r.strip]
	t := w.d.Result().Trajectory
	if t.N == 0 {
		return
	}
	k := t.Index(w.axis.Time(float64(w.mouse.X)))
	x := w.axis.Column(t.Time(k))
	draw.Rect(w.gtx.Ops, image.Rect(x, area.Min.Y, x+w.hair, w.low(area)), look.Faded(w.th.Text, 0.45))
	w.card(w.values(s, k), x, r.box)
}

// values gives the card for sample k of a strip: rows of cells.
func (w *painter) values(s *strip, k int) [][]cell {
	th, r := w.th, w.d.Result()
	name := func(i int) cell { return cell{text: s.lines[i].name, ink: th.Text, left: true, swash: i + 1} }
	plain := func(text string) cell { return cell{text: text, ink: th.Text} }
	quiet := func(text string) cell { return cell{text: text, ink: th.Dim} }
	said := func(text string) cell { return cell{text: text, ink: th.Dim, left: true} }
	value := func(i int) cell {
		l := &s.lines[i]
		v := l.at(k)
		if v != v {
			return quiet("–")
		}
		c := plain(s.amount(v))
		if i < s.judged {
			if b := s.rate(l, v); b != fine {
				c.ink = tone(th, b).Ink
			}
		}
		return c
	}
	now := cell{text: s.name + ", " + draw.Number(r.Trajectory.Time(k), 3) + " s", ink: th.Text, left: true}
	out := [][]cell{{now, {}, {}}}
	switch {
	case s.angle:
		out = append(out, w.angleValues(s, k, plain, quiet, said)...)
	case s.leg >= 0:
		out[0] = []cell{now, quiet(shareOf(w.derived.view)), quiet("torque"), quiet("speed")}
		w.jointValues(&out, s, k, name, value, quiet)
	case s.free:
		for i := range s.lines {
			of := said("")
			if leg := w.derived.leastLeg(k); i == leastReserve && leg >= 0 {
				of = said("leg " + r.Built.Robot.Legs[leg].Name)
			}
			out = append(out, []cell{name(i), value(i), of})
		}
		out = append(out, []cell{{text: s.note + ", where it is now", ink: th.Dim, left: true}})
	case s.least:
		for i := range s.lines {
			limit := said("about the nearest edge")
			if v := s.lines[i].limit; v == v {
				limit = said("wanted " + s.amount(v))
			}
			out = append(out, []cell{name(i), value(i), limit})
		}
	default:
		limit := said("no limit given")
		if v := s.lines[0].limit; v == v {
			limit = said("limit " + s.amount(v))
		}
		out = append(out, []cell{name(0), value(0), limit})
		if u := r.Loads.Supply; u.Voltage > 0 {
			left := quiet("–")
			if v := r.Loads.Voltage[k]; v == v {
				left = plain(draw.Number(v, 2) + " V")
			}
			out = append(out, []cell{{text: "voltage left", ink: th.Text, left: true}, left, said("of " + draw.Number(u.Voltage, 2) + " V")})
		}
	}
	if g, ok := s.gapAt(r.Trajectory.Time(k)); ok && s.angle {
		out = append(out, []cell{{text: g.why, ink: th.Dim, left: true}})
	} else if ok {
		out = append(out, []cell{{text: "no number: " + g.why, ink: th.Caution.Ink, left: true}})
	}
	return out
}

// shareOf names the share that a view of the legs' strips plots.
func shareOf(v view) string {
	switch v {
	case torque:
		return "of torque"
	case speed:
		return "of speed"
	}
	return "of line"
}

// jointValues adds the rows of the joints: what is shown, then torque and
// speed with their limits, and a landing nearby.
func (w *painter) jointValues(out *[][]cell, s *strip, k int, name, value func(int) cell, quiet func(string) cell) {
	th, r := w.th, w.d.Result()
	n := r.Loads.Legs * kin.Joints
	for j := range kin.Joints {
		o := s.leg*kin.Joints + j
		can := r.Loads.LineAt(k, o)
		if d := r.Built.Limits.Derating; d > 0 && d <= 1 {
			can = can.Derated(d)
		}
		tau, v := r.Loads.Torque[k*n+o], r.Trajectory.V[k*n+o]
		most, fastest := can.Stall, can.NoLoad
		if w.derived.view == line && servo.Drives(tau, v) { // as the findings have it
			most, fastest = can.Torque(v), can.Speed(tau)
		}
		load := quiet("–")
		if tau == tau {
			load = quiet(draw.Figures(math.Abs(tau), 3) + " of " + draw.Figures(most, 3) + " N·m")
		}
		turn := quiet(draw.Number(math.Abs(v)*degree, 0) + " of " + draw.Number(fastest*degree, 0) + "°/s")
		*out = append(*out, []cell{name(j), value(j), load, turn})
	}
	switch w.derived.view {
	case line:
		*out = append(*out,
			[]cell{{text: "line: the shares of torque and speed together while it drives", ink: th.Dim, left: true}},
			[]cell{{text: "torque: of what is left at that speed; speed: at that torque", ink: th.Dim, left: true}})
	case torque, speed:
		*out = append(*out, []cell{{text: "torque: of what is counted on at rest; speed: without load", ink: th.Dim, left: true}})
	}
	const reach = 8 // px
	x := w.axis.Px(r.Trajectory.Time(k))
	for i := range s.stems {
		m := &s.stems[i]
		if math.Abs(w.axis.Px(m.at)-x) > float64(w.gtx.Dp(reach)) {
			continue
		}
		what := "meets ground"
		if m.strike {
			what = "meets target"
		}
		c := cell{text: percent(m.value), ink: th.Text}
		if b := s.rate(nil, m.value); b != fine {
			c.ink = tone(th, b).Ink
		}
		*out = append(*out, []cell{
			{text: what, ink: th.Text, left: true}, c,
			quiet(draw.Number(m.speed*milli, 0) + " of " + draw.Number(r.Built.Limits.Landing*milli, 0) + " mm/s"),
			quiet("at " + draw.Number(m.at, 3) + " s"),
		})
		return
	}
}

const degree = 180 / math.Pi

// gapAt gives the gap at a time.
func (s *strip) gapAt(at float64) (gap, bool) {
	for _, g := range s.gaps {
		if at >= g.from-1e-9 && at <= g.to+1e-9 {
			return g, true
		}
	}
	return gap{}, false
}

// card draws a table beside the pointer: above the row it is about, or above
// all of them where it would lie over another one that is open, and away from
// the present time. It may stand out of the panel.
func (w *painter) card(rows [][]cell, x int, about image.Rectangle) {
	gtx, th := w.gtx, w.th
	pad, gap, step, swash := gtx.Dp(8), gtx.Dp(14), gtx.Dp(17), gtx.Dp(28)
	type put struct {
		call  op.CallOp
		width int
	}
	var widths []int
	calls := make([][]put, len(rows))
	m := op.Record(gtx.Ops) // as a whole, to be drawn last
	total := 0
	for i, cells := range rows {
		for j, c := range cells {
			d, call := th.Writer(look.Small+1, c.ink).Measure(gtx, c.text)
			calls[i] = append(calls[i], put{call, d.Size.X})
			wide := d.Size.X
			if c.swash > 0 {
				wide += swash
			}
			if len(cells) == 1 { // a remark over the whole width
				total = max(total, d.Size.X)
				continue
			}
			for len(widths) <= j {
				widths = append(widths, 0)
			}
			widths[j] = max(widths[j], wide)
		}
	}
	sum := -gap
	for _, v := range widths {
		sum += v + gap
	}
	size := image.Pt(max(sum, total)+2*pad, len(rows)*step+pad)
	gapX := gtx.Dp(12)
	right, left := x+gapX, x-gapX-size.X
	at := image.Pt(right, about.Min.Y-size.Y-gtx.Dp(4))
	// Away from the present time, which is often on what is looked at.
	now := w.axis.Column(w.place.Time)
	ahead := w.axis.Shows(w.place.Time) && now > x
	if ahead && left >= 0 || right+size.X > w.size.X {
		at.X = max(left, 0)
	}
	for i := range w.Panel.rows {
		if r := &w.Panel.rows[i]; r.open && r.box.Max.Y > max(at.Y, w.head) && r.box.Max.Y <= about.Min.Y {
			at.Y = -size.Y
			break
		}
	}
	box := image.Rectangle{Min: at, Max: at.Add(size)}
	draw.RoundFrame(gtx.Ops, box, gtx.Dp(look.Corner), w.hair, th.Edge, th.Raised)
	for i, cells := range rows {
		y := box.Min.Y + pad/2 + i*step
		cx := box.Min.X + pad
		for j, c := range cells {
			p := calls[i][j]
			lead := 0
			if c.swash > 0 {
				w.swatch(gtx, cx, y+step/2, swash-gtx.Dp(6), c.swash-1)
				lead = swash
			}
			px := cx + lead
			if !c.left {
				px = cx + widths[j] - p.width
			}
			o := op.Offset(image.Pt(px, y)).Push(gtx.Ops)
			p.call.Add(gtx.Ops)
			o.Pop()
			if j < len(widths) {
				cx += widths[j] + gap
			}
		}
	}
	op.Defer(gtx.Ops, m.Stop())
}
