// SPDX-License-Identifier: MIT

package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/curve"
)

// Drive moves the course with a speed that blends, in C's own axes, from one
// twist to another and then stays: each component follows the cubic of the
// time that begins at W0 with the rate A0 and ends at W1 with the rate 0
// (Hermite). With A0 = 0 it is W0 + (W1-W0)·(3x²−2x³).
type Drive struct {
	Start    Course  // C at From
	From     float64 // s
	Duration float64 // of the blend, 0 for none, s
	W0       Twist
	A0       Twist // rate of W0, m/s², rad/s²
	W1       Twist
}

// blend gives the weights of W0, A0 and W1 in the twist after a time u (s) of
// the blend, in its rate, and in its integral from the start.
func (d *Drive) blend(u float64) (w, rate, sum [3]float64) {
	l := d.Duration
	if u >= l || l <= 0 {
		past := u - max(l, 0)
		l = max(l, 0)
		return [3]float64{0, 0, 1}, [3]float64{}, [3]float64{l / 2, l * l / 12, l/2 + past}
	}
	x := max(0, u/l)
	s, c := x*x*(3-2*x), 6*x*(1-x)/l
	q := l * x * x * x * (1 - x/2) // ∫ 3x²−2x³
	return [3]float64{1 - s, l * x * (1 - x) * (1 - x), s},
		[3]float64{-c, (1 - x) * (1 - 3*x), c},
		[3]float64{l*x - q, l * l * x * x * (0.5 - x*(2./3-x/4)), q}
}

func mixed(k *[3]float64, a, b, c *Twist) Twist {
	return Twist{
		Forward: k[0]*a.Forward + k[1]*b.Forward + k[2]*c.Forward,
		Side:    k[0]*a.Side + k[1]*b.Side + k[2]*c.Side,
		Turn:    k[0]*a.Turn + k[1]*b.Turn + k[2]*c.Turn,
	}
}

// Speed gives the twist at time t and its rate, in C's axes. Before From it
// is W0's.
func (d *Drive) Speed(t float64) (w, rate Twist) {
	k, r, _ := d.blend(max(0, t-d.From))
	return mixed(&k, &d.W0, &d.A0, &d.W1), mixed(&r, &d.W0, &d.A0, &d.W1)
}

// Shares gives what W0 (s), A0 (s²) and W1 (s) contribute to the way of a drive
// after u seconds, in the axes of a C that does not turn.
func (d *Drive) Shares(u float64) [3]float64 {
	_, _, k := d.blend(max(0, u))
	return k
}

// End is the time from which the twist is W1, s.
func (d *Drive) End() float64 { return d.From + max(0, d.Duration) }

// nodes and weights of the Gauss-Legendre rule with eight points on [-1,1]
// (Abramowitz and Stegun, table 25.4): each stands for itself and its mirror.
var (
	gaussNode   = [...]float64{0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363}
	gaussWeight = [...]float64{0.3626837833783620, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763}
)

// CourseAt gives C at time t; before From it goes at W0. The yaw is a
// polynomial of the time. The place is closed where the twist keeps its
// direction in C (straight on, or one steady arc); else the integral of the
// turned speed over the blend by Gauss-Legendre quadrature, in as many equal
// parts as keep the turn in each below 1/2 rad: right to 1e-12 of the
// way as long as it turns by less than 500 rad.
// Singular nowhere. Some 0.4 µs in a blend that turns.
func (d *Drive) CourseAt(t float64) Course {
	u := t - d.From
	if !(u > 0) {
		return d.Start.Along(d.W0, u)
	}
	l := max(0, d.Duration)
	if d.W0 == d.W1 && d.A0 == (Twist{}) || l == 0 {
		return d.Start.Along(d.W1, u)
	}
	if d.W0.Turn == 0 && d.A0.Turn == 0 && d.W1.Turn == 0 {
		_, _, k := d.blend(u)
		s := mixed(&k, &d.W0, &d.A0, &d.W1)
		return d.Start.Along(s, 1)
	}
	if d.A0 == (Twist{}) && (d.W0 == (Twist{}) || d.W1 == (Twist{})) {
		_, _, k := d.blend(u)
		if d.W1 == (Twist{}) {
			return d.Start.Along(d.W0, k[0])
		}
		return d.Start.Along(d.W1, k[2])
	}
	in := min(u, l)
	turn := in * (math.Abs(d.W0.Turn) + l*math.Abs(d.A0.Turn)/4 + math.Abs(d.W1.Turn))
	parts := 1 + int(min(2*turn, 1000))
	half := in / float64(2*parts)
	var x, y float64
	for n := range parts {
		mid := half * float64(2*n+1)
		for i, g := range gaussNode {
			for _, v := range [2]float64{mid - half*g, mid + half*g} {
				k, _, q := d.blend(v)
				sn, cs := math.Sincos(q[0]*d.W0.Turn + q[1]*d.A0.Turn + q[2]*d.W1.Turn)
				w := mixed(&k, &d.W0, &d.A0, &d.W1)
				x += gaussWeight[i] * (cs*w.Forward - sn*w.Side)
				y += gaussWeight[i] * (sn*w.Forward + cs*w.Side)
			}
		}
	}
	_, _, q := d.blend(in)
	c := Course{Yaw: d.Start.Yaw + mixed(&q, &d.W0, &d.A0, &d.W1).Turn}
	p := d.Start.At(r3.Vec{X: half * x, Y: half * y})
	c.X, c.Y = p.X, p.Y
	return c.Along(d.W1, u-in)
}

