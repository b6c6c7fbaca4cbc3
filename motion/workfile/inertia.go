// SPDX-License-Identifier: MIT

package workfile

import (
	"gonum.org/v1/gonum/mat"

	"gaitwright/kin"
)

// inertiaOf converts xx, yy, zz, xy, xz, yz in kg·mm².
func inertiaOf(v *[6]float64) kin.Inertia {
	const perM2 = 1e6 // mm² in a square metre; dividing gives the nearest double
	return kin.Inertia{XX: v[0] / perM2, YY: v[1] / perM2, ZZ: v[2] / perM2, XY: v[3] / perM2, XZ: v[4] / perM2, YZ: v[5] / perM2}
}

// inertiaOr is inertiaOf v, or other when it was left out.
func inertiaOr(v *[6]float64, other kin.Inertia) kin.Inertia {
	if v == nil {
		return other
	}
	return inertiaOf(v)
}

// inertia checks that there can be a body with the inertia v. What is out of
// range was named before.
func (c *checker) inertia(v *[6]float64, p path) {
	if v == nil || c.bad[p.id()] || inertiaOf(v).Check() == nil {
		return
	}
	c.add(p, "%s; check the signs, the order (xx, yy, zz, xy, xz, yz) and the unit, or leave the key out to have it estimated", inertiaFault(v))
}

// inertiaFault tells what is wrong with an inertia, by its principal moments
// in the file's own unit.
func inertiaFault(v *[6]float64) string {
	var eig mat.EigenSym
	if !eig.Factorize(mat.NewSymDense(3, []float64{v[0], v[3], v[4], v[3], v[1], v[5], v[4], v[5], v[2]}), false) {
		return "no body has this inertia"
	}
	m := eig.Values(nil)                          // ascending
	if tol := 1e-6 * (m[2] - m[0]); m[0] < -tol { // less is rounding, as for kin.Inertia.Check
		return "a principal moment of inertia is " + rough(m[0]) + " kg·mm², and no body has a negative one"
	}
	return "the principal moment of inertia " + rough(m[2]) + " kg·mm² exceeds the sum of the other two, " + rough(m[0]) + " and " + rough(m[1]) + ", which no body has"
}
