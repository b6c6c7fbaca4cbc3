// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"math"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// outline gives the corners of the body at an instant of a span of its track,
// C.
func (p *piece) outline(dst []r3.Vec, r *kin.Robot, when float64) []r3.Vec {
	shift, lean := p.body.Offset(when)
	x := kin.Pose{P: shift, R: kin.RPY(lean.X, lean.Y, lean.Z)}
	for _, q := range r.Body.Outline {
		for _, z := range [...]float64{r.Body.Top, r.Body.Bottom} {
			dst = append(dst, x.At(r3.Vec{X: q.X, Y: q.Y, Z: z}))
		}
	}
	return dst
}

// around gives the hull of points as it is drawn, px.
func (w *drawing) around(dst []r2.Vec, pC []r3.Vec) []r2.Vec {
	w.flat = w.flat[:0]
	for _, p := range pC {
		w.flat = append(w.flat, w.view.Px(w.side.flat(p)))
	}
	return draw.Hull(dst, w.flat)
}

// turning is the handle on a plate that turns the body at the end of a span.
type turning struct {
	axis   int        // of the lean: roll, pitch, yaw
	middle r2.Vec     // of the turn: the body's origin, px
	at     r2.Vec     // the handle, px
	arm    float64    // between them, px
	seen   float64    // angle of the drawn axis, rad
	lean   [3]float64 // at the end of the span, deg
}

// leanNames are the three angles of the body.
var leanNames = [3]string{"roll", "pitch", "yaw"}

// axis is the angle that a plate shows.
func (s Side) axis() int { return [...]int{FromSide: 1, FromAbove: 2, FromFront: 0}[s] }

// turning finds the handle: ahead of the body, or to its left, beyond its
// outline. Not ok for a foot's track, or with the body's axis along the line of
// sight.
func (w *drawing) turning(gtx layout.Context, d *document.Document, at *document.Place, t *track) (h turning, ok bool) {
	p, ok := t.piece(at.Span)
	if !ok || at.Track >= 0 || at.Span >= len(d.File().Moves[at.Move].Body) {
		return h, false
	}
	h.axis, h.lean = w.side.axis(), d.File().Moves[at.Move].Body[at.Span].Lean
	shift, lean := p.body.Offset(p.to)
	rot := kin.RPY(lean.X, lean.Y, lean.Z)
	ahead := r3.Vec{X: 1}
	if w.side == FromFront {
		ahead = r3.Vec{Y: 1}
	}
	way := w.side.flat(rot.Mul(ahead))
	if r2.Norm(way) < 0.05 {
		return h, false
	}
	h.seen = math.Atan2(way.Y, way.X)
	h.middle = w.view.Px(w.side.flat(shift))
	out := r2.Unit(r2.Vec{X: way.X, Y: -way.Y}) // px, y down
	w.corners = p.outline(w.corners[:0], &d.Result().Built.Robot, p.to)
	for _, c := range w.corners {
		h.arm = max(h.arm, r2.Dot(out, r2.Sub(w.view.Px(w.side.flat(c)), h.middle)))
	}
	h.arm += float64(gtx.Dp(14))
	h.at = r2.Add(h.middle, r2.Scale(h.arm, out))
	return h, true
}

// angle gives at which angle a pixel is seen from the middle of the turn.
func (h *turning) angle(px r2.Vec) float64 {
	return math.Atan2(h.middle.Y-px.Y, px.X-h.middle.X)
}

// turned gives the lean, deg, with which the drawn axis is seen at an angle.
func (h *turning) turned(seen float64) float64 {
	const rad = math.Pi / 180
	roll := 0
	switch h.axis {
	case roll:
		return kin.RollSeen(seen, h.lean[1]*rad, h.lean[2]*rad) / rad
	case 1:
		return kin.PitchSeen(seen, h.lean[2]*rad) / rad
	}
	return kin.YawSeen(seen, h.lean[1]*rad) / rad
}

// level is what catching on a lean of 0 is called.
func (h *turning) level() string {
	if h.axis == 2 {
		return "straight ahead"
	}
	return "level"
}

// turn puts the lean: caught on 0, or on the grid's whole degrees, when that is
// within reach, px.
func (w *drawing) turn(d *document.Document, s Snap, deg, within float64, label string) {
	h := &w.held.turn
	w.caught = ""
	if px := h.arm * math.Pi / 180; s != Free { // px a degree
		if g := s.grid(); g > 0 && math.Abs(math.Round(deg/g)*g-deg)*px <= within {
			deg = math.Round(deg/g) * g
		}
		if math.Abs(deg)*px <= within {
			deg, w.caught = 0, h.level()
		}
	}
	deg = math.Round(deg*10) / 10
	at, axis := w.held.place, h.axis
	d.Drag(label, func(f *workfile.File) {
		if at.Move < len(f.Moves) && at.Span < len(f.Moves[at.Move].Body) {
			f.Moves[at.Move].Body[at.Span].Lean[axis] = deg + 0
		}
	})
}

// body draws the body's outline at the end of the chosen span, with the handle
// that turns it.
func (w *drawing) body(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part Part, sh *draw.Sheet, px float64) {
	p, ok := t.piece(at.Span)
	if !ok || at.Track >= 0 {
		return
	}
	w.corners = p.outline(w.corners[:0], &d.Result().Built.Robot, p.to)
	w.hull = w.around(w.hull[:0], w.corners)
	w.area.Reset(image.Rectangle{Max: w.view.Size})
	w.area.Polygon(w.hull...)
	w.area.Paint(gtx.Ops, veil(th, th.RobotFar, 0.16))
	sh.In(th.RobotFar).Loop(w.hull, draw.Line{Width: 1.2 * px})
	h, ok := w.turning(gtx, d, at, t)
	if !ok {
		return
	}
	ink := sh.In(th.Accent.Ink)
	ink.Segment(h.middle, h.at, draw.Line{Width: px, Pattern: draw.Dashed, Unit: px})
	// A piece of the circle on which it goes, with heads at both ends.
	const wide = 0.3 // rad
	var arc [9]r2.Vec
	for i := range arc {
		s, c := math.Sincos(h.angle(h.at) + wide*(float64(i)/4-1)*min(1, 60*px/h.arm))
		arc[i] = r2.Vec{X: h.middle.X + h.arm*c, Y: h.middle.Y - h.arm*s}
	}
	ink.Polyline(arc[:], draw.Line{Width: 1.2 * px})
	ink.Arrow(arc[1], arc[0], 6*px)
	ink.Arrow(arc[7], arc[8], 6*px)
	ink.Disc(h.at, 4*px)
	if part == Turn {
		sh.In(th.Text).Ring(h.at, 8*px, 1.5*px)
	}
	w.name(gtx, point{span: at.Span, part: Turn}, "", h.at, 6*px)
}

// inside tells whether a pixel lies on the drawn body.
func (w *drawing) inside(d *document.Document, at *document.Place, t *track, px r2.Vec) bool {
	p, ok := t.piece(at.Span)
	if !ok || at.Track >= 0 {
		return false
	}
	w.corners = p.outline(w.corners[:0], &d.Result().Built.Robot, p.to)
	w.hull = w.around(w.hull[:0], w.corners)
	sign := 0.0
	for i, a := range w.hull {
		b := w.hull[(i+1)%len(w.hull)]
		c := r2.Cross(r2.Sub(b, a), r2.Sub(px, a))
		if c*sign < 0 {
			return false
		}
		if c != 0 {
			sign = c
		}
	}
	return len(w.hull) > 2
}
