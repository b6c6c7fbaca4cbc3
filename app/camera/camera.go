// SPDX-License-Identifier: MIT

// Package camera looks at a scene in world axes (x forward, y left, z up,
// metres) and turns it into pixels of a canvas (x right, y down).
//
// A [Camera] is the small value that a person moves: orbit, pan, zoom, fit.
// [Camera.Frame] freezes it for one frame with the projection computed once.
//
//	f := cam.Frame(size)
//	if p, q, ok := f.Segment(a, b); ok {
//		batch.Segment(p, q, line)
//	}
//
// A perspective and a parallel (orthographic) view of the same camera have the
// same scale at the target.
package camera

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Camera looks at a target from a direction. The zero value looks from the
// front at the world's origin from 1 m away.
type Camera struct {
	Target   r3.Vec  // point looked at, world, m
	Yaw      float64 // direction to the eye about z, from x towards y, rad
	Pitch    float64 // direction to the eye above the horizon, [-π/2, π/2], rad
	Distance float64 // from the target to the eye; zero means 1, m
	FovY     float64 // opening angle over the canvas height; zero means 0.6, rad
	Flat     bool    // parallel projection
}

// Limits of the distance that zooming keeps, m.
const (
	nearest  = 1e-3
	farthest = 1e4
)

func (c Camera) distance() float64 {
	if !(c.Distance > 0) || math.IsInf(c.Distance, 0) {
		return 1
	}
	return min(max(c.Distance, nearest), farthest)
}

func (c Camera) fov() float64 {
	if !(c.FovY > 0 && c.FovY < 3) {
		return 0.6
	}
	return c.FovY
}

// Axes returns the unit vectors of the canvas in world axes: to the right, up
// and out of the screen towards the eye. They come from yaw and pitch
// themselves and stay defined when looking straight down or up.
func (c Camera) Axes() (right, up, out r3.Vec) {
	sp, cp := math.Sincos(c.Pitch)
	sy, cy := math.Sincos(c.Yaw)
	return r3.Vec{X: -sy, Y: cy}, r3.Vec{X: -sp * cy, Y: -sp * sy, Z: cp}, r3.Vec{X: cp * cy, Y: cp * sy, Z: sp}
}

// Eye returns the eye's place in the world, m.
func (c Camera) Eye() r3.Vec {
	_, _, out := c.Axes()
	return r3.Add(c.Target, r3.Scale(c.distance(), out))
}

// Orbit turns the camera about its target by a drag of dx, dy px: the scene
// follows the pointer. Half a turn takes about 600 px.
func (c *Camera) Orbit(dx, dy float64) {
	if dx-dx != 0 || dy-dy != 0 {
		return
	}
	const perPixel = math.Pi / 600
	c.Yaw = wrap(c.Yaw - dx*perPixel)
	c.Pitch = min(max(c.Pitch+dy*perPixel, -math.Pi/2), math.Pi/2)
}

// Pan moves the target with the canvas so that the plane through the target
// follows a drag of dx, dy px.
func (c *Camera) Pan(dx, dy float64, size image.Point) {
	if dx-dx != 0 || dy-dy != 0 {
		return
	}
	s := c.metresPerPixel(size)
	right, up, _ := c.Axes()
	c.Target = r3.Add(c.Target, r3.Add(r3.Scale(-dx*s, right), r3.Scale(dy*s, up)))
}

// Zoom makes the scene at the target appear larger by factor (above 1) or
// smaller (below 1), keeping what lies under the pixel x, y in the plane of the
// target where it is.
func (c *Camera) Zoom(factor, x, y float64, size image.Point) {
	if !(factor > 0) || math.IsInf(factor, 0) || x-x != 0 || y-y != 0 {
		return
	}
	d := c.distance()
	s := c.metresPerPixel(size)
	c.Distance = min(max(d/factor, nearest), farthest)
	keep := 1 - c.Distance/d
	right, up, _ := c.Axes()
	u, v := (x-float64(size.X)/2)*s, (float64(size.Y)/2-y)*s
	c.Target = r3.Add(c.Target, r3.Add(r3.Scale(u*keep, right), r3.Scale(v*keep, up)))
}

// metresPerPixel is the scale in the plane through the target.
func (c Camera) metresPerPixel(size image.Point) float64 {
	return 2 * c.distance() * math.Tan(c.fov()/2) / float64(max(size.Y, 1))
}

// Fit moves target and distance so that the box lo-hi, world, m, just fills the
// canvas but for the margin on each side, px. The direction stays. A box that
// is empty or not finite changes nothing and gives false.
//
// The nearest distance at which all eight corners lie between the four sides
// of the view follows in closed form: for a side with slope k a corner (x, z)
// in canvas axes needs k·(d − z) ≥ |x − centre|.
func (c *Camera) Fit(lo, hi r3.Vec, size image.Point, margin float64) bool {
	d := r3.Sub(hi, lo)
	if !(d.X >= 0 && d.Y >= 0 && d.Z >= 0) || !(r3.Norm(d) > 0) || math.IsInf(r3.Norm(d), 0) || r3.Norm(lo)-r3.Norm(lo) != 0 {
		return false
	}
	w, h := float64(max(size.X, 1)), float64(max(size.Y, 1))
	margin = min(max(margin, 0), 0.45*min(w, h))
	ky := math.Tan(c.fov() / 2)
	kx := ky * (w - 2*margin) / h
	full := ky
	ky *= (h - 2*margin) / h
	right, up, out := c.Axes()
	mid := r3.Scale(0.5, r3.Add(lo, hi))
	inf := math.Inf(-1)
	r, l, t, b, front := inf, inf, inf, inf, inf
	for i := range 8 {
		p := r3.Sub(corner(lo, hi, i), mid)
		x, y, z := r3.Dot(p, right), r3.Dot(p, up), r3.Dot(p, out)
		if c.Flat {
			z = 0
		}
		r, l = max(r, x+kx*z), max(l, -x+kx*z)
		t, b = max(t, y+ky*z), max(b, -y+ky*z)
		front = max(front, z)
	}
	dist := max((r+l)/2/kx, (t+b)/2/ky)
	if !c.Flat {
		dist = max(dist, front+0.05*r3.Norm(d))
	}
	dist = max(dist, 1e-3*r3.Norm(d)/full)
	c.Distance = min(max(dist, nearest), farthest)
	c.Target = r3.Add(mid, r3.Add(r3.Scale((r-l)/2, right), r3.Scale((t-b)/2, up)))
	return true
}

func corner(lo, hi r3.Vec, i int) r3.Vec {
	p := lo
	if i&1 != 0 {
		p.X = hi.X
	}
	if i&2 != 0 {
		p.Y = hi.Y
	}
	if i&4 != 0 {
		p.Z = hi.Z
	}
	return p
}

// wrap brings an angle into [-π, π].
func wrap(a float64) float64 { return math.Remainder(a, 2*math.Pi) }
