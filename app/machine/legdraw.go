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
)

// drawn is what a drawing of a leg was fitted to.
type drawn struct {
	doc *document.Document
	leg int
}

// settle chooses the pose in which a leg is drawn: the femur somewhat raised
// (or lowered) and the foot bent towards the ground, inside the joints' ranges.
// It stays while something is dragged.
func (v *legPage) settle(d *document.Document, leg int) {
	if d.Dragging() {
		return
	}
	l := &d.Result().Built.Robot.Legs[leg]
	femur, tibia := 30.0, -95.0
	if l.Knee == kin.KneeDown {
		femur, tibia = -55, 70
	}
	within := func(q float64, r kin.Range) float64 { return max(r.Lo, min(r.Hi, q*math.Pi/180)) }
	v.pose = [kin.Joints]float64{0, within(femur, l.Limits[kin.Femur]), within(tibia, l.Limits[kin.Tibia])}
}

// legSide draws the chosen leg in its own plane: outward to the right, up
// upwards, dimensioned as drawing offices do.
func (p *Panel) legSide(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, leg int) {
	v, c, f := &p.leg, &p.leg.side, d.File()
	l := &d.Result().Built.Robot.Legs[leg]
	px := float64(gtx.Dp(1))
	q := v.pose
	ch := l.Chain(q)
	k0, knee, foot := r2.Vec{X: ch.PHK0.X, Y: ch.PHK0.Z}, r2.Vec{X: ch.PHK.X, Y: ch.PHK.Z}, r2.Vec{X: ch.PHF.X, Y: ch.PHF.Z}
	// Side legs with a lateral offset lie in a plane beside the mount; seen from
	// the side that makes no difference.
	qf, qt := q[kin.Femur], q[kin.Femur]+q[kin.Tibia]
	size := l.Length[kin.Femur] + l.Length[kin.Tibia]
	radius := [kin.Joints]float64{kin.Femur: 0.5 * l.Length[kin.Femur], kin.Tibia: 0.38 * l.Length[kin.Tibia]}

	all := nothing()
	all.add(r2.Vec{}, k0, knee, foot)
	all.around(foot, l.FootRadius)
	for _, e := range [...]float64{l.Limits[kin.Femur].Lo, l.Limits[kin.Femur].Hi} {
		all.add(ahead(k0, e, radius[kin.Femur]))
	}
	for _, e := range [...]float64{l.Limits[kin.Tibia].Lo, l.Limits[kin.Tibia].Hi} {
		all.add(ahead(knee, qf+e, radius[kin.Tibia]))
	}
	c.paper(d, drawn{d, leg}, all, gtx.Constraints.Max, float64(gtx.Dp(36)))
	c.begin(gtx, th, false, 0)
	to := c.view.Px

	// The coxa's axis, and the links with their thickness.
	c.sheet.In(th.Ghost).Segment(to(r2.Vec{Y: all.lo.Y - size}), to(r2.Vec{Y: all.hi.Y + size}), draw.Line{Width: px, Pattern: draw.DashDot, Unit: 2 * px})
	thick := c.view.Length(2 * l.LinkRadius)
	body := c.sheet.In(faded(th.RobotFar, 0.22))
	body.Taper(to(r2.Vec{Y: k0.Y}), to(k0), thick, thick)
	body.Taper(to(k0), to(knee), thick, thick)
	body.Taper(to(knee), to(foot), thick, thick)
	ink := c.sheet.In(th.Robot)
	chain := []r2.Vec{to(r2.Vec{}), to(r2.Vec{Y: k0.Y}), to(k0), to(knee), to(foot)}
	ink.Polyline(chain, draw.Line{Width: 2.2 * px})
	ink.Ring(to(foot), max(c.view.Length(l.FootRadius), 2*px), 1.8*px)

	// What can be taken.
	lengthen := func(name string, joint int, from r2.Vec, angle float64, at r2.Vec) {
		a := lengthAmount(leg, joint)
		dir := ahead(r2.Vec{}, angle, 1)
		c.take(gtx, handle{
			name: name, what: "drag the " + a.name, at: at, pick: joint, tip: draw.Number(l.Length[joint]*1000, 1) + " mm",
			move: func(f *workfile.File, to r2.Vec, unit float64) { a.set(f, mm(r2.Dot(r2.Sub(to, from), dir), unit)) },
		})
	}
	va := verticalAmount(leg)
	c.take(gtx, handle{
		name: "vertical offset", what: "drag the vertical offset", form: square, at: r2.Vec{Y: k0.Y}, tip: draw.Number(l.Vertical*1000, 1) + " mm",
		move: func(f *workfile.File, to r2.Vec, unit float64) { va.set(f, mm(to.Y, unit)) },
	})
	ta := thickAmount(leg)
	side := r2.Vec{X: math.Sin(qf), Y: -math.Cos(qf)}
	c.take(gtx, handle{
		name: "link radius", what: "drag the link radius", form: square,
		at: r2.Add(ahead(k0, qf, 0.35*l.Length[kin.Femur]), r2.Scale(l.LinkRadius, side)), tip: draw.Number(l.LinkRadius*1000, 1) + " mm",
		move: func(f *workfile.File, to r2.Vec, unit float64) {
			ta.set(f, mm(math.Abs(r2.Dot(r2.Sub(to, k0), side)), unit))
		},
	})
	fa := footAmount(leg)
	out := ahead(r2.Vec{}, qt, 1)
	c.take(gtx, handle{
		name: "foot radius", what: "drag the foot radius", form: square, at: r2.Add(foot, r2.Scale(l.FootRadius, out)), tip: draw.Number(l.FootRadius*1000, 1) + " mm",
		move: func(f *workfile.File, to r2.Vec, unit float64) { fa.set(f, mm(r2.Norm(r2.Sub(to, foot)), unit)) },
	})
	lengthen("end of the coxa", kin.Coxa, r2.Vec{Y: k0.Y}, 0, k0)
	lengthen("end of the femur", kin.Femur, k0, qf, knee)
	lengthen("end of the tibia", kin.Tibia, knee, qt, foot)
	// Dimensions.
	tell := func(m measure, a amount) {
		m.id, m.am, m.text = a.name, a, draw.Number(first(a.get(f)), 1)
		c.dimension(gtx, th, m)
	}
	up := min(to(knee).Y, to(k0).Y, to(r2.Vec{}).Y) // above everything of the coxa
	if l.Length[kin.Coxa] > 0 {
		y := up - 18*px
		if knee.Y > k0.Y { // the femur's own dimension is up there
			y = min(to(k0).Y, to(r2.Vec{}).Y) + c.view.Length(l.LinkRadius) + 26*px
		}
		axis := r2.Vec{Y: k0.Y}
		tell(measure{p: to(axis), q: to(k0), a: r2.Vec{X: to(axis).X, Y: y}, b: r2.Vec{X: to(k0).X, Y: y}}, lengthAmount(leg, kin.Coxa))
	}
	beside := c.view.Length(l.LinkRadius) + 20*px
	tell(along(to(k0), to(knee), beside), lengthAmount(leg, kin.Femur))
	tell(along(to(knee), to(foot), beside), lengthAmount(leg, kin.Tibia))
	if l.Vertical != 0 {
		x := to(r2.Vec{}).X - 20*px
		tell(measure{p: to(r2.Vec{}), q: to(r2.Vec{Y: k0.Y}), a: r2.Vec{X: x, Y: to(r2.Vec{}).Y}, b: r2.Vec{X: x, Y: to(k0).Y}}, verticalAmount(leg))
	}
	p.limits(gtx, th, c, d, at, leg, kin.Femur, k0, 0, c.view.Length(radius[kin.Femur]))
	p.limits(gtx, th, c, d, at, leg, kin.Tibia, knee, qf, c.view.Length(radius[kin.Tibia]))
	p.horn(gtx, th, c, d, leg, knee, qt, l)
	fr := footAmount(leg)
	low := to(foot)
	room := c.view.Length(l.FootRadius) + 18*px
	c.note(gtx, th, "R "+draw.Number(first(fr.get(f)), 1), fr, about(low, r2.Vec{X: -1, Y: 0.4}, r2.Vec{X: room + 10*px, Y: room})...)
	if q, is := c.refused(d); is {
		c.cross(gtx, th, q)
	}
	c.grips(gtx, th)
	c.finish(gtx, th, "out →  up ↑", p.title(c, "from the side, mm")...)
}

