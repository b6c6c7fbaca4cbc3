// SPDX-License-Identifier: MIT

package contact

import (
	"math"

	"gaitwright/kin"
)

// newton is one foot's share of a Newton system and of its solution.
type newton struct {
	nt     scaling
	rp, rm [kin.Joints]float64 // reciprocal slacks
	wp, wm [kin.Joints]float64 // multipliers by slacks

	// The block's lower factor by rows, its diagonal reciprocal, and
	// factor⁻¹ times the columns of y and of v.
	f00, f10, f11, f20, f21, f22 float64
	ka                           [rows]vec
	kq                           vec

	dg     vec
	du, dz vec // of slack and multiplier in the cone, scaled
	// Steps of the joints' slacks, and what slack times multiplier aims at.
	dsp, dsm, ep, em [kin.Joints]float64
}

// step is one step of Mehrotra's method towards products of slack and
// multiplier of goal, no lower.
func (w *interior) step(s *system, goal, terms float64) {
	w.factor(s)
	target := goal
	centring := w.mean < 1.5*goal
	if !centring {
		// Predictor: straight for products of zero. With the new y as unknown,
		// not its step, the feet have no right-hand sides.
		w.border.solve(&[rows]float64{}, -1)
		w.dv, w.dy = w.border.v, w.border.x // dy: all of y here
		ap, ad, first := w.predict(s)
		// Primal and dual steps are orthogonal, so the products' sum is this.
		total := w.mean * terms
		r := min(1, max(0, ((1-ad)*total+(ap-ad)*first)/total))
		target = max(goal, r*r*r*w.mean)
	}
	ap, ad := w.correct(s, target, centring)
	ap, ad = min(1, toWall*ap), min(1, toWall*ad)
	w.v += ap * w.dv
	for k := range rows {
		w.y[k] += ad * w.dy[k]
	}
	for i := range s.n {
		c, g, z := &w.foot[i], &w.g[i], &w.z[i]
		dz := c.nt.inverse(&c.dz)
		g[0] += ap * c.dg[0]
		g[1] += ap * c.dg[1]
		g[2] += ap * c.dg[2]
		z[0] += ad * dz[0]
		z[1] += ad * dz[1]
		z[2] += ad * dz[2]
		if !w.second {
			continue
		}
		zp, zm := &w.zp[i], &w.zm[i]
		for j := range kin.Joints {
			zp[j] += ad * (c.ep[j]*c.rp[j] - zp[j] - c.wp[j]*c.dsp[j])
			zm[j] += ad * (c.em[j]*c.rm[j] - zm[j] - c.wm[j]*c.dsm[j])
		}
	}
}

