// SPDX-License-Identifier: MIT

package robotview

import (
	"image/color"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/camera"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion"
	"gaitwright/motion/rehearsal"
)

// Over is another motion that is drawn thin over the one that shows, at the
// same time. The zero value is none.
type Over struct {
	Of   *rehearsal.Rehearsal
	Name string
}

// overlay is what the key says of it.
type overlay struct {
	words string
	ink   color.NRGBA
}

// other draws the robot and the paths of another motion, thin and dashed, where
// that has not ended yet.
func (s *scene) other(th *look.Theme, f *camera.Frame, d *document.Document, at *document.Place, o *Over, sh *draw.Sheet, px float64) {
	s.over = overlay{}
	if o.Of == nil {
		return
	}
	s.over = overlay{o.Name + ", at the same time", th.Leg(3).Color}
	t := o.Of.Trajectory
	if at.Time > t.Duration()+0.5/t.Rate {
		s.over.words = o.Name + " has ended by now"
		return
	}
	k := t.Index(at.Time)
	x := pose(d, t, k)
	ink := sh.In(s.over.ink)
	thin := draw.Line{Width: px, Pattern: draw.Dashed, Unit: 1.2 * px}
	segment := func(a, b r3.Vec) {
		if p, q, ok := f.Segment(a, b); ok {
			ink.Segment(p, q, thin)
		}
	}
	body := &o.Of.Built.Robot.Body
	for i, a := range body.Outline {
		b := body.Outline[(i+1)%len(body.Outline)]
		segment(x.At(r3.Vec{X: a.X, Y: a.Y, Z: body.Top}), x.At(r3.Vec{X: b.X, Y: b.Y, Z: body.Top}))
	}
	for i := range t.Legs {
		p := t.LinkPoints(k, i)
		from := x.At(o.Of.Built.Robot.Legs[i].PBH)
		for _, q := range p {
			to := x.At(q)
			segment(from, to)
			from = to
		}
		if q, _, ok := f.Project(from); ok {
			ink.Ring(q, 3*px, px)
		}
	}
	if d.OnStand() {
		return
	}
	a, b, ok := window(t, k, at.Time)
	if !ok {
		return
	}
	for leg := range t.Legs {
		n := 40
		if leg == at.Leg {
			n = 120
		}
		step := max(1, (b-a)/n)
		phase := 0.0 // dashes go on over the short pieces of a path
		for i := a; i < b; i += step {
			j := min(i+step, b)
			if t.Planted[i*t.Legs+leg] && t.Planted[j*t.Legs+leg] {
				phase = 0
				continue
			}
			if p, q, ok := f.Segment(t.FootAt(i, leg), t.FootAt(j, leg)); ok {
				l := thin
				l.Phase = phase
				phase = ink.Segment(p, q, l)
			}
		}
	}
}

// window gives the samples over which paths are drawn at a time: a move's
// whole, a second to each side in a walk, which is long.
func window(t *motion.Trajectory, k int, at float64) (a, b int, ok bool) {
	part := t.PartAt(at)
	if part < 0 {
		return 0, 0, false
	}
	a, b = t.Index(t.Parts[part].From), t.Index(t.Parts[part].To)
	if t.Parts[part].Kind != "move" {
		w := int(t.Rate)
		a, b = max(a, k-w), min(b, k+w)
	}
	return a, b, true
}

// keyOfOther adds the other motion to the key of the signs.
func (s *scene) keyOfOther(th *look.Theme, line func(sign func(c r2.Vec), words string), sh *draw.Sheet, px float64) {
	if s.over.words == "" {
		return
	}
	line(func(c r2.Vec) {
		sh.In(s.over.ink).Segment(r2.Vec{X: c.X - 9*px, Y: c.Y}, r2.Vec{X: c.X + 9*px, Y: c.Y},
			draw.Line{Width: px, Pattern: draw.Dashed, Unit: 1.2 * px})
	}, s.over.words)
}
