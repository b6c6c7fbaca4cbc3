// SPDX-License-Identifier: MIT

package weigh

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

const g = 9.80665 // m/s², standard gravity

// table is a robot with feet at given points and legs without weight.
func table(feet ...r3.Vec) *workfile.Built {
	b := &workfile.Built{Height: 0.09}
	b.Robot = kin.Robot{Name: "table", Gravity: g, Body: kin.Body{Mass: 1, COM: r3.Vec{Z: 0.004}, Outline: square(0.1)}}
	for i, p := range feet {
		l := kin.Leg{
			Name: fmt.Sprintf("L%d", i+1), Mirror: -1, PBH: r3.Scale(0.4, p), Heading: math.Atan2(p.Y, p.X),
			Length: [kin.Joints]float64{0.01, 0.09, 0.12}, Stand: p, FootRadius: 0.006,
		}
		for j := range l.Limits {
			l.Limits[j] = kin.Range{Lo: -math.Pi, Hi: math.Pi}
		}
		b.Robot.Legs = append(b.Robot.Legs, l)
	}
	return b
}

func square(a float64) []r3.Vec {
	return []r3.Vec{{X: a, Y: a}, {X: -a, Y: a}, {X: -a, Y: -a}, {X: a, Y: -a}}
}

// on gives readings (kg) in the order of legs.
func on(b *workfile.Built, kg ...float64) []Reading {
	var out []Reading
	for i, v := range kg {
		out = append(out, Reading{b.Robot.Legs[i].Name, v})
	}
	return out
}

func xy(x, y float64) r3.Vec { return r3.Vec{X: x, Y: y} }

// Vertical forces that carry W = 19.6133 N with the centre of mass at a given
// point, found by an exact active-set method and by SciPy's SLSQP (Klein and
// Kittivatcharapong, IEEE Trans. Robotics and Automation 6(1), 1990, for the
// least-norm distribution). Weighing goes the other way.
func TestPublishedDistributions(t *testing.T) {
	rectangle := []r3.Vec{xy(0.15, 0.10), xy(0.15, -0.10), xy(-0.15, -0.10), xy(-0.15, 0.10)}
	tripod := []r3.Vec{xy(0.12, 0.10), xy(0, -0.13), xy(-0.12, 0.10)}
	hexapod := []r3.Vec{xy(0.12, 0.10), xy(0, 0.13), xy(-0.12, 0.10), xy(-0.12, -0.10), xy(0, -0.13), xy(0.12, -0.10)}
	for _, c := range []struct {
		feet   []r3.Vec
		com    r3.Vec
		forces []float64 // N
	}{
		{rectangle, xy(0, 0), []float64{4.903325, 4.903325, 4.903325, 4.903325}},
		{rectangle, xy(0.05, 0.02), []float64{7.518431666666666, 5.557101666666666, 2.2882183333333335, 4.249548333333333}},
		{rectangle, xy(0.10, 0.05), []float64{11.441091666666667, 4.903325, 0, 3.268883333333335}},
		{rectangle, xy(0.14, 0.09), []float64{17.97885833333333, 0.980665, 0, 0.6537766666666656}},
		{tripod, xy(0, 0), []float64{5.542889130434782, 8.527521739130433, 5.542889130434782}},
		{tripod, xy(0.06, 0), []float64{10.44621413043478, 8.527521739130433, 0.639564130434783}},
		{hexapod, xy(0, 0), []float64{3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333, 3.268883333333333}},
		{hexapod, xy(0.03, 0.02), []float64{5.026240328590785, 3.9598668021680217, 2.574577828590786, 1.511526338075881, 2.5778998644986446, 3.9631888380758804}},
		{hexapod, xy(0.09, 0), []float64{7.3549875, 2.4516625, 0, 0, 2.4516625, 7.3549875}},
		{hexapod, xy(0.11, 0.05), []float64{12.830367083333332, 1.6344416666666661, 0, 0, 0, 5.148491249999999}},
	} {
		feet := c.feet
		if len(feet) < kin.MinLegs { // a leg that is lifted clear
			feet = append(feet[:len(feet):len(feet)], xy(0.02, 0.15))
		}
		b := table(feet...)
		kg := make([]float64, len(feet))
		for i, f := range c.forces {
			kg[i] = f / g
		}
		r, err := Work(b, on(b, kg...), nil)
		if err != nil {
			t.Errorf("%v: %v", c.com, err)
			continue
		}
		if math.Abs(r.Body-2) > 1e-12 || math.Hypot(r.Centre.X-c.com.X, r.Centre.Y-c.com.Y) > 1e-13 || r.Centre.Z != 0.004 || r.Height {
			t.Errorf("body %v kg at %v, want 2 kg at %v", r.Body, r.Centre, c.com)
		}
	}
}

