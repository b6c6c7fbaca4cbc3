// SPDX-License-Identifier: MIT

package camera

import (
	"image"
	"math"

	"github.com/go-gl/mathgl/mgl64"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is a camera frozen for one canvas size, with its matrices.
type Frame struct {
	Camera Camera
	Size   image.Point // canvas, px

	right, up, out, eye r3.Vec
	viewProj            mgl64.Mat4
	near                float64 // perspective: least distance in front of the eye, m
	half                r2.Vec  // half of the canvas, px
}

// Frame computes the projection for a canvas of the given size, px.
func (c Camera) Frame(size image.Point) Frame {
	f := Frame{Camera: c, Size: size, eye: c.Eye()}
	f.right, f.up, f.out = c.Axes()
	w, h := float64(max(size.X, 1)), float64(max(size.Y, 1))
	f.half = r2.Vec{X: w / 2, Y: h / 2}
	d := c.distance()
	f.near = d * 1e-3
	f.viewProj = c.projection(w/h, f.near).Mul4(c.view())
	return f
}

// view maps the world to eye axes (x right, y up, z towards the eye), m.
func (c Camera) view() mgl64.Mat4 {
	r, u, o := c.Axes()
	e := c.Eye()
	return mgl64.Mat4FromRows(
		mgl64.Vec4{r.X, r.Y, r.Z, -r3.Dot(r, e)},
		mgl64.Vec4{u.X, u.Y, u.Z, -r3.Dot(u, e)},
		mgl64.Vec4{o.X, o.Y, o.Z, -r3.Dot(o, e)},
		mgl64.Vec4{0, 0, 0, 1},
	)
}

func (c Camera) projection(aspect, near float64) mgl64.Mat4 {
	d := c.distance()
	if !c.Flat {
		return mgl64.Perspective(c.fov(), aspect, near, 1e4*d)
	}
	h := d * math.Tan(c.fov()/2)
	// Nothing is behind a parallel view: its range reaches to both sides.
	return mgl64.Ortho(-h*aspect, h*aspect, -h, h, -1e4*d, 1e4*d)
}

// Project returns the pixel of the world point p and its distance from the eye
// along the view, m (larger is farther). ok is false for a point that is not
// finite or, in perspective, not in front of the eye.
func (f *Frame) Project(p r3.Vec) (at r2.Vec, depth float64, ok bool) {
	c := f.viewProj.Mul4x1(mgl64.Vec4{p.X, p.Y, p.Z, 1})
	depth = r3.Dot(r3.Sub(f.eye, p), f.out)
	if !finite(c) || c[3] < f.near && !f.Camera.Flat {
		return r2.Vec{}, depth, false
	}
	return f.pixel(c), depth, true
}

// Segment returns the pixels of the ends of the world segment a-b. A segment
// that passes the eye is cut a little in front of it, so that no part appears
// mirrored. ok is false when nothing of it is in front.
func (f *Frame) Segment(a, b r3.Vec) (p, q r2.Vec, ok bool) {
	ca := f.viewProj.Mul4x1(mgl64.Vec4{a.X, a.Y, a.Z, 1})
	cb := f.viewProj.Mul4x1(mgl64.Vec4{b.X, b.Y, b.Z, 1})
	if !finite(ca) || !finite(cb) {
		return p, q, false
	}
	if !f.Camera.Flat {
		behindA, behindB := ca[3] < f.near, cb[3] < f.near
		switch {
		case behindA && behindB:
			return p, q, false
		case behindA:
			ca = cut(ca, cb, f.near)
		case behindB:
			cb = cut(cb, ca, f.near)
		}
	}
	return f.pixel(ca), f.pixel(cb), true
}

// Polygon appends to dst the pixels of the world polygon pts, cut in front of
// the eye in the same way. Fewer than three pixels mean that nothing shows.
func (f *Frame) Polygon(dst []r2.Vec, pts []r3.Vec) []r2.Vec {
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		ca := f.viewProj.Mul4x1(mgl64.Vec4{a.X, a.Y, a.Z, 1})
		cb := f.viewProj.Mul4x1(mgl64.Vec4{b.X, b.Y, b.Z, 1})
		if !finite(ca) || !finite(cb) {
			return dst[:0]
		}
		frontA := f.Camera.Flat || ca[3] >= f.near
		frontB := f.Camera.Flat || cb[3] >= f.near
		if frontA {
			dst = append(dst, f.pixel(ca))
		}
		if frontA != frontB {
			dst = append(dst, f.pixel(cut(ca, cb, f.near)))
		}
	}
	return dst
}