// Ease goes from a place, with its speed and acceleration, to rest at another
// by the polynomial of the fifth degree of the time (Lynch and Park, Modern
// Robotics, 2017, ch. 9), and stays there.
type Ease struct {
	From     float64 // s
	Duration float64 // 0: at To, whenever, s
	P, V, A  r3.Vec  // at From; by the second, and by its square
	To       r3.Vec
}

// At gives the place at time t, its speed and its acceleration. Before From
// it goes at V.
func (e *Ease) At(t float64) (p, v, a r3.Vec) {
	l := e.Duration
	u := t - e.From
	if !(u < l) || l <= 0 {
		return e.To, v, a
	}
	if u < 0 {
		return r3.Add(e.P, r3.Scale(u, e.V)), e.V, a
	}
	x := u / l
	d := r3.Sub(e.P, e.To)
	p.X, v.X, a.X = quintic(d.X, e.V.X*l, e.A.X*l*l, x)
	p.Y, v.Y, a.Y = quintic(d.Y, e.V.Y*l, e.A.Y*l*l, x)
	p.Z, v.Z, a.Z = quintic(d.Z, e.V.Z*l, e.A.Z*l*l, x)
	return r3.Add(e.To, p), r3.Scale(1/l, v), r3.Scale(1/(l*l), a)
}

// quintic gives the polynomial of x that begins at p with the slope v and the
// second derivative a and ends at 1 with all three 0, and its derivatives.
func quintic(p, v, a, x float64) (y, dy, ddy float64) {
	c2, c3 := a/2, -10*p-6*v-1.5*a
	c4, c5 := 15*p+8*v+1.5*a, -6*p-3*v-a/2
	y = p + x*(v+x*(c2+x*(c3+x*(c4+x*c5))))
	dy = v + x*(2*c2+x*(3*c3+x*(4*c4+x*5*c5)))
	ddy = 2*c2 + x*(6*c3+x*(12*c4+x*20*c5))
	return y, dy, ddy
}

// Bump is a push to one side and back, a raised cosine of the time.
type Bump struct {
	Mid  float64 // s
	Half float64 // half of its width, s
	By   r3.Vec  // at Mid, m
}

// At gives the push at time t, its speed and its acceleration; the latter
// steps at both ends, where half of the step is given.
func (b *Bump) At(t float64) (p, v, a r3.Vec) {
	d := b.Half - math.Abs(t-b.Mid)
	if !(d > -1e-9) || b.Half <= 0 {
		return p, v, a
	}
	k := math.Pi / b.Half
	if d < 1e-9 {
		return p, v, r3.Scale(0.25*k*k, b.By)
	}
	s, c := math.Sincos(k * (t - b.Mid))
	return r3.Scale(0.5+0.5*c, b.By), r3.Scale(-0.5*k*s, b.By), r3.Scale(-0.5*k*k*c, b.By)
}

// Carriage is how a walking body is carried over its course: a shift and a
// lean that ease to where they should be, and a push away from each leg that
// swings.
type Carriage struct {
	Shift Ease   // pCB without the bumps, m
	Lean  Ease   // roll, pitch, yaw of B in C, rad
	Bumps []Bump // added to Shift, C's axes
}

// ShiftAt gives pCB at time t, its speed and its acceleration in C's axes, m.
func (c *Carriage) ShiftAt(t float64) (p, v, a r3.Vec) {
	p, v, a = c.Shift.At(t)
	for i := range c.Bumps {
		q, w, b := c.Bumps[i].At(t)
		p, v, a = r3.Add(p, q), r3.Add(v, w), r3.Add(a, b)
	}
	return p, v, a
}

// Aim leads a swing that is under way to another end: it is added to where
// the foot's spans put it.
type Aim struct {
	From, To float64      // s
	Path     curve.Bezier // followed evenly in time, then held at its end, m
}

// At gives what is added at time t, its speed and its acceleration. Before
// From it goes as it does there.
func (a *Aim) At(t float64) (p, v, acc r3.Vec) {
	x := share(t, a.From, a.To)
	l := a.To - a.From
	switch {
	case l <= 0 || x > 1+1e-9:
		return a.Path.P3, v, acc
	case !(x >= 0):
		v = r3.Scale(1/l, a.Path.Deriv(0))
		return r3.Add(a.Path.P0, r3.Scale(t-a.From, v)), v, acc
	}
	x = min(x, 1)
	return a.Path.At(x), r3.Scale(1/l, a.Path.Deriv(x)), r3.Scale(1/(l*l), a.Path.Deriv2(x))
}

// clock gives the times between which the piece's span is followed.
func (f *FootPiece) clock() (from, to float64) {
	if f.Clock != [2]float64{} {
		return f.Clock[0], f.Clock[1]
	}
	return f.From, f.To
}

// Moving gives where a foot on a path of its own is at time t, its speed and
// its acceleration, in the axes its Hold names.
func (f *FootPiece) Moving(t float64) (p, v, a r3.Vec) {
	m := f.path(t)
	return m.p, m.v, m.a
}

func (f *FootPiece) path(t float64) path {
	from, to := f.clock()
	m := spanAt(&f.Span, t, from, to)
	if f.Aim != nil {
		p, v, a := f.Aim.At(t)
		m.p, m.v, m.a = r3.Add(m.p, p), r3.Add(m.v, v), r3.Add(m.a, a)
	}
	return m
}