// A loaded car on a slope, textbook statics: with the wheelbase a+b, the
// centre of mass a behind the front axle and h above the road, nose down by
// alpha, the front axle carries W(b cos(alpha) + h sin(alpha))/(a+b) along the
// normal, the rear one W(a cos(alpha) - h sin(alpha))/(a+b). Two people on a
// seesaw of the same length are the case alpha = 0.
func TestSlopeOfACar(t *testing.T) {
	const front, rear, a, h, m = 0.15, -0.13, 0.09, 0.11, 3.2
	const base, b = front - rear, front - rear - a
	built := table(xy(front, 0.1), xy(front, -0.1), xy(rear, -0.1), xy(rear, 0.1))
	axles := func(alpha float64) []Reading {
		sn, cs := math.Sincos(alpha)
		f, r := m*(b*cs+h*sn)/base, m*(a*cs-h*sn)/base
		return on(built, f/2, f/2, r/2, r/2)
	}
	for _, deg := range []float64{3, -3, 10, -10, 25} {
		alpha := deg * math.Pi / 180
		r, err := Work(built, axles(0), &Tilt{Pitch: alpha, Readings: axles(alpha)})
		if err != nil {
			t.Errorf("%v°: %v", deg, err)
			continue
		}
		want := r3.Vec{X: front - a, Z: h - built.Height}
		if r3.Norm(r3.Sub(r.Centre, want)) > 1e-12 || r3.Norm(r3.Sub(r.Whole, want)) > 1e-12 || !r.Height {
			t.Errorf("%v°: %v, want %v", deg, r.Centre, want)
		}
	}
}

// slowParts sums links, servos and payload one by one: mass, kg, and first
// moment about B, kg·m.
func slowParts(b *workfile.Built, q [][kin.Joints]float64) (m float64, h r3.Vec) {
	add := func(kg float64, p r3.Vec) { m += kg; h = r3.Add(h, r3.Scale(kg, p)) }
	add(b.Robot.Payload.Mass, b.Robot.Payload.COM)
	for i := range b.Robot.Legs {
		l := &b.Robot.Legs[i]
		hip := kin.Pose{P: l.PBH, R: kin.RPY(0, 0, l.Heading)}
		coxa := hip.Dot(kin.Pose{R: kin.RPY(0, 0, q[i][kin.Coxa])})
		femur := coxa.Dot(kin.Pose{P: r3.Vec{X: l.Length[kin.Coxa], Y: l.Lateral, Z: l.Vertical}, R: kin.RPY(0, -q[i][kin.Femur], 0)})
		tibia := femur.Dot(kin.Pose{P: r3.Vec{X: l.Length[kin.Femur]}, R: kin.RPY(0, -q[i][kin.Tibia], 0)})
		for j, x := range []kin.Pose{coxa, femur, tibia} {
			add(l.Links[j].Mass, x.At(l.Links[j].COM))
			add(l.Servos[j].Mass, x.P)
		}
	}
	return m, h
}

