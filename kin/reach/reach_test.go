// SPDX-License-Identifier: MIT

package reach

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

var all = kin.Range{Lo: -math.Pi, Hi: math.Pi}

// free is a leg whose joints turn all round.
func free() *kin.Leg {
	return &kin.Leg{Length: [kin.Joints]float64{0.04, 0.07, 0.12}, Limits: [kin.Joints]kin.Range{all, all, all}}
}

// upright is the leg's own plane, level a sheet at a height over the femur axis.
func upright() Sheet        { return Sheet{U: r3.Vec{X: 1}, V: r3.Vec{Z: 1}} }
func level(z float64) Sheet { return Sheet{P: r3.Vec{Z: z}, U: r3.Vec{X: 1}, V: r3.Vec{Y: 1}} }

// area is the area between the lines: holes run the other way round (shoelace
// formula).
func area(o *Outline) (sum float64) {
	for i := range o.Len() {
		p := o.Line(i)
		for j := range p {
			sum += r2.Cross(p[j], p[(j+1)%len(p)]) / 2
		}
	}
	return sum
}

// within counts how often the lines go round p: even and odd.
func within(o *Outline, p r2.Vec) (in bool) {
	for i := range o.Len() {
		l := o.Line(i)
		for j := range l {
			a, b := l[j], l[(j+1)%len(l)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
		}
	}
	return in
}

// The workspace of a two-link planar arm is the annulus between the difference
// and the sum of its links (textbook: Lynch and Park, Modern Robotics, 2017,
// example in ch. 4 and fig. 2.12; Craig, Introduction to Robotics, ch. 4).
func TestTwoLinkAnnulus(t *testing.T) {
	const f, k = 0.07, 0.12
	for _, tt := range []struct {
		name      string
		coxa      float64
		s         Sheet
		near, far float64
	}{
		{"in the leg's plane", 0, upright(), k - f, k + f},
		{"level through the femur axis", 0.04, level(0), 0.04 + k - f, 0.04 + k + f},
		// At the height z the annulus of the plane is cut at √(r²-z²), and the
		// coxa carries that round.
		{"level, 20 mm above", 0.04, level(0.02), 0.04 + math.Sqrt((k-f)*(k-f)-0.02*0.02), 0.04 + math.Sqrt((k+f)*(k+f)-0.02*0.02)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := free()
			l.Length[kin.Coxa] = tt.coxa
			var o Outline
			o.Trace(Of(l), tt.s, r2.Vec{X: -0.3, Y: -0.3}, r2.Vec{X: 0.3, Y: 0.3}, 120, 120)
			if o.Len() != 2 {
				t.Fatalf("%d lines, want the outer and the inner one", o.Len())
			}
			for i := range o.Len() {
				for _, p := range o.Line(i) {
					if r := r2.Norm(p); math.Abs(r-tt.far) > 1e-5 && math.Abs(r-tt.near) > 1e-5 {
						t.Fatalf("line %d passes %v, %v m from the middle, want %v or %v", i, p, r, tt.near, tt.far)
					}
				}
			}
			if got, want := area(&o), math.Pi*(tt.far*tt.far-tt.near*tt.near); math.Abs(got-want) > 1e-3*want {
				t.Errorf("area %v m², want %v", got, want)
			}
		})
	}
}

// A limit of the tibia is a circle about the femur axis, by the law of
// cosines; one of the coxa a ray from its axis.
func TestLimitsAreCircleAndRay(t *testing.T) {
	l := free()
	l.Limits[kin.Tibia] = kin.Range{Lo: -2, Hi: -0.5}
	l.Limits[kin.Coxa] = kin.Range{Lo: -0.6, Hi: 1}
	f, k := l.Length[kin.Femur], l.Length[kin.Tibia]
	at := func(q float64) float64 { return l.Length[kin.Coxa] + math.Sqrt(f*f+k*k+2*f*k*math.Cos(q)) }
	near, far := at(-2), at(-0.5)
	var o Outline
	o.Trace(Of(l), level(0), r2.Vec{X: -0.3, Y: -0.3}, r2.Vec{X: 0.3, Y: 0.3}, 150, 150)
	if o.Len() != 1 {
		t.Fatalf("%d lines, want 1", o.Len())
	}
	for _, p := range o.Line(0) {
		r, a := r2.Norm(p), math.Atan2(p.Y, p.X)
		if min(math.Abs(r-near), math.Abs(r-far), r*math.Abs(a+0.6), r*math.Abs(a-1)) > 1e-5 {
			t.Fatalf("passes %v: radius %v of %v to %v, angle %v", p, r, near, far, a)
		}
	}
	if got, want := area(&o), 1.6/2*(far*far-near*near); math.Abs(got-want) > 2e-3*want {
		t.Errorf("area %v m², want %v", got, want)
	}
}

func randomLeg(rnd *rand.Rand) *kin.Leg {
	span := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	l := &kin.Leg{
		Length:   [kin.Joints]float64{span(0, 0.06), span(0.04, 0.1), span(0.04, 0.15)},
		Vertical: span(-0.02, 0.02),
	}
	if rnd.IntN(2) == 0 {
		l.Lateral = span(-0.02, 0.02)
	}
	if rnd.IntN(2) == 0 {
		l.Knee = kin.KneeDown
	}
	for j := range l.Limits {
		mid, half := span(-1, 1), span(0.2, 2)
		if rnd.IntN(8) == 0 {
			half = math.Pi
		}
		l.Limits[j] = kin.Range{Lo: mid - half, Hi: mid + half}
	}
	return l
}

