// SPDX-License-Identifier: MIT

package kin

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Inertia is a symmetric 3x3 inertia matrix. XY, XZ and YZ are the matrix's
// own entries: XY = -∫xy dm. The zero value is that of a point.
type Inertia struct {
	XX, YY, ZZ float64 // kg·m²
	XY, XZ, YZ float64 // kg·m²
}

// ErrInertia is what the errors of Inertia.Check and Link.Check wrap.
var ErrInertia = errors.New("kin: impossible mass or inertia")

// Rod is a solid cylinder along x, about its centre: m·r²/2 along,
// m·(3r² + l²)/12 across (textbook).
func Rod(mass, length, radius float64) Inertia { // kg, m, m
	across := mass * (3*radius*radius + length*length) / 12
	return Inertia{XX: mass * radius * radius / 2, YY: across, ZZ: across}
}

// Box is a solid cuboid with its edges along the axes, about its centre:
// m·(dy² + dz²)/12 about x and so on (textbook).
func Box(mass, dx, dy, dz float64) Inertia { // kg, m, m, m
	x, y, z := dx*dx, dy*dy, dz*dz
	return Inertia{XX: mass * (y + z) / 12, YY: mass * (x + z) / 12, ZZ: mass * (x + y) / 12}
}

// Solid is the inertia of the body taken for a solid box around its outline,
// about its centre: common practice where nothing better is known.
func (b *Body) Solid() Inertia {
	if len(b.Outline) == 0 {
		return Inertia{}
	}
	lo, hi := b.Outline[0], b.Outline[0]
	for _, p := range b.Outline {
		lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
		hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
	}
	return Box(b.Mass, hi.X-lo.X, hi.Y-lo.Y, b.Top-b.Bottom)
}

// Solid is the inertia of link j taken for a solid rod of its length and of
// LinkRadius, about its centre: common practice where nothing better is known.
func (l *Leg) Solid(j int) Inertia { return Rod(l.Links[j].Mass, l.Length[j], l.LinkRadius) }

// Mul gives i·v.
func (i *Inertia) Mul(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: i.XX*v.X + i.XY*v.Y + i.XZ*v.Z,
		Y: i.XY*v.X + i.YY*v.Y + i.YZ*v.Z,
		Z: i.XZ*v.X + i.YZ*v.Y + i.ZZ*v.Z,
	}
}

// Solve gives v with i·v = m. Not ok where i is singular. By the adjugate
// matrix.
func (i *Inertia) Solve(m r3.Vec) (v r3.Vec, ok bool) {
	xx, yy, zz := i.YY*i.ZZ-i.YZ*i.YZ, i.XX*i.ZZ-i.XZ*i.XZ, i.XX*i.YY-i.XY*i.XY
	xy, xz, yz := i.XZ*i.YZ-i.XY*i.ZZ, i.XY*i.YZ-i.XZ*i.YY, i.XY*i.XZ-i.XX*i.YZ
	det := i.XX*xx + i.XY*xy + i.XZ*xz
	if size := i.XX + i.YY + i.ZZ; !(math.Abs(det) > 1e-12*size*size*size) {
		return r3.Vec{}, false
	}
	return r3.Scale(1/det, r3.Vec{
		X: xx*m.X + xy*m.Y + xz*m.Z,
		Y: xy*m.X + yy*m.Y + yz*m.Z,
		Z: xz*m.X + yz*m.Y + zz*m.Z,
	}), true
}

// Rows gives the full matrix by rows, kg·m².
func (i Inertia) Rows() [9]float64 {
	return [9]float64{i.XX, i.XY, i.XZ, i.XY, i.YY, i.YZ, i.XZ, i.YZ, i.ZZ}
}

// plus adds the inertia b.
func (i Inertia) plus(b Inertia) Inertia {
	return Inertia{i.XX + b.XX, i.YY + b.YY, i.ZZ + b.ZZ, i.XY + b.XY, i.XZ + b.XZ, i.YZ + b.YZ}
}

