// SPDX-License-Identifier: MIT

package shape

import (
	"image/color"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// before is the path as it was when the drag under way began.
type before struct {
	grip  *document.Grip // that drags, nil for none
	path  []r3.Vec       // C, m
	point r3.Vec         // the dragged one
}

// pathSteps is how many pieces a path is drawn in at the most.
const pathSteps = 240

// places gives where the chosen foot, or the body, goes in the move, C.
func (t *track) places(dst []r3.Vec, d *document.Document, at *document.Place) []r3.Vec {
	tr := d.Result().Trajectory
	a, b := tr.Index(t.part.From), tr.Index(t.part.To)
	for k := a; ; k = min(k+max(1, (b-a)/pathSteps), b) {
		p := tr.FootAt(k, at.Leg)
		if at.Track < 0 {
			p = tr.BodyPose(k).P
		}
		dst = append(dst, t.course.Into(tr.RWG.TMul(p)))
		if k >= b {
			return dst
		}
	}
}

// remember keeps the path as it is now, before a drag.
func (t *track) remember(d *document.Document, at *document.Place, g *document.Grip, pC r3.Vec) {
	t.ghost.path = t.places(t.ghost.path[:0], d, at)
	t.ghost.grip, t.ghost.point = g, pC
}

// shows tells whether a drag is under way that has changed the path.
func (b *before) shows(d *document.Document) bool {
	return b.grip != nil && b.grip.Held() && d.Dragging()
}

// past draws the path as it was before the drag.
func (w *drawing) past(gtx layout.Context, th *look.Theme, d *document.Document, t *track, sh *draw.Sheet, px float64) {
	if !t.ghost.shows(d) {
		return
	}
	ink := sh.In(th.Ghost)
	l := draw.Line{Width: 1.2 * px, Pattern: draw.Dashed, Unit: 1.2 * px}
	for i := 1; i < len(t.ghost.path); i++ {
		l.Phase = ink.Segment(w.view.Px(w.side.flat(t.ghost.path[i-1])), w.view.Px(w.side.flat(t.ghost.path[i])), l)
	}
	c := w.view.Px(w.side.flat(t.ghost.point))
	ink.Ring(c, 4*px, px)
	w.say(gtx, c, 4*px, "path before the drag "+w.side.String(), "")
}

// poses is how many of them a span is shown in, evenly in time.
const poses = 5

// far is the colour of what is only there for comparison.
func far(th *look.Theme) color.NRGBA { return look.Mix(th.Canvas, th.Ghost, 0.5) }

// others draws the leg, or the body, as it is along the chosen span: close
// together where it is slow.
func (w *drawing) others(th *look.Theme, d *document.Document, at *document.Place, t *track, sh *draw.Sheet, px float64) {
	span, ok := t.piece(at.Span)
	if !ok {
		return
	}
	tr := d.Result().Trajectory
	ink := sh.In(far(th))
	for i := range poses {
		when := span.from + (span.to-span.from)*float64(i)/(poses-1)
		if at.Track < 0 {
			w.corners = span.outline(w.corners[:0], &d.Result().Built.Robot, when)
			w.hull = w.around(w.hull[:0], w.corners)
			ink.Loop(w.hull, draw.Line{Width: px})
			continue
		}
		p := w.leg(d, at, t, tr.Index(when))
		var q [4]r2.Vec
		for j := range p {
			q[j] = w.view.Px(w.side.flat(p[j]))
		}
		ink.Polyline(q[:], draw.Line{Width: 1.2 * px})
		ink.Disc(q[3], 2*px)
	}
}
