// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/app/plate"
	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/kin/reach"
)

// The area on each plate against the leg solved at the plate's own points: the
// body's pose, the mount and the plane are those of the chosen instant.
func TestRegionOfTheDemo(t *testing.T) {
	d, err := document.Open("", "demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	at := document.Place{Track: 0, Span: 2}
	at.Tidy(d)
	for _, leg := range []string{"LF", "RF"} {
		at.Leg = d.Result().Built.Robot.LegIndex(leg)
		var tr track
		if chosen(d, &at, &tr); !tr.ok {
			t.Fatal("no track")
		}
		for _, part := range []Part{End, Out, In} {
			p, ok := tr.find(at.Span, part)
			if !ok {
				t.Fatal("no point")
			}
			for side := FromSide; side <= FromFront; side++ {
				check(t, d, &at, &tr, p, side)
			}
		}
	}
}

func check(t *testing.T, d *document.Document, at *document.Place, tr *track, p point, side Side) {
	t.Helper()
	r := d.Result()
	l := &r.Built.Robot.Legs[at.Leg]
	x, _ := r.Plan.BodyAt(p.at).Pose(p.at)
	deep := side.depth(p.from)
	var g region
	g.key = regionKey{
		limb: reach.Of(l), mount: l.Mount(), xGB: x, course: tr.course,
		view: plate.View{Size: image.Pt(400, 300), Scale: 800, Centre: side.flat(p.from)},
	}
	g.trace(side, deep, 6, 1)
	if g.edge.Len() == 0 {
		t.Fatalf("%s %v %v: nothing in reach about a point of the demo's path", l.Name, p.part, side)
	}
	xBH := l.XBH()
	wrong, in := 0, 0
	const n = 60
	for i := range n {
		for j := range n {
			px := r2.Vec{X: 400 * (float64(i) + 0.5) / n, Y: 300 * (float64(j) + 0.5) / n}
			q := g.key.view.M(px)
			pBF := x.Into(tr.course.At(r3.Add(deep, side.solid(q))))
			s := l.Solve(xBH.Into(pBF))
			can := s.Status != kin.Missed
			for k, lim := range l.Limits {
				can = can && lim.Outside(s.Q[k]) == 0
			}
			if can {
				in++
			}
			if can != inside(&g.edge, q) {
				wrong++
			}
		}
	}
	// A corner of the region is cut off within a cell of 6 px.
	if in == 0 || wrong > n*n/200 {
		t.Errorf("%s %v %v: %d of %d points differ, %d in reach", l.Name, p.part, side, wrong, n*n, in)
	}
	if !inside(&g.edge, side.flat(p.from)) {
		t.Errorf("%s %v %v: the demo's own point is outside", l.Name, p.part, side)
	}
}

// inside counts how often the lines go round p.
func inside(o *reach.Outline, p r2.Vec) (in bool) {
	for i := range o.Len() {
		l := o.Line(i)
		for j := range l {
			a, b := l[j], l[(j+1)%len(l)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
		}
	}
	return in
}