// limits draws the range of a joint as an arc about its axis, from the
// direction of zero, with a handle at each end. What the motion uses of it is
// thick, and a mark shows where the joint is now.
func (p *Panel) limits(gtx layout.Context, th *look.Theme, c *canvas, d *document.Document, at *document.Place, leg, joint int, axis r2.Vec, zero, radius float64) {
	r := d.Result()
	l := &r.Built.Robot.Legs[leg]
	lim := l.Limits[joint]
	px := float64(gtx.Dp(1))
	q := c.view.Px(axis)
	arc(c.sheet.In(th.Dim), q, radius, zero+lim.Lo, zero+lim.Hi, draw.Line{Width: max(px, 1)})
	for _, e := range [...]float64{lim.Lo, lim.Hi} {
		c.sheet.In(th.Dim).Segment(polar(q, radius*0.35, zero+e), polar(q, radius+4*px, zero+e), draw.Line{Width: max(px, 1)})
	}
	c.sheet.In(th.GridStrong).Segment(q, polar(q, radius+2*px, zero), draw.Line{Width: px, Pattern: draw.Dashed, Unit: 2 * px})
	if u, ok := p.leg.uses.of(leg, joint); ok {
		st := th.Reach[look.ReachOK]
		if lim.Outside(u.Lo) > 1e-9 || lim.Outside(u.Hi) > 1e-9 {
			st = th.Reach[look.ReachOut]
		}
		arc(c.sheet.In(st.Color), q, radius, zero+u.Lo, zero+u.Hi, draw.Line{Width: 3 * px, Pattern: st.Pattern, Unit: 2 * px})
	}
	now := r.Trajectory.JointsAt(r.Trajectory.Index(at.Time), leg)[joint]
	c.sheet.In(th.Text).Segment(polar(q, radius-5*px, zero+now), polar(q, radius+5*px, zero+now), draw.Line{Width: 1.5 * px})
	for e, v := range [...]float64{lim.Lo, lim.Hi} {
		a := limitAmount(leg, joint, e)
		end := polar(q, radius, zero+v)
		c.take(gtx, handle{
			name: "end of the arc, " + a.name, what: "drag the " + a.name, form: diamond, at: c.view.M(end), pick: joint,
			tip: kin.JointName(joint) + " " + draw.Number(v*180/math.Pi, 1) + "°",
			move: func(f *workfile.File, p r2.Vec, unit float64) {
				old, _ := a.get(f)
				angle := (math.Atan2(p.Y-axis.Y, p.X-axis.X) - zero) * 180 / math.Pi
				a.set(f, to(turned(angle, old), unit))
			},
			turn: func(f *workfile.File, by float64) {
				old, _ := a.get(f)
				a.set(f, to(old+by, 0.1))
			},
		})
	}
	for e, v := range [...]float64{lim.Lo, lim.Hi} {
		end := polar(q, radius, zero+v)
		c.note(gtx, th, draw.Number(v*180/math.Pi, 1)+"°", limitAmount(leg, joint, e),
			about(end, r2.Unit(r2.Sub(end, q)), r2.Vec{X: 26 * px, Y: 15 * px})...)
	}
}