// shared gives the force on each foot, of those that carry, which balance the
// weight of the robot on a tilted board: the least-norm solution of the six
// equations of statics in space, plus a random share of internal forces, as
// feet with friction may have them.
func shared(rng *rand.Rand, feet []r3.Vec, down []int, com r3.Vec, m float64, rot kin.Rot, internal float64) []r3.Vec {
	n := 3 * len(down)
	a := mat.NewDense(6, n, nil)
	for c, i := range down {
		p := r3.Sub(rot.Mul(feet[i]), rot.Mul(com))
		for k := range 3 {
			e := [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}[k]
			x := r3.Cross(p, e)
			for row, v := range []float64{e.X, e.Y, e.Z, x.X, x.Y, x.Z} {
				a.Set(row, 3*c+k, v)
			}
		}
	}
	z := mat.NewVecDense(n, nil)
	for i := range n {
		z.SetVec(i, internal*rng.NormFloat64())
	}
	// f = z + A⁺(w - A z)
	var az, f mat.VecDense
	az.MulVec(a, z)
	w := mat.NewVecDense(6, []float64{0, 0, m * g, 0, 0, 0})
	w.SubVec(w, &az)
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		panic("weigh: no singular values")
	}
	svd.SolveVecTo(&f, w, svd.Rank(1e-12))
	f.AddVec(&f, z)
	out := make([]r3.Vec, len(feet))
	for c, i := range down {
		out[i] = r3.Vec{X: f.AtVec(3 * c), Y: f.AtVec(3*c + 1), Z: f.AtVec(3*c + 2)}
	}
	return out
}

// Robots with random masses, weighed by statics in space: what comes out is
// the body that went in, however the feet share the weight and whatever they
// do to each other along the board.
func TestRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 17))
	for name, text := range map[string][]byte{"demo": assets.Demo, "walker": assets.Walker, "new": assets.New} {
		f, err := workfile.Read(name, text)
		if err != nil {
			t.Fatal(err)
		}
		done := 0
		for range 400 {
			b, err := f.Build()
			if err != nil {
				t.Fatal(err)
			}
			r := &b.Robot
			vary := func() float64 { return rng.Float64()*2 - 1 }
			r.Body.Mass = 0.6 + rng.Float64()*2
			r.Body.COM = r3.Vec{X: 0.02 * vary(), Y: 0.02 * vary(), Z: 0.03 * vary()}
			r.Payload = kin.Link{Mass: 0.3 * rng.Float64(), COM: r3.Vec{X: 0.02 * vary(), Y: 0.02 * vary(), Z: 0.05}}
			var q [][kin.Joints]float64
			var feet []r3.Vec
			for i := range r.Legs {
				l := &r.Legs[i]
				for j := range kin.Joints {
					l.Links[j].Mass, l.Servos[j].Mass = 0.06*rng.Float64(), 0.07*rng.Float64()
					l.Links[j].COM = r3.Vec{X: 0.05 * rng.Float64(), Y: 0.01 * vary(), Z: 0.01 * vary()}
				}
				p := r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius - b.Height}
				x := l.XBH()
				q = append(q, l.Solve(x.Into(p)).Q)
				feet = append(feet, r3.Vec{X: p.X, Y: p.Y, Z: -b.Height}) // where the ball touches
			}
			m, h := slowParts(b, q)
			total := m + r.Body.Mass
			com := r3.Scale(1/total, r3.Add(h, r3.Scale(r.Body.Mass, r.Body.COM)))

			var down []int
			for i := range feet {
				if len(feet) == 4 || i != done%7 { // one leg of six may be lifted
					down = append(down, i)
				}
			}
			tilt := Tilt{Pitch: (0.14 + 0.2*rng.Float64()) * math.Copysign(1, vary())}
			if done%2 == 1 {
				tilt.Pitch, tilt.Roll = 0, tilt.Pitch
			}
			level, pulls := scales(rng, r, feet, down, com, total, 0, 0)
			var also bool
			tilt.Readings, also = scales(rng, r, feet, down, com, total, tilt.Pitch, tilt.Roll)
			if pulls || also {
				continue // would tip over
			}
			done++
			want := *r
			r.Body.Mass, r.Body.COM = 9, r3.Vec{X: 9, Y: 9, Z: 9} // not to be looked at
			got, err := Work(b, level, &tilt)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if math.Abs(got.Body-want.Body.Mass) > 1e-12 || r3.Norm(r3.Sub(got.Centre, want.Body.COM)) > 1e-10 {
				t.Fatalf("%s: body %v kg at %v, want %v kg at %v", name, got.Body, got.Centre, want.Body.Mass, want.Body.COM)
			}
			if r3.Norm(r3.Sub(got.Whole, com)) > 1e-10 || math.Abs(got.Links+got.Servos+got.Payload-m) > 1e-12 {
				t.Fatalf("%s: everything at %v, want %v", name, got.Whole, com)
			}
			flat, err := Work(b, level, nil)
			if err != nil || math.Hypot(flat.Centre.X-want.Body.COM.X, flat.Centre.Y-want.Body.COM.Y) > 1e-10 || flat.Centre.Z != 9 {
				t.Fatalf("%s: level only: %v, %v", name, flat, err)
			}
		}
		if done < 100 {
			t.Errorf("%s: only %d robots stood", name, done)
		}
	}
}