// factor eliminates the feet from the Newton system
//
//	H·dg + c·dv - a'·y = p   for each foot
//	Σ c·dg + h·dv = pv
//	Σ a·dg = what balance lacks
//
// and factors what is left.
func (w *interior) factor(s *system) {
	m := &w.border.m
	*m = [rows][rows]float64{}
	var q [rows]float64
	h := 0.0
	for i := range s.n {
		f := &w.foot[i]
		nt := &f.nt
		// The cone's block, W⁻² = (2·x·x' - J)/eta², x the mirrored w.
		k := nt.inv2
		x0, x1, x2 := nt.w[0], -nt.w[1], -nt.w[2]
		h00, h11, h22 := k*(2*x0*x0-1), k*(2*x1*x1+1), k*(2*x2*x2+1)
		h10, h20, h21 := 2*k*x1*x0, 2*k*x2*x0, 2*k*x2*x1
		var c0, c1, c2 float64
		if w.second {
			joint, sp, sm, zp, zm := &s.joint[i], &w.sp[i], &w.sm[i], &w.zp[i], &w.zm[i]
			for j := range kin.Joints {
				b := &joint[j]
				rp, rm := 1/sp[j], 1/sm[j]
				wp, wm := zp[j]*rp, zm[j]*rm
				f.rp[j], f.rm[j] = rp, rm
				f.wp[j], f.wm[j] = wp, wm
				sum, dif := wp+wm, wp-wm
				b0, b1, b2 := b[0], b[1], b[2]
				s0, s1, s2 := sum*b0, sum*b1, sum*b2
				h00 += s0 * b0
				h10 += s1 * b0
				h20 += s2 * b0
				h11 += s1 * b1
				h21 += s2 * b1
				h22 += s2 * b2
				c0 += dif * b0
				c1 += dif * b1
				c2 += dif * b2
				h += sum
			}
		} else {
			c0, c1, c2 = h00, h10, h20
			h += h00
		}
		f00 := 1 / math.Sqrt(h00)
		f10, f20 := h10*f00, h20*f00
		f11 := above(h11, f10*f10)
		f21 := (h21 - f20*f10) * f11
		f22 := above(h22, f20*f20+f21*f21)
		f.f00, f.f10, f.f11, f.f20, f.f21, f.f22 = f00, f10, f11, f20, f21, f22
		c0 *= f00
		c1 = (c1 - f10*c0) * f11
		c2 = (c2 - f20*c0 - f21*c1) * f22
		f.kq = vec{c0, c1, c2}
		h -= c0*c0 + c1*c1 + c2*c2
		a := &s.a[i]
		for r := range rows {
			y0 := a[r][0] * f00
			y1 := (a[r][1] - f10*y0) * f11
			y2 := (a[r][2] - f20*y0 - f21*y1) * f22
			f.ka[r] = vec{y0, y1, y2}
			q[r] += y0*c0 + y1*c1 + y2*c2
			row := &m[r]
			for t := range f.ka[:r+1] {
				o := &f.ka[t]
				row[t] += y0*o[0] + y1*o[1] + y2*o[2]
			}
		}
	}
	if !w.border.factor() {
		w.orthogonal(s.n)
	}
	w.border.close(&q, h)
}

// back completes a foot's step: p is factor⁻¹·(right-hand side), y the new y.
func (f *newton) back(p *vec, y *[rows]float64, dv float64) {
	x0, x1, x2 := p[0]-dv*f.kq[0], p[1]-dv*f.kq[1], p[2]-dv*f.kq[2]
	for k := range rows {
		a := &f.ka[k]
		x0 += y[k] * a[0]
		x1 += y[k] * a[1]
		x2 += y[k] * a[2]
	}
	x2 *= f.f22
	x1 = (x1 - f.f21*x2) * f.f11
	x0 = (x0 - f.f10*x1 - f.f20*x2) * f.f00
	f.dg = vec{x0, x1, x2}
}

// predict completes the predictor and gives how far it leads, at most 1, and
// the sum of multiplier times slack step.
func (w *interior) predict(s *system) (ap, ad, first float64) {
	lp, ld := 1.0, 1.0 // reciprocals of the steps
	dv, shift := w.dv, w.dv
	if w.second {
		shift = 0
	}
	for i := range s.n {
		f := &w.foot[i]
		f.back(&vec{}, &w.dy, dv)
		du := vec{f.dg[0] + shift, f.dg[1], f.dg[2]}
		f.du = f.nt.inverse(&du)
		l := &f.nt.l
		f.dz = vec{-l[0] - f.du[0], -l[1] - f.du[1], -l[2] - f.du[2]}
		if h := f.nt.haste(&f.du); h > lp {
			lp = h
		}
		if h := f.nt.haste(&f.dz); h > ld {
			ld = h
		}
		first += dot(l, &f.du)
		if !w.second {
			continue
		}
		x0, x1, x2 := f.dg[0], f.dg[1], f.dg[2]
		joint, zp, zm := &s.joint[i], &w.zp[i], &w.zm[i]
		for j := range kin.Joints {
			b := &joint[j]
			ds := x0*b[0] + x1*b[1] + x2*b[2]
			sp, sm := dv+ds, dv-ds
			f.dsp[j], f.dsm[j] = sp, sm
			qp, qm := sp*f.rp[j], sm*f.rm[j]
			if qp > qm {
				qp, qm = qm, qp
			}
			if -qp > lp {
				lp = -qp
			}
			if 1+qm > ld {
				ld = 1 + qm
			}
			first += zp[j]*sp + zm[j]*sm
		}
	}
	return 1 / lp, 1 / ld, first
}

