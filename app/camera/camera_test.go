// SPDX-License-Identifier: MIT

package camera

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

var size = image.Pt(1280, 800)

func vec(v r3.Vec) mgl64.Vec3 { return mgl64.Vec3{v.X, v.Y, v.Z} }

// randomCamera keeps off the poles, where the reference's LookAt is undefined.
func randomCamera(r *rand.Rand) Camera {
	return Camera{
		Target:   r3.Vec{X: r.Float64() - 0.5, Y: r.Float64() - 0.5, Z: r.Float64()},
		Yaw:      (r.Float64() - 0.5) * 6,
		Pitch:    (r.Float64() - 0.5) * 3,
		Distance: 0.3 + r.Float64()*3,
		FovY:     0.3 + r.Float64(),
		Flat:     r.IntN(2) == 0,
	}
}

// The reference is the mathgl library's own LookAt, Project and UnProject.
func TestProjectAgainstMathgl(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		c := randomCamera(r)
		f := c.Frame(size)
		view := mgl64.LookAtV(vec(c.Eye()), vec(c.Target), mgl64.Vec3{0, 0, 1})
		proj := c.projection(float64(size.X)/float64(size.Y), f.near)
		p := r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}
		got, depth, ok := f.Project(p)
		eye := mgl64.TransformCoordinate(vec(p), view)
		if wantOK := c.Flat || -eye[2] >= f.near; ok != wantOK {
			t.Fatalf("ok = %v, want %v", ok, wantOK)
		}
		if math.Abs(depth+eye[2]) > 1e-12*(1+math.Abs(depth)) {
			t.Fatalf("depth = %v, want %v", depth, -eye[2])
		}
		if !ok || depth < 0.05 {
			continue
		}
		win := mgl64.Project(vec(p), view, proj, 0, 0, size.X, size.Y)
		want := r2.Vec{X: win[0], Y: float64(size.Y) - win[1]}
		if d := r2.Norm(r2.Sub(got, want)); d > 1e-9*(1+r2.Norm(want)) {
			t.Fatalf("pixel = %v, want %v", got, want)
		}
		from, dir := f.Ray(got)
		// p must lie on the line of sight through its own pixel.
		if d := r3.Norm(r3.Cross(r3.Sub(p, from), dir)); d > 1e-9*(1+r3.Norm(p)) {
			t.Fatalf("ray misses the point by %g m", d)
		}
		if t1 := r3.Dot(r3.Sub(p, from), dir); t1 < 0 {
			t.Fatalf("point lies %g m behind its line of sight", -t1)
		}
	}
}

func TestDragRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	n := 0
	for range 2000 {
		c := randomCamera(r)
		f := c.Frame(size)
		p := r3.Add(c.Target, r3.Vec{X: r.NormFloat64() * 0.1, Y: r.NormFloat64() * 0.1, Z: r.NormFloat64() * 0.1})
		at, _, ok := f.Project(p)
		if !ok {
			continue
		}
		normal := r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}
		if q, ok := f.DragOnPlane(p, normal, at); ok {
			n++
			if d := r3.Norm(r3.Sub(p, q)); d > 1e-9 {
				t.Fatalf("plane round trip is off by %g m", d)
			}
		}
		if q, ok := f.DragOnLine(p, normal, at); ok {
			if d := r3.Norm(r3.Sub(p, q)); d > 1e-9 {
				t.Fatalf("line round trip is off by %g m", d)
			}
		}
		// A moved pixel must stay on the plane and project back.
		to := r2.Add(at, r2.Vec{X: 13, Y: -7})
		if q, ok := f.DragOnPlane(p, normal, to); ok {
			if d := math.Abs(r3.Dot(r3.Sub(q, p), r3.Unit(normal))); d > 1e-9*(1+r3.Norm(q)) {
				t.Fatalf("left the plane by %g m", d)
			}
			if back, _, ok := f.Project(q); ok && r2.Norm(r2.Sub(back, to)) > 1e-6 {
				t.Fatalf("projects to %v, want %v", back, to)
			}
		}
	}
	if n < 1000 {
		t.Fatalf("only %d drags tried", n)
	}
}

func TestDragRefusesEdgeOn(t *testing.T) {
	var c Camera
	c.Look(Front)
	f := c.Frame(size)
	p := r3.Vec{Z: 0.1}
	if q, ok := f.DragOnPlane(p, r3.Vec{Z: 1}, r2.Vec{X: 300, Y: 200}); ok || q != p {
		t.Errorf("got %v, %v on a plane seen edge-on", q, ok)
	}
	if q, ok := f.DragOnLine(p, r3.Vec{X: 1}, r2.Vec{X: 300, Y: 200}); ok || q != p {
		t.Errorf("got %v, %v on a line seen end-on", q, ok)
	}
	if _, ok := f.DragOnPlane(p, r3.Vec{}, r2.Vec{X: 300, Y: 200}); ok {
		t.Error("a zero normal was accepted")
	}
	if _, ok := f.DragOnPlane(p, r3.Vec{X: 1}, r2.Vec{X: math.NaN(), Y: 200}); ok {
		t.Error("a pixel that is no number was accepted")
	}
}