// scales gives the readings along the normal of a board, and whether a foot
// would have to pull.
func scales(rng *rand.Rand, r *kin.Robot, feet []r3.Vec, down []int, com r3.Vec, m, pitch, roll float64) (out []Reading, pulls bool) {
	rot := kin.RPY(roll, pitch, 0)
	stands := make([]bool, len(feet))
	for _, i := range down {
		stands[i] = true
	}
	for i, f := range shared(rng, feet, down, com, m, rot, 1) {
		n := rot.TMul(f).Z / g
		pulls = pulls || stands[i] && n < 1e-3
		out = append(out, Reading{r.Legs[i].Name, max(0, n)})
	}
	return out, pulls
}

// A reading that is off by d moves the centre of a body of mass m at c
// towards the foot p by d(p-c)/(m+d).
func TestDoubt(t *testing.T) {
	b := table(xy(0.15, 0.10), xy(0.15, -0.10), xy(-0.15, -0.10), xy(-0.15, 0.10))
	r, err := Work(b, on(b, 0.6, 0.5, 0.4, 0.5), nil)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for i := range b.Robot.Legs {
		p := b.Robot.Legs[i].Stand
		want = max(want, Slip*math.Hypot(p.X-r.Centre.X, p.Y-r.Centre.Y)/(r.Body-Slip))
	}
	if math.Abs(r.Doubt-want) > 1e-15 {
		t.Errorf("doubt %v m, want %v", r.Doubt, want)
	}
	// Against tilt, from h = (x'-x)/tan(a): dh/da = -h/(sin a cos a).
	tilt := &Tilt{Pitch: 0.2, Readings: on(b, 0.7*math.Cos(0.2), 0.6*math.Cos(0.2), 0.3*math.Cos(0.2), 0.4*math.Cos(0.2))}
	r, err = Work(b, on(b, 0.6, 0.5, 0.4, 0.5), tilt)
	if err != nil {
		t.Fatal(err)
	}
	h := r.Whole.Z + b.Height
	if want := h / (math.Sin(0.2) * math.Cos(0.2)) * math.Pi / 180; math.Abs(r.DoubtAngle-want) > 0.12*want {
		t.Errorf("a degree moves z by %v m, to first order %v", r.DoubtAngle, want)
	}
	if !(r.DoubtHeight > 5*Slip*0.1/2 && r.DoubtHeight < blur) {
		t.Errorf("doubt of z %v m", r.DoubtHeight)
	}
	for _, word := range []string{"5 g", " mm in z", "one degree"} {
		if !strings.Contains(r.Sure(), word) {
			t.Errorf("%q lacks %q", r.Sure(), word)
		}
	}
}

