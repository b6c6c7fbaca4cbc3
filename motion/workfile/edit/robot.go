// SPDX-License-Identifier: MIT

package edit

import (
	"cmp"
	"slices"

	"gaitwright/motion/workfile"
)

// mostCorners is the number of corners that an outline may have.
const mostCorners = 64

// SplitEdge adds a corner in the middle of the outline's edge that begins at
// corner i.
func SplitEdge(f *workfile.File, i int) error {
	o := f.Robot.Outline
	if i < 0 || i >= len(o) {
		return refuse("choose another one", "there is no corner %d any more", i+1)
	}
	if len(o) >= mostCorners {
		return refuse("take one out first", "an outline has at most %d corners", mostCorners)
	}
	a, b := o[i], o[(i+1)%len(o)]
	f.Robot.Outline = slices.Insert(slices.Clone(o), i+1, [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2})
	return nil
}

// RemoveCorner takes a corner out of the outline.
func RemoveCorner(f *workfile.File, i int) error {
	o := f.Robot.Outline
	if i < 0 || i >= len(o) {
		return refuse("choose another one", "there is no corner %d any more", i+1)
	}
	if len(o) <= 3 {
		return refuse("drag this one instead", "an outline has at least 3 corners")
	}
	rest := slices.Delete(slices.Clone(o), i, i+1)
	if fault := workfile.OutlineFault(rest); fault != "" {
		return refuse("", "%s", fault)
	}
	f.Robot.Outline = rest
	return nil
}

// Symmetric makes the outline the same on both sides of x: the left half is
// kept, and the right one becomes its mirror image.
func Symmetric(f *workfile.File) error {
	left := leftOf(f.Robot.Outline)
	all := slices.Clone(left)
	for _, p := range left {
		all = append(all, [2]float64{p[0], -p[1]})
	}
	hull := hullOf(all)
	if len(hull) < 3 {
		return refuse("drag a corner there first", "the outline has no part on the left (y above 0) to mirror")
	}
	if len(hull) > mostCorners {
		return refuse("take some out first", "the outline would get %d corners, more than %d", len(hull), mostCorners)
	}
	// Begin where the outline began, if that corner is still there.
	if i := slices.Index(hull, f.Robot.Outline[0]); i > 0 {
		hull = append(hull[i:len(hull):len(hull)], hull[:i]...)
	}
	f.Robot.Outline = hull
	return nil
}

// leftOf cuts a polygon off at the x axis and gives the corners with y >= 0.
func leftOf(o [][2]float64) (out [][2]float64) {
	for i, a := range o {
		b := o[(i+1)%len(o)]
		if a[1] >= 0 {
			out = append(out, a)
		}
		if a[1] > 0 && b[1] < 0 || a[1] < 0 && b[1] > 0 {
			t := a[1] / (a[1] - b[1])
			out = append(out, [2]float64{a[0] + t*(b[0]-a[0]), 0})
		}
	}
	return out
}

// hullOf gives the convex hull, counter-clockwise and without corners on a
// straight line (Andrew's monotone chain, 1979).
func hullOf(p [][2]float64) [][2]float64 {
	slices.SortFunc(p, func(a, b [2]float64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	turn := func(a, b, c [2]float64) float64 { return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]) }
	var h [][2]float64
	half := func(least int, q [2]float64) {
		for len(h) > least && turn(h[len(h)-2], h[len(h)-1], q) <= 1e-9 {
			h = h[:len(h)-1]
		}
		h = append(h, q)
	}
	for _, q := range p {
		half(1, q)
	}
	low := len(h)
	for i := len(p) - 2; i >= 0; i-- {
		half(low, p[i])
	}
	return h[:len(h)-1]
}

// SetPayload gives the robot something to carry, or another mass of it, g.
func SetPayload(f *workfile.File, mass float64) { f.Robot.Payload = &mass }

// DropPayload takes away what the robot carries, with its centre and size.
func DropPayload(f *workfile.File) {
	f.Robot.Payload, f.Robot.PayloadAt, f.Robot.PayloadSize = nil, nil, nil
}