// solved is the slow way: solve the leg and look at every joint.
func solved(l *kin.Leg, p r3.Vec) bool {
	s := l.Solve(p)
	if s.Status == kin.Missed {
		return false
	}
	for j, r := range l.Limits {
		if r.Outside(s.Q[j]) > 0 && r.Hi-r.Lo < 2*math.Pi {
			return false
		}
	}
	return true
}

func TestRoomAgainstSolve(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 7))
	in, out := 0, 0
	for range 400 {
		l := randomLeg(rnd)
		b := Of(l)
		for range 200 {
			p := r3.Vec{X: rnd.Float64()*0.6 - 0.3, Y: rnd.Float64()*0.6 - 0.3, Z: rnd.Float64()*0.6 - 0.3}
			room := b.Room(p)
			if math.Abs(room) < 1e-9 {
				continue
			}
			want := solved(l, p)
			if want {
				in++
			} else {
				out++
			}
			if (room > 0) != want {
				t.Fatalf("leg %+v: room %v at %v, solved %v: %+v", l, room, p, want, l.Solve(p))
			}
		}
	}
	if in < 1000 || out < 1000 {
		t.Errorf("%d points inside and %d outside are too few to tell", in, out)
	}
}

// The lines against the leg solved at random points of random sheets. Within a
// cell of a line they may differ, and only there.
func TestOutlineAgainstSolve(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 5))
	unit := func() r3.Vec {
		return r3.Unit(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()})
	}
	const cells, box = 80, 0.3
	const cell = 2 * box / cells
	var o Outline
	in, out, near := 0, 0, 0
	for range 150 {
		l := randomLeg(rnd)
		b := Of(l)
		s := Sheet{P: r3.Scale(0.1*rnd.Float64(), unit()), U: unit()}
		s.V = r3.Unit(r3.Cross(s.U, unit()))
		o.Trace(b, s, r2.Vec{X: -box, Y: -box}, r2.Vec{X: box, Y: box}, cells, cells)
		for range 300 {
			p := r2.Vec{X: (rnd.Float64()*2 - 1) * box, Y: (rnd.Float64()*2 - 1) * box}
			want := solved(l, s.At(p))
			if got := within(&o, p); got != want {
				if near++; !mixed(&b, &s, p, cell) {
					t.Fatalf("leg %+v, sheet %+v: line says %v at %v, solved %v", l, s, got, p, want)
				}
			} else if want {
				in++
			} else {
				out++
			}
		}
	}
	t.Logf("%d inside, %d outside, %d differ within a cell of the edge", in, out, near)
	if in < 1000 || out < 1000 || near > (in+out)/100 {
		t.Errorf("%d inside, %d outside, %d differ", in, out, near)
	}
}

// mixed tells whether an edge passes within a cell of p: points about it that
// the foot can and cannot reach.
func mixed(b *Limb, s *Sheet, p r2.Vec, cell float64) bool {
	yes, no := false, false
	for i := range 41 {
		for j := range 41 {
			q := r2.Add(p, r2.Vec{X: cell * float64(i-20) / 20, Y: cell * float64(j-20) / 20})
			if b.Room(s.At(q)) > 0 {
				yes = true
			} else {
				no = true
			}
		}
	}
	return yes && no
}

// Where the region goes on beyond the box, its line follows the box.
func TestBoxInside(t *testing.T) {
	l := free()
	lo, hi := r2.Vec{X: 0.12, Y: -0.01}, r2.Vec{X: 0.15, Y: 0.02}
	var o Outline
	o.Trace(Of(l), level(0), lo, hi, 7, 9)
	if o.Len() != 1 || math.Abs(area(&o)-0.03*0.03) > 1e-12 {
		t.Errorf("%d lines, area %v, want the whole box", o.Len(), area(&o))
	}
	for _, bad := range []r2.Vec{lo, {X: math.NaN(), Y: 1}, {X: math.Inf(1), Y: 1}, {}} {
		if o.Trace(Of(l), level(0), lo, bad, 7, 9); o.Len() != 0 {
			t.Errorf("%d lines in the box up to %v", o.Len(), bad)
		}
	}
	if o.Trace(Of(l), level(1), r2.Vec{X: -1, Y: -1}, r2.Vec{X: 1, Y: 1}, 20, 20); o.Len() != 0 {
		t.Errorf("%d lines out of reach", o.Len())
	}
}

func TestTraceDoesNotAllocate(t *testing.T) {
	l := free()
	var o Outline
	run := func() {
		o.Trace(Of(l), upright(), r2.Vec{X: -0.3, Y: -0.3}, r2.Vec{X: 0.3, Y: 0.3}, 40, 30)
	}
	run()
	if n := testing.AllocsPerRun(20, run); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// BenchmarkTrace is the region of a plate of 240 by 190 px in cells of 6 px.
func BenchmarkTrace(b *testing.B) {
	l := free()
	l.Limits = [kin.Joints]kin.Range{{Lo: -1.1, Hi: 1.1}, {Lo: -1.4, Hi: 1.6}, {Lo: -2.6, Hi: 0.2}}
	for name, s := range map[string]Sheet{"upright": upright(), "level": level(-0.06)} {
		b.Run(name, func(b *testing.B) {
			var o Outline
			b.ReportAllocs()
			for b.Loop() {
				o.Trace(Of(l), s, r2.Vec{X: -0.25, Y: -0.2}, r2.Vec{X: 0.25, Y: 0.2}, 40, 32)
			}
		})
	}
}