func TestViews(t *testing.T) {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	for _, tc := range []struct {
		view          View
		right, up, to r3.Vec // world axis that points right, up, at the viewer
	}{
		{Front, y, z, x},
		{Back, r3.Scale(-1, y), z, r3.Scale(-1, x)},
		{Left, r3.Scale(-1, x), z, y},
		{Right, x, z, r3.Scale(-1, y)},
		{Above, r3.Scale(-1, y), x, z},
	} {
		t.Run(tc.view.String(), func(t *testing.T) {
			c := Camera{Target: r3.Vec{X: 0.2, Y: -0.1, Z: 0.3}, Distance: 2}
			c.Look(tc.view)
			right, up, out := c.Axes()
			for _, e := range [][2]r3.Vec{{right, tc.right}, {up, tc.up}, {out, tc.to}} {
				if r3.Norm(r3.Sub(e[0], e[1])) > 1e-12 {
					t.Errorf("axis %v, want %v", e[0], e[1])
				}
			}
			if !c.Flat || c.View() != tc.view {
				t.Errorf("View = %v, Flat = %v", c.View(), c.Flat)
			}
			// To scale: equal lengths at any depth give equal pixels.
			f := c.Frame(size)
			for _, depth := range []float64{-3, 0, 5} {
				a := r3.Add(c.Target, r3.Scale(depth, out))
				p, q, ok := f.Segment(a, r3.Add(a, r3.Scale(0.1, right)))
				if !ok || math.Abs(q.X-p.X-0.1*f.Scale(a)) > 1e-9 || math.Abs(q.Y-p.Y) > 1e-9 {
					t.Errorf("depth %g: %v %v ok=%v scale=%v", depth, p, q, ok, f.Scale(a))
				}
			}
		})
	}
	c := Camera{}
	c.Look(Above)
	c.Orbit(1, 0)
	if c.View() != Free {
		t.Errorf("a turned camera calls itself %v", c.View())
	}
}

// Looking straight down and up every axis stays a finite unit vector and the
// picture does not jump.
func TestNoJumpAtThePoles(t *testing.T) {
	for _, pole := range []float64{math.Pi / 2, -math.Pi / 2} {
		c := Camera{Yaw: 0.7, Pitch: pole}
		d := c
		d.Pitch -= math.Copysign(1e-6, pole)
		fc, fd := c.Frame(size), d.Frame(size)
		p := r3.Vec{X: 0.1, Y: 0.05, Z: 0.02}
		a, _, ok1 := fc.Project(p)
		b, _, ok2 := fd.Project(p)
		if !ok1 || !ok2 || r2.Norm(r2.Sub(a, b)) > 1e-2 {
			t.Errorf("pole %g: %v and %v", pole, a, b)
		}
		c.Orbit(0, 1e9)
		if c.Pitch != math.Pi/2 {
			t.Errorf("pitch = %v", c.Pitch)
		}
	}
}

// A segment through the eye is cut, not dropped and not mirrored: every pixel
// of it must lie on the same side as its part in front.
func TestSegmentBehindTheEye(t *testing.T) {
	c := Camera{Distance: 1}
	f := c.Frame(size) // eye at x = 1, looking along -x, right is +y
	a := r3.Vec{X: 0, Y: 0.1, Z: -0.2}
	b := r3.Vec{X: 2, Y: 0.1, Z: -0.2}
	p, q, ok := f.Segment(a, b)
	want, _, _ := f.Project(a)
	if !ok || r2.Norm(r2.Sub(p, want)) > 1e-9 {
		t.Fatalf("front end %v, want %v", p, want)
	}
	// Towards the eye the line runs away from the vanishing point (640, 400).
	if q.X < p.X || q.Y < p.Y {
		t.Errorf("cut end %v lies on the wrong side of %v", q, p)
	}
	p2, q2, ok := f.Segment(b, a)
	if !ok || p2 != q || q2 != p {
		t.Errorf("turned segment gives %v %v, want %v %v", p2, q2, q, p)
	}
	if _, _, ok := f.Segment(b, r3.Vec{X: 3, Y: 1}); ok {
		t.Error("a segment behind the eye was drawn")
	}
	if _, _, ok := f.Segment(a, r3.Vec{X: math.NaN()}); ok {
		t.Error("a segment that is no number was drawn")
	}
	poly := f.Polygon(nil, []r3.Vec{{X: 0, Y: -1}, {X: 0, Y: 1}, {X: 3, Y: 1}, {X: 3, Y: -1}})
	if len(poly) != 4 {
		t.Errorf("cut polygon has %d corners, want 4", len(poly))
	}
}

