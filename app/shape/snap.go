// SPDX-License-Identifier: MIT

package shape

import (
	"math"
	"strconv"

	"gioui.org/layout"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/app/plate"
)

// Snap says what a dragged point catches on. The zero value catches on points
// and on the ground.
type Snap int

// The ways: points and the ground, the same and round numbers, or nothing.
const (
	ToPoints Snap = iota
	ToMillimetre
	ToFive
	ToTen
	Free
	snaps // how many there are
)

// grid gives the step of round numbers, mm, 0 for none.
func (s Snap) grid() float64 { return [snaps]float64{ToMillimetre: 1, ToFive: 5, ToTen: 10}[s] }

// String says it in words.
func (s Snap) String() string {
	switch s {
	case ToPoints:
		return "snap: points"
	case Free:
		return "snap: off"
	}
	return "snap: " + strconv.Itoa(int(s.grid())) + " mm"
}

// magnet is something to catch on: a point, or with flat the height alone.
type magnet struct {
	name string
	pC   r3.Vec // m
	flat bool
	firm bool // also for a point that lies on it when the drag begins
}

// How close a point has to come: on the screen, and on the robot, where the
// drawing is so small that little of the screen is much of the path.
const (
	catch     unit.Dp = 6
	catchMost float64 = 0.005 // m
)

// within gives how close a point has to come, px.
func (w *drawing) within(gtx layout.Context) float64 {
	return min(float64(gtx.Dp(catch)), w.view.Length(catchMost))
}

// guide is what the two coordinates of a plate were caught on, nil for
// nothing.
type guide [2]*magnet

// pull gives the place on the paper to which a point at p is drawn, of a drag
// that began at start, m. within is the reach in px; left notes which
// coordinates have once been farther from the start than that: what the point
// lies on when the drag begins does not hold it.
func pull(all []magnet, side Side, v plate.View, p, start r2.Vec, within float64, left *[2]bool) (r2.Vec, guide) {
	var g guide
	best := [2]float64{within, within}
	to := p
	off := r2.Sub(p, start)
	left[0] = left[0] || v.Length(math.Abs(off.X)) > 1.5*within
	left[1] = left[1] || v.Length(math.Abs(off.Y)) > 1.5*within
	for i := range all {
		m := &all[i]
		q := side.flat(m.pC)
		for axis := range 2 {
			if m.flat && (side == FromAbove || axis == 0) {
				continue
			}
			at, from, here := q.X, start.X, p.X
			if axis == 1 {
				at, from, here = q.Y, start.Y, p.Y
			}
			if !m.firm && !left[axis] && v.Length(math.Abs(at-from)) < within {
				continue
			}
			if d := v.Length(math.Abs(at - here)); d < best[axis] {
				best[axis], g[axis] = d, m
				if axis == 0 {
					to.X = at
				} else {
					to.Y = at
				}
			}
		}
	}
	return to, g
}

// words names what was caught.
func (g guide) words() string {
	switch {
	case g[0] == nil && g[1] == nil:
		return ""
	case g[0] == nil || g[0] == g[1]:
		return g[1].name
	case g[1] == nil:
		return g[0].name
	}
	return g[0].name + ", " + g[1].name
}

// magnets gathers what a control point may catch on at the instant at which
// the foot is there.
func (t *track) magnets(d *document.Document, at *document.Place, p point) (all []magnet) {
	r := d.Result()
	robot := &r.Built.Robot
	if at.Track < 0 {
		all = append(all, magnet{name: "stand pose", pC: r3.Vec{Z: r.Built.Height}, firm: true})
	} else {
		l := &robot.Legs[at.Leg]
		stand := r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius}
		all = append(all,
			magnet{name: "ground", pC: r3.Vec{Z: l.FootRadius}, flat: true, firm: true},
			magnet{name: "stand of " + l.Name, pC: stand})
		x, _ := r.Plan.BodyAt(p.at).Pose(p.at)
		for i := range robot.Legs {
			if i != at.Leg {
				pGF := r.Plan.FootAt(i, p.at).At(p.at, &x)
				all = append(all, magnet{name: "foot " + robot.Legs[i].Name, pC: t.course.Into(pGF)})
			}
		}
	}
	for _, q := range t.points {
		switch {
		case q.span == p.span && q.part == p.part:
		case q.part == End:
			// A handle may lie level with, or straight over, where it belongs to.
			all = append(all, magnet{name: "end of span " + strconv.Itoa(q.span+1), pC: q.pC, firm: p.part != End && q.span == p.span})
		case q.span != p.span || p.part == End:
			// Handles of other spans are not shown; the end's own go along.
		default:
			all = append(all, magnet{name: q.part.String(), pC: q.pC})
		}
	}
	if first, ok := t.find(p.span, Out); ok {
		all = append(all, magnet{name: "start of span " + strconv.Itoa(p.span+1), pC: first.from, firm: p.part == Out})
	}
	return all
}

// round brings the numbers of v that the drag has changed to the grid where
// they are within so many millimetres of it, but for those that were caught
// otherwise.
func (s Snap) round(v, start [3]float64, within float64, caught [3]bool) [3]float64 {
	g := s.grid()
	if g == 0 {
		return v
	}
	for i := range v {
		if near := math.Round(v[i]/g) * g; !caught[i] && math.Abs(v[i]-start[i]) > 1e-6 && math.Abs(near-v[i]) <= within {
			v[i] = near
		}
	}
	return v
}