// pointAt is the inertia about the origin of a point mass at p.
func pointAt(mass float64, p r3.Vec) Inertia { // kg, m
	x, y, z := p.X*p.X, p.Y*p.Y, p.Z*p.Z
	return Inertia{mass * (y + z), mass * (x + z), mass * (x + y), -mass * p.X * p.Y, -mass * p.X * p.Z, -mass * p.Y * p.Z}
}

// turned gives r·i·rᵀ: i known in B's axes, seen in A's, for r = rAB.
func (i *Inertia) turned(r *Rot) Inertia {
	m := r.Dot(Rot(i.Rows()))
	dot := func(a, b int) float64 { return m[3*a]*r[3*b] + m[3*a+1]*r[3*b+1] + m[3*a+2]*r[3*b+2] }
	return Inertia{XX: dot(0, 0), YY: dot(1, 1), ZZ: dot(2, 2), XY: dot(0, 1), XZ: dot(0, 2), YZ: dot(1, 2)}
}

// In gives the link, known in B, in the frame A, for x = xAB.
func (k *Link) In(x *Pose) Link {
	return Link{Mass: k.Mass, COM: x.At(k.COM), Inertia: k.Inertia.turned(&x.R)}
}

// Combine makes one rigid part of several known in the same frame, by the
// parallel-axis theorem (Steiner; textbook). Parts without mass are passed
// over; without any mass the result is the zero Link.
func Combine(parts ...Link) Link {
	var sum Link
	for i := range parts {
		sum.Mass += parts[i].Mass
		sum.COM = r3.Add(sum.COM, r3.Scale(parts[i].Mass, parts[i].COM))
	}
	if sum.Mass == 0 {
		return Link{}
	}
	sum.COM = r3.Scale(1/sum.Mass, sum.COM)
	for i := range parts {
		p := &parts[i]
		if p.Mass != 0 {
			sum.Inertia = sum.Inertia.plus(p.Inertia).plus(pointAt(p.Mass, r3.Sub(p.COM, sum.COM)))
		}
	}
	return sum
}

// slack is what rounding may take from the rules of an inertia, as a share of
// its largest entry: a thin rod and a flat plate keep them with nothing to spare.
const slack = 1e-6

// Check tells whether mass can be spread to give i: finite, no
// principal moment negative, none larger than the sum of the other two. A
// point (all zero) and a thin rod (one zero) pass.
func (i Inertia) Check() error {
	rows := i.Rows()
	size := 0.0
	for _, v := range rows {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: an inertia entry is not finite", ErrInertia)
		}
		size = max(size, math.Abs(v))
	}
	if size == 0 {
		return nil
	}
	for k := range rows {
		rows[k] /= size // so that neither tiny nor huge entries leave the range of the solver
	}
	var eig mat.EigenSym
	if !eig.Factorize(mat.NewSymDense(3, rows[:]), false) {
		return fmt.Errorf("%w: the principal moments cannot be found", ErrInertia)
	}
	p := eig.Values(nil) // ascending
	switch {
	case p[0] < -slack:
		return fmt.Errorf("%w: principal moment of inertia %g kg·m² is negative", ErrInertia, p[0]*size)
	case p[2] > p[0]+p[1]+slack:
		return fmt.Errorf("%w: principal moment of inertia %g kg·m² exceeds the sum of the other two, %g and %g",
			ErrInertia, p[2]*size, p[0]*size, p[1]*size)
	}
	return nil
}

// Check tells whether k can be: mass positive, centre of mass finite, inertia
// as Inertia.Check asks. Mass 0 passes only with inertia 0.
func (k *Link) Check() error {
	switch s := k.COM.X + k.COM.Y + k.COM.Z; {
	case !(k.Mass >= 0) || math.IsInf(k.Mass, 0):
		return fmt.Errorf("%w: mass %g kg, want a positive number", ErrInertia, k.Mass)
	case k.Mass == 0 && k.Inertia != Inertia{}:
		return fmt.Errorf("%w: inertia without mass", ErrInertia)
	case math.IsNaN(s) || math.IsInf(s, 0):
		return fmt.Errorf("%w: centre of mass %v is not finite", ErrInertia, k.COM)
	}
	return k.Inertia.Check()
}
