// SPDX-License-Identifier: MIT

package machine

import (
	"math"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// tick is how long the line of a leg's heading is drawn: its coxa, but not
// less than can be taken, m.
func tick(l *kin.Leg) float64 { return max(l.Length[kin.Coxa], 0.02) }

func ahead(p r2.Vec, angle, by float64) r2.Vec {
	s, c := math.Sincos(angle)
	return r2.Vec{X: p.X + by*c, Y: p.Y + by*s}
}

// bodyAbove draws the body seen from above: x to the right, y up.
func (p *Panel) bodyAbove(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) {
	c, f := &p.body.above, d.File()
	r := &d.Result().Built.Robot
	px := float64(gtx.Dp(1))
	all := nothing()
	for _, q := range r.Body.Outline {
		all.add(r2.Vec{X: q.X, Y: q.Y})
	}
	for i := range r.Legs {
		l := &r.Legs[i]
		m := r2.Vec{X: l.PBH.X, Y: l.PBH.Y}
		all.add(m, ahead(m, l.Heading, tick(l)))
		all.around(r2.Vec{X: l.Stand.X, Y: l.Stand.Y}, l.FootRadius)
	}
	c.paper(d, d, all, gtx.Constraints.Max, float64(gtx.Dp(20)))
	c.begin(gtx, th, false, 0)
	draw.Vertical(gtx.Ops, c.view.Px(r2.Vec{}).X, 0, float64(c.view.Size.Y), 1, th.GridStrong)
	draw.Horizontal(gtx.Ops, 0, float64(c.view.Size.X), c.view.Px(r2.Vec{}).Y, 1, th.GridStrong)

	var corners []r2.Vec
	for _, q := range r.Body.Outline {
		corners = append(corners, c.view.Px(r2.Vec{X: q.X, Y: q.Y}))
	}
	c.sheet.In(faded(th.RobotFar, 0.14)).Polygon(corners...)
	c.sheet.In(th.Robot).Loop(corners, draw.Line{Width: 1.8 * px})

	for i := range r.Legs {
		p.legAbove(gtx, th, c, d, at, i)
	}
	for i, q := range r.Body.Outline {
		q := r2.Vec{X: q.X, Y: q.Y}
		c.take(gtx, handle{
			name: cornerName(i), what: "move a corner of the outline", form: square, at: q, pick: cornerOf(i), tip: coordinates("x y", q.X, q.Y),
			move: func(f *workfile.File, to r2.Vec, unit float64) {
				if i < len(f.Robot.Outline) {
					f.Robot.Outline[i] = [2]float64{mm(to.X, unit), mm(to.Y, unit)}
				}
			},
		})
	}
	c.take(gtx, p.massHandle(f, false))
	if f.Robot.Payload != nil {
		p.load(gtx, th, c, r, px, false)
	}
	p.cornerRefused(gtx, th, d, c, corners)
	c.grips(gtx, th)
	c.finish(gtx, th, "x →  y ↑", p.title(c, "from above")...)
}

// finish finishes a drawing: lines, texts, legend, and the chosen handle's
// numbers.
func (c *canvas) finish(gtx layout.Context, th *look.Theme, axes string, titles ...string) {
	c.legend(gtx, th, axes, titles...)
	c.tip(gtx, th)
	c.end(gtx)
}

// title gives ways to say what a plate shows, the longest first.
func (p *Panel) title(c *canvas, s string) []string {
	if p.alone == c {
		return []string{s + ", double-click shows both", s}
	}
	return []string{s}
}

// legAbove draws a leg's mount, heading and standing point with their handles.
func (p *Panel) legAbove(gtx layout.Context, th *look.Theme, c *canvas, d *document.Document, at *document.Place, i int) {
	px := float64(gtx.Dp(1))
	l := &d.Result().Built.Robot.Legs[i]
	m, s := r2.Vec{X: l.PBH.X, Y: l.PBH.Y}, r2.Vec{X: l.Stand.X, Y: l.Stand.Y}
	h := ahead(m, l.Heading, tick(l))
	ink, wide := th.RobotFar, 1.5*px
	if i == at.Leg {
		ink, wide = th.Robot, 2.5*px
	}
	c.sheet.In(ink).Segment(c.view.Px(m), c.view.Px(h), draw.Line{Width: wide})
	c.sheet.In(th.Ghost).Segment(c.view.Px(h), c.view.Px(s), draw.Line{Width: px, Pattern: draw.Dashed, Unit: 2 * px})
	c.sheet.In(th.Ghost).Ring(c.view.Px(s), max(4*px, c.view.Length(l.FootRadius)), px)
	t := th.Writer(look.Small, th.Text)
	out := r2.Sub(s, m)
	n := max(r2.Norm(out), 1e-9)
	name := r2.Add(c.view.Px(s), r2.Vec{X: out.X / n * 14 * px, Y: -out.Y / n * 12 * px})
	if ends := 28 * px; name.Y < ends || name.Y > float64(c.view.Size.Y)-ends { // titles and scale are there
		name = r2.Add(c.view.Px(s), r2.Vec{X: math.Copysign(17*px, out.X)})
	}
	c.write(gtx, t, name, layout.Center, l.Name)

	set := func(key string, x, y int) func(f *workfile.File, to r2.Vec, unit float64) {
		return func(f *workfile.File, to r2.Vec, unit float64) {
			edit.SetLegValue(f, i, edit.LegNumber{Joint: edit.Whole, Key: key, Part: x}, mm(to.X, unit))
			edit.SetLegValue(f, i, edit.LegNumber{Joint: edit.Whole, Key: key, Part: y}, mm(to.Y, unit))
		}
	}
	heading := edit.LegNumber{Joint: edit.Whole, Key: "heading_deg"}
	c.take(gtx,
		handle{name: "standing point of " + l.Name, what: "move a standing point", form: ring, at: s, pick: standOf(i),
			tip: coordinates("x y", s.X, s.Y), move: set("stand_mm", 0, 1)},
		handle{name: "heading of " + l.Name, what: "turn a leg’s heading", form: diamond, at: h, pick: headingOf(i),
			tip: draw.Number(l.Heading*180/math.Pi, 1) + "°",
			move: func(f *workfile.File, p r2.Vec, unit float64) {
				old, _ := edit.LegValue(f, i, heading)
				edit.SetLegValue(f, i, heading, to(turned(math.Atan2(p.Y-m.Y, p.X-m.X)*180/math.Pi, old), unit))
			},
			turn: func(f *workfile.File, by float64) {
				old, _ := edit.LegValue(f, i, heading)
				edit.SetLegValue(f, i, heading, to(old+by, 0.1))
			}},
		handle{name: "mount of " + l.Name, what: "move a leg’s mount", form: disc, at: m, pick: mountOf(i),
			tip: coordinates("x y", m.X, m.Y), move: set("mount_mm", 0, 1)},
	)
}

// turned gives the angle of a direction that lies nearest to the old one,
// degrees.
func turned(angle, old float64) float64 { return angle + 360*math.Round((old-angle)/360) }

// massHandle is the centre of the body's mass, from above or from the side.
func (p *Panel) massHandle(f *workfile.File, side bool) handle {
	b := f.Robot.BodyCentre
	v, names := 1, "x y"
	if side {
		v, names = 2, "x z"
	}
	at := r2.Vec{X: b[0] / 1000, Y: b[v] / 1000}
	return handle{
		name: "centre of mass", what: "move the body’s centre of mass", form: target, at: at, pick: massOf{}, tip: coordinates(names, at.X, at.Y),
		move: func(f *workfile.File, to r2.Vec, unit float64) {
			f.Robot.BodyCentre[0], f.Robot.BodyCentre[v] = mm(to.X, unit), mm(to.Y, unit)
		},
	}
}

// load draws the payload as a box with its handle.
func (p *Panel) load(gtx layout.Context, th *look.Theme, c *canvas, r *kin.Robot, px float64, side bool) {
	v, names := r.Payload.COM.Y, "x y"
	if side {
		v, names = r.Payload.COM.Z, "x z"
	}
	at := r2.Vec{X: r.Payload.COM.X, Y: v}
	k := 1
	if side {
		k = 2
	}
	c.take(gtx, handle{
		name: "payload", what: "move the payload", form: target, at: at, pick: loadOf{}, tip: coordinates(names, at.X, at.Y),
		move: func(f *workfile.File, to r2.Vec, unit float64) {
			if f.Robot.PayloadAt == nil {
				f.Robot.PayloadAt = new([3]float64)
			}
			f.Robot.PayloadAt[0], f.Robot.PayloadAt[k] = mm(to.X, unit), mm(to.Y, unit)
		},
	})
	c.sheet.In(th.Dim).Ring(c.view.Px(at), 7*px, px)
}

// cornerRefused shows where the hand holds a corner that the outline cannot
// have: the edges as they would be, dashed, and a cross.
func (p *Panel) cornerRefused(gtx layout.Context, th *look.Theme, d *document.Document, c *canvas, corners []r2.Vec) {
	at, is := c.refused(d)
	i, corner := c.held.pick.(cornerOf)
	n := len(corners)
	if !is || !corner || int(i) >= n {
		return
	}
	px := float64(gtx.Dp(1))
	ink := c.sheet.In(th.Stop.Ink)
	l := draw.Line{Width: 1.5 * px, Pattern: draw.Dashed, Unit: 2 * px}
	ink.Segment(corners[(int(i)+n-1)%n], at, l)
	ink.Segment(at, corners[(int(i)+1)%n], l)
	c.cross(gtx, th, at)
}

// bodySide draws the body from the side: x to the right, z up, with the ground
// on which it stands.
func (p *Panel) bodySide(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) {
	c, f := &p.body.side, d.File()
	built := d.Result().Built
	r := &built.Robot
	px := float64(gtx.Dp(1))
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range r.Body.Outline {
		lo, hi = min(lo, q.X), max(hi, q.X)
	}
	top, bottom, ground := r.Body.Top, r.Body.Bottom, -built.Height
	all := nothing()
	all.add(r2.Vec{X: lo, Y: min(bottom, ground)}, r2.Vec{X: hi, Y: max(top, r.Body.COM.Z)})
	for i := range r.Legs {
		all.add(r2.Vec{X: r.Legs[i].PBH.X, Y: r.Legs[i].PBH.Z})
	}
	if f.Robot.Payload != nil {
		all.add(r2.Vec{X: r.Payload.COM.X, Y: r.Payload.COM.Z})
	}
	room := all
	wide := (hi - lo) * 0.3 // for the dimensions
	room.add(r2.Vec{X: lo - wide, Y: all.lo.Y}, r2.Vec{X: hi + wide, Y: all.hi.Y})
	c.paper(d, d, room, gtx.Constraints.Max, float64(gtx.Dp(22)))
	c.begin(gtx, th, true, ground)
	at3 := func(x, z float64) r2.Vec { return c.view.Px(r2.Vec{X: x, Y: z}) }
	box := []r2.Vec{at3(lo, bottom), at3(hi, bottom), at3(hi, top), at3(lo, top)}
	c.sheet.In(faded(th.RobotFar, 0.14)).Polygon(box...)
	c.sheet.In(th.Robot).Loop(box, draw.Line{Width: 1.8 * px})
	c.sheet.In(th.Ghost).Segment(r2.Vec{Y: at3(0, 0).Y}, r2.Vec{X: float64(c.view.Size.X), Y: at3(0, 0).Y}, draw.Line{Width: px, Pattern: draw.DashDot, Unit: 2 * px})
	for i := range r.Legs {
		l := &r.Legs[i]
		if i == at.Leg {
			c.sheet.In(th.Robot).Disc(at3(l.PBH.X, l.PBH.Z), 3*px)
			continue
		}
		c.sheet.In(th.RobotFar).Ring(at3(l.PBH.X, l.PBH.Z), 3*px, px)
	}
	x := c.view.Px(r2.Vec{X: hi}).X
	left := c.view.Px(r2.Vec{X: lo}).X
	level := func(n int, name, what string, z float64, a amount, fromX, lineX float64) {
		if z != 0 {
			c.dimension(gtx, th, measure{
				p: r2.Vec{X: fromX, Y: at3(0, 0).Y}, q: r2.Vec{X: fromX, Y: at3(0, z).Y},
				a: r2.Vec{X: lineX, Y: at3(0, 0).Y}, b: r2.Vec{X: lineX, Y: at3(0, z).Y},
				id: a.name, am: a, text: draw.Number(first(a.get(f)), 1),
			})
		}
		c.take(gtx, handle{
			name: name, what: what, form: square, at: r2.Vec{X: (lo + hi) / 2, Y: z}, pick: heightOf(n),
			tip: "z " + draw.Number(z*1000, 1),
			move: func(f *workfile.File, to r2.Vec, unit float64) {
				v := mm(to.Y, unit)
				if n == 2 {
					v = -v
				}
				a.set(f, v)
			},
		})
	}
	level(0, "upper face", "move the upper face", top, topAmount(), x, x+16*px)
	level(1, "lower face", "move the lower face", bottom, bottomAmount(), x, x+16*px)
	level(2, "ground", "change the stand height", ground, standAmount(), left, left-16*px)
	c.take(gtx, p.massHandle(f, true))
	if f.Robot.Payload != nil {
		p.load(gtx, th, c, r, px, true)
	}
	if q, is := c.refused(d); is {
		c.cross(gtx, th, q)
	}
	c.grips(gtx, th)
	c.finish(gtx, th, "x →  z ↑", p.title(c, "from the side, mm")...)
}

func first(v float64, _ bool) float64 { return v }
