// SPDX-License-Identifier: MIT

// Package plate is the geometry of a flat drawing area to scale: metres with
// y up on the paper, pixels with y down on the canvas.
//
//	var v plate.View
//	v.Size = gtx.Constraints.Max
//	v.Fit(lo, hi, 24)
//	for _, x := range v.TicksX(v.Step(60)) {
//		draw.Vertical(ops, v.Px(r2.Vec{X: x}).X, 0, h, 1, grid)
//	}
package plate

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// View shows a part of a plane. The zero value shows 1 m of paper as 1000 px
// about the origin.
type View struct {
	Size   image.Point // canvas, px
	Centre r2.Vec      // paper point in the middle of the canvas, m
	Scale  float64     // px per m; zero means 1000
}

// Limits of the scale that zooming keeps, px/m.
const (
	smallest = 1e-2
	largest  = 1e7
)

func (v View) scale() float64 {
	if !(v.Scale > 0) || math.IsInf(v.Scale, 0) {
		return 1000
	}
	return min(max(v.Scale, smallest), largest)
}

// Px returns the pixel of the paper point p, m.
func (v View) Px(p r2.Vec) r2.Vec {
	s := v.scale()
	return r2.Vec{
		X: float64(v.Size.X)/2 + (p.X-v.Centre.X)*s,
		Y: float64(v.Size.Y)/2 - (p.Y-v.Centre.Y)*s,
	}
}

// M returns the paper point of a pixel, m.
func (v View) M(px r2.Vec) r2.Vec {
	s := v.scale()
	return r2.Vec{
		X: v.Centre.X + (px.X-float64(v.Size.X)/2)/s,
		Y: v.Centre.Y - (px.Y-float64(v.Size.Y)/2)/s,
	}
}

// Length returns a paper length in pixels.
func (v View) Length(m float64) float64 { return m * v.scale() }

// Bounds returns the corners of the paper that shows, m.
func (v View) Bounds() (lo, hi r2.Vec) {
	a, b := v.M(r2.Vec{}), v.M(r2.Vec{X: float64(v.Size.X), Y: float64(v.Size.Y)})
	return r2.Vec{X: a.X, Y: b.Y}, r2.Vec{X: b.X, Y: a.Y}
}

// Fit centres the box lo-hi, m, and scales it to fill the canvas but for the
// margin on each side, px. A box of one point only centres. A box that is not
// finite, or turned around, changes nothing and gives false.
func (v *View) Fit(lo, hi r2.Vec, margin float64) bool {
	d := r2.Sub(hi, lo)
	c := r2.Scale(0.5, r2.Add(lo, hi))
	if !(d.X >= 0 && d.Y >= 0) || r2.Norm(d)-r2.Norm(d) != 0 || r2.Norm(c)-r2.Norm(c) != 0 {
		return false
	}
	v.Centre = c
	w := max(float64(v.Size.X)-2*margin, 1)
	h := max(float64(v.Size.Y)-2*margin, 1)
	s := min(w/d.X, h/d.Y)
	if !math.IsInf(s, 0) && s-s == 0 {
		v.Scale = min(max(s, smallest), largest)
	}
	return true
}

// Pan moves the paper by dx, dy px.
func (v *View) Pan(dx, dy float64) {
	if dx-dx != 0 || dy-dy != 0 {
		return
	}
	s := v.scale()
	v.Centre = r2.Add(v.Centre, r2.Vec{X: -dx / s, Y: dy / s})
}

// Zoom magnifies by factor about the pixel at, which stays over its paper
// point.
func (v *View) Zoom(factor float64, at r2.Vec) {
	if !(factor > 0) || math.IsInf(factor, 0) || r2.Norm(at)-r2.Norm(at) != 0 {
		return
	}
	p := v.M(at)
	v.Scale = min(max(v.scale()*factor, smallest), largest)
	v.Centre = r2.Add(v.Centre, r2.Sub(p, v.M(at)))
}

// Step returns the smallest round grid step (1, 2 or 5 times a power of ten),
// m, that is at least least px wide.
func (v View) Step(least float64) float64 { return Round(least / v.scale()) }

// Round returns the smallest 1, 2 or 5 times a power of ten that is not below
// x, or 1 when x is not a positive number.
func Round(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return 1
	}
	e := int(math.Floor(math.Log10(x)))
	for _, k := range []float64{1, 2, 5, 10} {
		if s := power(k, e); s >= x*(1-1e-9) {
			return s
		}
	}
	return power(1, e+1)
}

// power is k·10^e without the rounding of 10^-n: for negative e it divides.
func power(k float64, e int) float64 {
	if e < 0 {
		return k / math.Pow10(-e)
	}
	return k * math.Pow10(e)
}

// mostTicks bounds a row of ticks whatever the step.
const mostTicks = 2000

// TicksX returns the multiples of step that show along x, m.
func (v View) TicksX(step float64) []float64 {
	lo, hi := v.Bounds()
	return Ticks(lo.X, hi.X, step)
}

// TicksY returns the multiples of step that show along y, m.
func (v View) TicksY(step float64) []float64 {
	lo, hi := v.Bounds()
	return Ticks(lo.Y, hi.Y, step)
}

// Ticks returns the multiples of step from lo to hi, in order. It gives none
// for a step that is not positive, or when there would be more than 2000.
func Ticks(lo, hi, step float64) []float64 {
	if !(step > 0) || !(hi >= lo) || !((hi-lo)/step <= mostTicks) {
		return nil
	}
	first, last := math.Ceil(lo/step-1e-9), math.Floor(hi/step+1e-9)
	if !(last >= first) {
		return nil
	}
	out := make([]float64, 0, int(last-first)+1)
	for i := first; i <= last; i++ {
		out = append(out, i*step+0) // +0 turns a negative zero
	}
	return out
}

// Decimals returns how many decimals numbers in steps of step need.
func Decimals(step float64) int {
	if !(step > 0) || math.IsInf(step, 0) {
		return 0
	}
	return min(max(-int(math.Floor(math.Log10(step)+1e-9)), 0), 12)
}

// Bar returns the longest round length, m, that is at most most px, and its
// length in px, for a scale bar.
func (v View) Bar(most float64) (m, px float64) {
	x := most / v.scale()
	if !(x > 0) || math.IsInf(x, 0) {
		return 0, 0
	}
	m = Round(x)
	for _, k := range []float64{1, 2, 2.5, 5, 10} {
		if s := Round(x / k); s <= x*(1+1e-9) {
			m = s
			break
		}
	}
	return m, m * v.scale()
}