func TestZoomKeepsTheCursor(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 500 {
		c := randomCamera(r)
		at := r2.Vec{X: r.Float64() * 1280, Y: r.Float64() * 800}
		f := c.Frame(size)
		_, _, out := c.Axes()
		p, ok := f.DragOnPlane(c.Target, out, at)
		if !ok {
			t.Fatal("no point under the cursor")
		}
		c.Zoom(math.Exp(r.NormFloat64()*0.5), at.X, at.Y, size)
		f = c.Frame(size)
		if got, _, _ := f.Project(p); r2.Norm(r2.Sub(got, at)) > 1e-6 {
			t.Fatalf("point moved from %v to %v", at, got)
		}
	}
	c := Camera{}
	for _, factor := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if d := c; true {
			d.Zoom(factor, 1, 1, size)
			if d != c {
				t.Errorf("factor %v changed the camera", factor)
			}
		}
	}
}

func TestPanFollowsThePointer(t *testing.T) {
	for _, flat := range []bool{false, true} {
		c := Camera{Yaw: 1, Pitch: 0.5, Distance: 1.5, Flat: flat}
		p := c.Target
		c.Pan(30, -20, size)
		f := c.Frame(size)
		got, _, _ := f.Project(p)
		if want := (r2.Vec{X: 670, Y: 380}); r2.Norm(r2.Sub(got, want)) > 1e-9 {
			t.Errorf("flat=%v: %v, want %v", flat, got, want)
		}
	}
}

// After Fit every corner lies within the margin and at least two opposite
// sides (or left and right) are touched.
func TestFit(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 1000 {
		c := randomCamera(r)
		lo := r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}
		hi := r3.Add(lo, r3.Vec{X: r.Float64(), Y: r.Float64(), Z: r.Float64()})
		const margin = 24
		if !c.Fit(lo, hi, size, margin) {
			t.Fatal("not fitted")
		}
		f := c.Frame(size)
		x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
		for i := range 8 {
			p, _, ok := f.Project(corner(lo, hi, i))
			if !ok {
				t.Fatal("corner behind the eye")
			}
			x0, x1 = min(x0, p.X), max(x1, p.X)
			y0, y1 = min(y0, p.Y), max(y1, p.Y)
		}
		if x0 < margin-1e-6 || y0 < margin-1e-6 || x1 > 1280-margin+1e-6 || y1 > 800-margin+1e-6 {
			t.Fatalf("box %g %g %g %g leaves the margin (flat %v)", x0, y0, x1, y1, c.Flat)
		}
		wide := x0 < margin+1e-6 && x1 > 1280-margin-1e-6
		high := y0 < margin+1e-6 && y1 > 800-margin-1e-6
		if !wide && !high {
			t.Fatalf("box %g %g %g %g fills neither direction", x0, y0, x1, y1)
		}
	}
	c := Camera{}
	for _, b := range [][2]r3.Vec{{{}, {}}, {{X: 1}, {}}, {{X: math.NaN()}, {X: 1}}, {{}, {X: math.Inf(1)}}} {
		if c.Fit(b[0], b[1], size, 0) || c != (Camera{}) {
			t.Errorf("box %v was accepted: %+v", b, c)
		}
	}
}

// Both projections show the plane through the target at one scale.
func TestProjectionsAgreeAtTheTarget(t *testing.T) {
	c := Camera{Yaw: 0.3, Pitch: 0.2, Distance: 0.8}
	d := c
	d.Flat = true
	right, up, _ := c.Axes()
	p := r3.Add(r3.Scale(0.1, right), r3.Scale(0.07, up))
	fc, fd := c.Frame(size), d.Frame(size)
	a, _, _ := fc.Project(p)
	b, _, _ := fd.Project(p)
	if r2.Norm(r2.Sub(a, b)) > 1e-9 {
		t.Errorf("perspective %v, parallel %v", a, b)
	}
}

func BenchmarkProject1000(b *testing.B) {
	f := Camera{Yaw: 0.7, Pitch: 0.4, Distance: 1.2}.Frame(size)
	b.ReportAllocs()
	for b.Loop() {
		for i := range 1000 {
			f.Project(r3.Vec{X: float64(i) * 1e-4, Y: 0.05, Z: 0.12})
		}
	}
}