// horn draws where the tibia's servo points: the tibia itself turned by its
// offset.
func (p *Panel) horn(gtx layout.Context, th *look.Theme, c *canvas, d *document.Document, leg int, knee r2.Vec, angle float64, l *kin.Leg) {
	px := float64(gtx.Dp(1))
	a := offsetAmount(leg)
	reach := 0.7 * l.Length[kin.Tibia]
	end := ahead(knee, angle+l.TibiaOffset, reach)
	q := c.view.Px(knee)
	if l.TibiaOffset != 0 {
		c.sheet.In(th.Ghost).Segment(q, c.view.Px(end), draw.Line{Width: px, Pattern: draw.DashDot, Unit: 2 * px})
		arc(c.sheet.In(th.Ghost), q, c.view.Length(reach)*0.9, angle, angle+l.TibiaOffset, draw.Line{Width: px})
	}
	if l.TibiaOffset == 0 {
		return
	}
	c.take(gtx, handle{
		name: "tibia offset", what: "drag the tibia offset", form: diamond, at: end, tip: draw.Number(l.TibiaOffset*180/math.Pi, 1) + "°",
		move: func(f *workfile.File, p r2.Vec, unit float64) {
			old, _ := a.get(f)
			a.set(f, to(turned((math.Atan2(p.Y-knee.Y, p.X-knee.X)-angle)*180/math.Pi, old), unit))
		},
		turn: func(f *workfile.File, by float64) {
			old, _ := a.get(f)
			a.set(f, to(old+by, 0.1))
		},
	})
	tip := c.view.Px(end)
	c.note(gtx, th, "servo "+draw.Number(l.TibiaOffset*180/math.Pi, 1)+"°", a, about(tip, r2.Unit(r2.Sub(tip, q)), r2.Vec{X: 34 * px, Y: 14 * px})...)
}