func TestFaults(t *testing.T) {
	b := table(xy(0.15, 0.10), xy(0.15, -0.10), xy(-0.15, -0.10), xy(-0.15, 0.10))
	good := on(b, 0.5, 0.5, 0.5, 0.5)
	heavy := *b
	heavy.Robot.Legs = append([]kin.Leg(nil), b.Robot.Legs...)
	for i := range heavy.Robot.Legs {
		heavy.Robot.Legs[i].Links[kin.Femur].Mass = 0.3
		heavy.Robot.Legs[i].Servos[kin.Coxa].Mass = 0.2
	}
	far, stiff := *b, *b
	far.Robot.Legs = append([]kin.Leg(nil), b.Robot.Legs...)
	far.Robot.Legs[2].Stand = xy(-3, 0)
	stiff.Robot.Legs = append([]kin.Leg(nil), b.Robot.Legs...)
	stiff.Robot.Legs[1].Limits[kin.Femur] = kin.Range{Lo: -0.1, Hi: -0.05}
	leaning := func(by float64) []Reading {
		var out []Reading
		for i, r := range good {
			d := by
			if i > 1 {
				d = -by
			}
			out = append(out, Reading{r.Leg, (r.Mass + d) * math.Cos(0.2)})
		}
		return out
	}
	for _, c := range []struct {
		name  string
		b     *workfile.Built
		level []Reading
		tilt  *Tilt
		leg   string
		says  []string
	}{
		{"unknown leg", b, append(good[:3:3], Reading{"LX", 0.5}), nil, "LX", []string{"no such leg", "L1, L2, L3 and L4"}},
		{"missing", b, good[:3], nil, "", []string{"no reading for L4", "0 for a foot"}},
		{"two missing", b, good[:2], nil, "", []string{"L3 and L4"}},
		{"twice", b, append(good[:4:4], good[0]), nil, "L1", []string{"twice"}},
		{"not a number", b, on(b, math.NaN(), 1, 1, 1), nil, "L1", []string{"not a number"}},
		{"infinite", b, on(b, 1, math.Inf(1), 1, 1), nil, "L2", []string{"not a number"}},
		{"negative", b, on(b, 1, -0.0831, 1, 1), nil, "L2", []string{"-83.1 g", "negative", "zero"}},
		{"absurd", b, on(b, 1, 412, 1, 1), nil, "L2", []string{"412000 g", "100000 g", "give grams"}},
		{"absurd together", b, on(b, 90, 90, 1, 1), nil, "", []string{"182000 g"}},
		{"on two feet", b, on(b, 1, 0, 1, 0), nil, "", []string{"only 2 above 0", "3 feet"}},
		{"too light", &heavy, good, nil, "", []string{"2000 g", "leaves 0 g", "links weigh 1200 g", "servos 800 g", "payload 0 g"}},
		{"out of reach", &far, good, nil, "L3", []string{"misses", "stand_mm"}},
		{"out of range", &stiff, good, nil, "L2", []string{"femur", "outside its range"}},
		{"tilted both ways", b, good, &Tilt{Pitch: 0.1, Roll: 0.1, Readings: good}, "", []string{"one axis"}},
		{"not tilted", b, good, &Tilt{Readings: good}, "", []string{"tilt of 0°", "3° to 30°"}},
		{"hardly tilted", b, good, &Tilt{Pitch: 0.03, Readings: good}, "", []string{"1.72°"}},
		{"steep", b, good, &Tilt{Roll: -0.8, Readings: good}, "", []string{"45.8°", "no foot slides"}},
		{"no angle", b, good, &Tilt{Pitch: math.NaN(), Readings: good}, "", []string{"3° to 30°"}},
		{"level scales", b, good, &Tilt{Pitch: 0.2, Readings: good}, "", []string{"2000 g", "1960.1 g", "lies level"}},
		{"tilted missing", b, good, &Tilt{Pitch: 0.2, Readings: good[:3]}, "", []string{"no reading for L4"}},
		{"wrong sign", b, good, &Tilt{Pitch: -0.2, Readings: leaning(0.05)}, "", []string{"below the ground", "sign"}},
	} {
		r, err := Work(c.b, c.level, c.tilt)
		var f *Fault
		if !errors.As(err, &f) {
			t.Errorf("%s: %+v, %v", c.name, r, err)
			continue
		}
		if f.Leg != c.leg || f.Tilted != (c.tilt != nil) || !strings.HasPrefix(err.Error(), "weigh: ") || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: at %q: %v", c.name, f.Place(), err)
		}
		for _, s := range c.says {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%s: %q does not say %q", c.name, err, s)
			}
		}
	}

	// A light body under heavy legs: the height drowns.
	light := *b
	light.Robot.Legs = append([]kin.Leg(nil), b.Robot.Legs...)
	for i := range light.Robot.Legs {
		light.Robot.Legs[i].Links[kin.Tibia].Mass = 0.495
	}
	if _, err := Work(&light, good, &Tilt{Pitch: 0.2, Readings: leaning(0.05)}); err == nil || !strings.Contains(err.Error(), "tilt the board more") {
		t.Errorf("a body of 20 g among 2 kg: %v", err)
	}
}