// cut returns the point between from and to, in clip coordinates, whose
// distance in front of the eye is near.
func cut(from, to mgl64.Vec4, near float64) mgl64.Vec4 {
	t := (near - from[3]) / (to[3] - from[3])
	c := from.Add(to.Sub(from).Mul(t))
	c[3] = near
	return c
}

func (f *Frame) pixel(c mgl64.Vec4) r2.Vec {
	return r2.Vec{X: f.half.X * (1 + c[0]/c[3]), Y: f.half.Y * (1 - c[1]/c[3])}
}

// Direction returns the canvas direction (y down) of the world vector v seen
// from afar; its length is the cosine to the screen plane. For axis signs.
func (f *Frame) Direction(v r3.Vec) r2.Vec {
	return r2.Vec{X: r3.Dot(v, f.right), Y: -r3.Dot(v, f.up)}
}

// Scale returns how many pixels one metre across the view takes at p, or 0
// behind the eye.
func (f *Frame) Scale(p r3.Vec) float64 {
	s := 1 / f.Camera.metresPerPixel(f.Size)
	if f.Camera.Flat {
		return s
	}
	depth := r3.Dot(r3.Sub(f.eye, p), f.out)
	if depth < f.near {
		return 0
	}
	return s * f.Camera.distance() / depth
}

// Ray returns the line of sight through the pixel at: where it starts, world,
// m, and its unit direction away from the eye. In a parallel view it starts in
// the plane of the eye.
func (f *Frame) Ray(at r2.Vec) (from, dir r3.Vec) {
	s := f.Camera.metresPerPixel(f.Size)
	across := r3.Add(r3.Scale((at.X-f.half.X)*s, f.right), r3.Scale((f.half.Y-at.Y)*s, f.up))
	if f.Camera.Flat {
		return r3.Add(f.eye, across), r3.Scale(-1, f.out)
	}
	return f.eye, r3.Unit(r3.Sub(across, r3.Scale(f.Camera.distance(), f.out)))
}

// grazing is the least sine of the angle between a line of sight and a drag
// plane: below it a pixel moves the point by more than 20 times its size.
const grazing = 0.05

// DragOnPlane returns where the line of sight through the pixel at meets the
// plane through p with normal n (any length), world, m. ok is false when the
// plane is seen nearly edge-on, lies behind the eye, or a value is not finite;
// the point is then p.
func (f *Frame) DragOnPlane(p, n r3.Vec, at r2.Vec) (r3.Vec, bool) {
	from, dir := f.Ray(at)
	den := r3.Dot(dir, n)
	if !(math.Abs(den) > grazing*r3.Norm(n)) {
		return p, false
	}
	t := r3.Dot(r3.Sub(p, from), n) / den
	q := r3.Add(from, r3.Scale(t, dir))
	if t < 0 && !f.Camera.Flat || r3.Norm(q)-r3.Norm(q) != 0 {
		return p, false
	}
	return q, true
}

// DragOnLine returns the point of the line through p along d (any length) that
// is nearest to the line of sight through the pixel at, world, m. ok is false
// when the line is seen nearly end-on.
func (f *Frame) DragOnLine(p, d r3.Vec, at r2.Vec) (r3.Vec, bool) {
	from, dir := f.Ray(at)
	if !(r3.Norm(d) > 0) {
		return p, false
	}
	u := r3.Unit(d)
	c := r3.Dot(u, dir)
	den := 1 - c*c
	if !(den > grazing*grazing) {
		return p, false
	}
	w := r3.Sub(from, p)
	t := (r3.Dot(w, u) - c*r3.Dot(w, dir)) / den
	q := r3.Add(p, r3.Scale(t, u))
	return q, r3.Norm(q)-r3.Norm(q) == 0
}

func finite(v mgl64.Vec4) bool {
	s := v[0] + v[1] + v[2] + v[3]
	return s-s == 0
}