// legOver draws the coxa from above: outward to the right, the leg's left
// upwards.
func (p *Panel) legOver(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, leg int) {
	c, f := &p.leg.above, d.File()
	l := &d.Result().Built.Robot.Legs[leg]
	px := float64(gtx.Dp(1))
	ch := l.Chain(p.leg.pose)
	k0 := r2.Vec{X: ch.PHK0.X, Y: ch.PHK0.Y}
	foot := r2.Vec{X: ch.PHF.X, Y: ch.PHF.Y}
	reach := max(0.45*foot.X, 1.4*l.Length[kin.Coxa], 0.03)
	all := nothing()
	all.add(r2.Vec{}, k0, foot)
	for _, e := range [...]float64{l.Limits[kin.Coxa].Lo, l.Limits[kin.Coxa].Hi} {
		all.add(ahead(r2.Vec{}, e, reach))
	}
	c.paper(d, drawn{d, leg}, all, gtx.Constraints.Max, float64(gtx.Dp(30)))
	c.begin(gtx, th, false, 0)
	to := c.view.Px
	thick := c.view.Length(2 * l.LinkRadius)
	body := c.sheet.In(faded(th.RobotFar, 0.22))
	body.Taper(to(r2.Vec{Y: k0.Y}), to(foot), thick, thick)
	ink := c.sheet.In(th.Robot)
	ink.Polyline([]r2.Vec{to(r2.Vec{}), to(r2.Vec{Y: k0.Y}), to(k0), to(foot)}, draw.Line{Width: 2.2 * px})
	ink.Ring(to(r2.Vec{}), 4*px, 1.5*px)
	ink.Ring(to(foot), max(c.view.Length(l.FootRadius), 2*px), 1.8*px)
	p.limits(gtx, th, c, d, at, leg, kin.Coxa, r2.Vec{}, 0, c.view.Length(reach))
	a := lateralAmount(leg)
	if l.Lateral != 0 {
		x := to(r2.Vec{}).X - 18*px
		c.dimension(gtx, th, measure{
			p: to(r2.Vec{}), q: to(r2.Vec{Y: k0.Y}), a: r2.Vec{X: x, Y: to(r2.Vec{}).Y}, b: r2.Vec{X: x, Y: to(k0).Y},
			id: a.name, am: a, text: draw.Number(first(a.get(f)), 1),
		})
	}
	c.take(gtx, handle{
		name: "lateral offset", what: "drag the lateral offset", form: square, at: k0, tip: "lateral " + draw.Number(l.Lateral*1000, 1) + " mm",
		move: func(f *workfile.File, to r2.Vec, unit float64) { a.set(f, mm(to.Y, unit)) },
	})
	if q, is := c.refused(d); is {
		c.cross(gtx, th, q)
	}
	c.grips(gtx, th)
	c.finish(gtx, th, "out →  left ↑", p.title(c, "from above")...)
}