// A body that weighs less than the error of a scale has no centre to speak of,
// and no number that is none.
func TestHardlyABody(t *testing.T) {
	b := table(xy(0.15, 0.10), xy(0.15, -0.10), xy(-0.15, -0.10), xy(-0.15, 0.10))
	for i := range b.Robot.Legs {
		b.Robot.Legs[i].Links[kin.Tibia].Mass = 0.499
	}
	r, err := Work(b, on(b, 0.5, 0.5, 0.5, 0.5), nil)
	if err != nil || !math.IsInf(r.Doubt, 1) || !strings.Contains(r.Sure(), "not worth having") {
		t.Errorf("%+v, %v: %s", r, err, r.Sure())
	}
}

// Whatever the readings: no panic, and no number that is none.
func TestAnyReadings(t *testing.T) {
	b := table(xy(0.15, 0.10), xy(0.15, -0.10), xy(-0.15, -0.10), xy(-0.15, 0.10))
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) []Reading {
			var out []Reading
			for range rapid.IntRange(3, 5).Draw(t, label) {
				out = append(out, Reading{rapid.SampledFrom([]string{"L1", "L2", "L3", "L4", "x"}).Draw(t, "leg"), rapid.OneOf(rapid.Float64Range(0, 2), rapid.Float64()).Draw(t, "kg")})
			}
			return out
		}
		var tilt *Tilt
		if rapid.Bool().Draw(t, "tilted") {
			tilt = &Tilt{Pitch: rapid.Float64().Draw(t, "pitch"), Roll: rapid.Float64().Draw(t, "roll"), Readings: draw("tilted")}
		}
		r, err := Work(b, draw("level"), tilt)
		if err != nil {
			return
		}
		for _, v := range []float64{r.Total, r.Body, r.Centre.X, r.Centre.Y, r.Centre.Z, r.Doubt} {
			if math.IsNaN(v) {
				t.Fatalf("%+v", r)
			}
		}
	})
}

func TestApply(t *testing.T) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	r := &Result{Body: 0.94062, Centre: r3.Vec{X: 0.00126, Y: -0.00004, Z: 0.0071}}
	z := f.Robot.BodyCentre[2]
	r.Apply(f)
	if c := f.Robot.BodyCentre; f.Robot.BodyMass != 940.6 || c[0] != 1.3 || c[1] != 0 || math.Signbit(c[1]) || c[2] != z {
		t.Errorf("wrote %v g at %v", f.Robot.BodyMass, c)
	}
	if len(r.Notes(f)) != 1 {
		t.Errorf("notes %q", r.Notes(f))
	}
	r.Height, r.Outside, r.Payload = true, true, 0.2
	r.Apply(f)
	f.Robot.BodyInertia = &[6]float64{1, 1, 1}
	if n := strings.Join(r.Notes(f), " "); f.Robot.BodyCentre[2] != 7.1 || !strings.Contains(n, "200 g") || !strings.Contains(n, "outline") || !strings.Contains(n, "body_inertia_kg_mm2") {
		t.Errorf("z %v, notes %q", f.Robot.BodyCentre[2], n)
	}
}

func Example() {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := f.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := Work(b, []Reading{{"LF", 0.43}, {"LM", 0.46}, {"LR", 0.42}, {"RF", 0.44}, {"RM", 0.45}}, nil)
	fmt.Println(r, err)
	// Output: <nil> weigh: no reading for RR; give one for each leg, 0 for a foot that is lifted just clear
}
