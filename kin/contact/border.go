// SPDX-License-Identifier: MIT

package contact

import "math"

// above gives 1/√(a-b), for a-b positive but for rounding.
func above(a, b float64) float64 {
	if c := a - b; c > 1e-15*a {
		return 1 / math.Sqrt(c)
	}
	return 1 / math.Sqrt(1e-15*a+math.SmallestNonzeroFloat64)
}

// border is what elimination of the feet leaves of the Newton system,
// [M -q; q' h]: the equations of balance and the column of v.
type border struct {
	m     [rows][rows]float64 // lower factor of M, its diagonal reciprocal
	cross [rows]float64       // factor⁻¹·q
	pivot float64

	x [rows]float64 // solution
	v float64
}

// factor works on m in place by Cholesky's method; rows of balance that are
// cleared stand alone. False if more than half the digits are lost.
func (b *border) factor() bool {
	m := &b.m
	for r := range rows {
		row := &m[r]
		sum := 0.0
		for t := range r {
			c := row[t]
			for k := range t {
				c -= row[k] * m[t][k]
			}
			c *= m[t][t]
			row[t] = c
			sum += c * c
		}
		switch c := row[r] - sum; {
		case row[r] == 0:
			row[r] = 1
		case c > 1e-8*row[r]:
			row[r] = 1 / math.Sqrt(c)
		default:
			return false
		}
	}
	return true
}

// orthogonal finds the same factor from ka by Gram and Schmidt's method,
// which does not square what is small: feet that may hardly push.
func (w *interior) orthogonal(n int) {
	m := &w.border.m
	for i := range n {
		w.kb[i] = w.foot[i].ka
	}
	for r := range rows {
		for t := range r {
			sum := 0.0
			for i := range n {
				sum += dot(&w.kb[i][r], &w.kb[i][t])
			}
			for i := range n {
				x, o := &w.kb[i][r], &w.kb[i][t]
				x[0] -= sum * o[0]
				x[1] -= sum * o[1]
				x[2] -= sum * o[2]
			}
			m[r][t] = sum
		}
		sum := 0.0
		for i := range n {
			sum += dot(&w.kb[i][r], &w.kb[i][r])
		}
		k := 1.0
		if sum > 0 {
			k = 1 / math.Sqrt(sum)
		}
		for i := range n {
			x := &w.kb[i][r]
			x[0], x[1], x[2] = k*x[0], k*x[1], k*x[2]
		}
		m[r][r] = k
	}
}

// close adds the column of v.
func (b *border) close(q *[rows]float64, h float64) {
	for r := range rows {
		x := q[r]
		for t := range r {
			x -= b.m[r][t] * b.cross[t]
		}
		x *= b.m[r][r]
		b.cross[r] = x
		h += x * x
	}
	b.pivot = h
}

// solve solves for x and v.
func (b *border) solve(r *[rows]float64, pv float64) {
	m := &b.m
	for k := range rows {
		sum := r[k]
		for t := range k {
			sum -= m[k][t] * b.x[t]
		}
		sum *= m[k][k]
		b.x[k] = sum
		pv -= b.cross[k] * sum
	}
	b.v = pv / b.pivot
	for k := range rows {
		b.x[k] += b.cross[k] * b.v
	}
	b.upper()
}

// shift solves for x alone, v as it is.
func (b *border) shift(r *[rows]float64) {
	for k := range rows {
		sum := r[k]
		for t := range k {
			sum -= b.m[k][t] * b.x[t]
		}
		b.x[k] = sum * b.m[k][k]
	}
	b.upper()
}

// upper solves with the transposed factor.
func (b *border) upper() {
	m := &b.m
	for k := rows - 1; k >= 0; k-- {
		x := b.x[k] * m[k][k]
		b.x[k] = x
		for t := range k {
			b.x[t] -= m[k][t] * x
		}
	}
}