// correct computes the step that is taken and how many of it lead to the
// boundary, for the slacks and for the multipliers.
func (w *interior) correct(s *system, target float64, centring bool) (ap, ad float64) {
	pv := -1.0
	r := w.residual(s)
	for i := range s.n {
		f := &w.foot[i]
		l := &f.nt.l
		e := vec{target}
		if !centring {
			b := jordan(&f.du, &f.dz)
			e = vec{target - b[0], -b[1], -b[2]}
		}
		x := f.nt.divide(&e)
		f.dz = vec{x[0] - l[0], x[1] - l[1], x[2] - l[2]} // du still to come off
		p := f.nt.inverse(&x)                             // W is symmetric
		p0, p1, p2 := p[0], p[1], p[2]
		if w.second {
			joint, zp, zm := &s.joint[i], &w.zp[i], &w.zm[i]
			for j := range kin.Joints {
				ep, em := target, target
				if !centring {
					ep += f.dsp[j] * (zp[j] + f.wp[j]*f.dsp[j])
					em += f.dsm[j] * (zm[j] + f.wm[j]*f.dsm[j])
				}
				f.ep[j], f.em[j] = ep, em
				yp, ym := ep*f.rp[j], em*f.rm[j]
				pv += yp + ym
				k := yp - ym
				b := &joint[j]
				p0 += k * b[0]
				p1 += k * b[1]
				p2 += k * b[2]
			}
		} else {
			pv += p0
		}
		// From the y there is: the step is small in the end, y is not.
		a := &s.a[i]
		for k := range rows {
			y := w.y[k]
			p0 += y * a[k][0]
			p1 += y * a[k][1]
			p2 += y * a[k][2]
		}
		p0 *= f.f00
		p1 = (p1 - f.f10*p0) * f.f11
		p2 = (p2 - f.f20*p0 - f.f21*p1) * f.f22
		pv -= f.kq[0]*p0 + f.kq[1]*p1 + f.kq[2]*p2
		for k := range rows {
			a := &f.ka[k]
			r[k] -= a[0]*p0 + a[1]*p1 + a[2]*p2
		}
		f.dg = vec{p0, p1, p2}
	}
	w.border.solve(&r, pv)
	w.dv, w.dy = w.border.v, w.border.x
	dv, shift := w.dv, w.dv
	if w.second {
		shift = 0
	}
	lp, ld := 0.0, 0.0
	for i := range s.n {
		f := &w.foot[i]
		p := f.dg
		f.back(&p, &w.dy, dv)
		du := vec{f.dg[0] + shift, f.dg[1], f.dg[2]}
		f.du = f.nt.inverse(&du)
		f.dz[0] -= f.du[0]
		f.dz[1] -= f.du[1]
		f.dz[2] -= f.du[2]
		if h := f.nt.haste(&f.du); h > lp {
			lp = h
		}
		if h := f.nt.haste(&f.dz); h > ld {
			ld = h
		}
		if !w.second {
			continue
		}
		x0, x1, x2 := f.dg[0], f.dg[1], f.dg[2]
		joint, zp, zm := &s.joint[i], &w.zp[i], &w.zm[i]
		for j := range kin.Joints {
			b := &joint[j]
			ds := x0*b[0] + x1*b[1] + x2*b[2]
			sp, sm := dv+ds, dv-ds
			f.dsp[j], f.dsm[j] = sp, sm
			qp, qm := sp*f.rp[j], sm*f.rm[j]
			if qm < qp {
				qp = qm
			}
			if -qp > lp {
				lp = -qp
			}
			if d := f.wp[j]*sp + zp[j] - f.ep[j]*f.rp[j]; d > ld*zp[j] {
				ld = d / zp[j]
			}
			if d := f.wm[j]*sm + zm[j] - f.em[j]*f.rm[j]; d > ld*zm[j] {
				ld = d / zm[j]
			}
		}
	}
	return 1 / lp, 1 / ld
}
