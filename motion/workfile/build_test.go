// SPDX-License-Identifier: MIT

package workfile

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/move"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
)

func mustBuild(t testing.TB, f *File) *Built {
	t.Helper()
	b, err := f.Build()
	if err != nil {
		t.Fatalf("Build: %v", err)
	}
	return b
}

// near compares a number with one written in decimals.
func near(got, want float64) bool { return scalar.EqualWithinAbsOrRel(got, want, 1e-15, 1e-15) }

// Torque: 1 kgf·cm is 0.0980665 N·m exactly (NIST SP 811, App. B.8). Speed:
// (π/3)/t for the datasheet's time t for 60 degrees; the numbers were computed
// from that definition in more digits.
func TestUnits(t *testing.T) {
	for _, tt := range []struct{ kgfCm, nm float64 }{
		{1, 0.0980665}, {1.8, 0.1765197}, {9.4, 0.9218251}, {15, 1.4709975}, {20, 1.96133}, {25, 2.4516625}, {35, 3.4323275},
	} {
		s := servo(Servo{StallKgfCm: &tt.kgfCm, Speed: 1})
		if !near(s.StallTorque, tt.nm) {
			t.Errorf("%v kgf·cm = %v N·m, want %v", tt.kgfCm, s.StallTorque, tt.nm)
		}
		if s := servo(Servo{StallNm: &tt.nm, Speed: 1}); s.StallTorque != tt.nm {
			t.Errorf("%v N·m became %v", tt.nm, s.StallTorque)
		}
	}
	for _, tt := range []struct{ t60, speed float64 }{
		{0.10, 10.471975511965976}, {0.12, 8.726646259971647}, {0.16, 6.544984694978735}, {0.17, 6.159985595274104}, {0.20, 5.235987755982988},
	} {
		if got := servo(Servo{Speed: tt.t60}).NoLoadSpeed; !near(got, tt.speed) {
			t.Errorf("%v s/60° = %v rad/s, want %v", tt.t60, got, tt.speed)
		}
	}
	// A decimal number of millimetres, grams or milliseconds is the same
	// decimal number of thousandths.
	for _, tt := range []struct{ milli, si float64 }{{110.5, 0.1105}, {3, 0.003}, {0.1, 0.0001}, {1999.9, 1.9999}} {
		if got := scaled(tt.milli, mm); got != tt.si {
			t.Errorf("%v mm = %v m, want %v", tt.milli, got, tt.si)
		}
	}
}

func TestBuildRobot(t *testing.T) {
	b := mustBuild(t, mustRead(t, base))
	r := &b.Robot
	if err := r.Check(); err != nil {
		t.Fatal(err)
	}
	const rad = math.Pi / 180
	// Stall current by hand: N·m · rad/s / (V · 0.7) = W/V = A; idle 5 % of it.
	small := kin.Servo{StallTorque: 0.5, NoLoadSpeed: 8.726646259971647, Voltage: 6, Mass: 0.02,
		StallCurrent: 1.0388864595204342, IdleCurrent: 0.05194432297602171, Efficiency: 0.7}
	standard := kin.Servo{StallTorque: 1.96133, NoLoadSpeed: 6.544984694978735, Voltage: 6, Mass: 0.058,
		StallCurrent: 3.05639876947682, IdleCurrent: 0.152819938473841, Efficiency: 0.7}
	lf := kin.Leg{
		Name: "LF", Mirror: 2, PBH: r3.Vec{X: 0.07, Y: 0.05}, Heading: 45 * rad,
		Length: [3]float64{0.04, 0.075, 0.1105}, Lateral: 0.003, Vertical: -0.002, TibiaOffset: 10 * rad,
		Limits:     [3]kin.Range{{Lo: -50 * rad, Hi: 60 * rad}, {Lo: -80 * rad, Hi: 90 * rad}, {Lo: -150 * rad}},
		FootRadius: 0.008, LinkRadius: 0.008,
		Links: [3]kin.Link{
			// Rods of 8 mm radius: m·r²/2 along, m·(3r² + l²)/12 across, by hand.
			{Mass: 0.02, COM: r3.Vec{X: 0.02}, Inertia: kin.Inertia{XX: 6.4e-7, YY: 2.9866666666666667e-6, ZZ: 2.9866666666666667e-6}},
			{Mass: 0.028, COM: r3.Vec{X: 0.03, Y: 0.004, Z: 0.001}, Inertia: kin.Inertia{XX: 8.96e-7, YY: 1.3573e-5, ZZ: 1.3573e-5}},
			{Mass: 0.032, COM: r3.Vec{X: 0.05525}, Inertia: kin.Inertia{XX: 1.024e-6, YY: 3.3072666666666667e-5, ZZ: 3.3072666666666667e-5}},
		},
		Servos: [3]kin.Servo{small, standard, standard},
		Stand:  r3.Vec{X: 0.15, Y: 0.13},
	}
	rf := lf
	rf.Name, rf.Mirror = "RF", 0
	rf.PBH.Y, rf.Heading, rf.Lateral, rf.Stand.Y = -0.05, -45*rad, -0.003, -0.13
	rf.Limits[kin.Coxa] = kin.Range{Lo: -60 * rad, Hi: 50 * rad}
	rf.Links[kin.Femur].COM.Y = -0.004
	want := kin.Robot{
		Name: "walker", Gravity: 9.80665,
		Friction: 0.6, Supply: kin.Supply{Voltage: 6}, // of both servos' datasheets
		// A box of 160 x 100 x 50 mm: m·(b² + c²)/12, by hand.
		Body: kin.Body{Mass: 0.9, COM: r3.Vec{Z: 0.005}, Top: 0.03, Bottom: -0.02, Inertia: kin.Inertia{XX: 0.0009375, YY: 0.0021075, ZZ: 0.00267},
			Outline: []r3.Vec{{X: 0.08, Y: 0.05}, {X: -0.08, Y: 0.05}, {X: -0.08, Y: -0.05}, {X: 0.08, Y: -0.05}}},
	}
	approx := cmp.Comparer(func(a, b float64) bool { return near(a, b) })
	if diff := cmp.Diff(lf, r.Legs[0], approx); diff != "" {
		t.Errorf("LF: %s", diff)
	}
	if diff := cmp.Diff(rf, r.Legs[2], approx); diff != "" {
		t.Errorf("RF: %s", diff)
	}
	if l := &r.Legs[3]; l.Knee != kin.KneeDown || l.LinkRadius != 0.006 || l.Mirror != 1 || r.Legs[1].Mirror != 3 {
		t.Errorf("RR: %+v", l)
	}
	got := *r
	got.Legs = nil
	if diff := cmp.Diff(want, got, approx); diff != "" {
		t.Errorf("body: %s", diff)
	}
	if b.Height != 0.08 || b.Rate != 250 || b.Tilt != kin.RPY(2*rad, 0, 0) {
		t.Errorf("height %v, rate %v, tilt %v", b.Height, b.Rate, b.Tilt)
	}
	if got := unpulsed(b.Limits); !reflect.DeepEqual(got, review.Defaults()) {
		t.Errorf("limits %+v are not the review's own", b.Limits)
	}
}

// unpulsed leaves the pulse ranges out, which TestChannels holds.
func unpulsed(l review.Limits) review.Limits {
	l.Outputs = nil
	return l
}

func TestBuildLimits(t *testing.T) {
	b := mustBuild(t, mustRead(t, edit(t, "review_hz = 250", "stability_margin_mm = 12\nclearance_mm = 3\njoint_speed_share = 0.5\nfoot_slide_mm = 4\nground_hit_mm = 5\nlopsided_mm = 6\njump_speed_deg_s = 90\n"+
		"dynamic_margin_mm = 7\ntorque_derating = 0.9\nholding_share = 0.4\nlanding_speed_mm_s = 250\ncontact_time_ms = 12.5")))
	want := review.Limits{Margin: 0.012, Clearance: 0.003, SpeedShare: 0.5, Slide: 0.004, GroundHit: 0.005, Lopsided: 0.006, JumpSpeed: math.Pi / 2,
		Dynamic: 0.007, Derating: 0.9, Holding: 0.4, Landing: 0.25, Contact: 0.0125}
	if got := unpulsed(b.Limits); !reflect.DeepEqual(got, want) || b.Rate != reviewHz {
		t.Errorf("got %+v at %v Hz, want %+v at %v Hz", b.Limits, b.Rate, want, reviewHz)
	}
}

// A leg and the one that mirrors it, at mirrored angles, are mirror images:
// feet, and the centres of all links.
func TestBuildMirrors(t *testing.T) {
	b := mustBuild(t, mustRead(t, base))
	rapid.Check(t, func(t *rapid.T) {
		var q [kin.Joints]float64
		for j := range q {
			q[j] = rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "q")
		}
		m := [kin.Joints]float64{-q[0], q[1], q[2]}
		for i := range 2 {
			l, o := &b.Robot.Legs[i], &b.Robot.Legs[b.Robot.Legs[i].Mirror]
			for j := range kin.Joints {
				c, d := l.Chain(q), o.Chain(m)
				xl, xo := l.XBH(), o.XBH()
				p, w := xl.At(l.InLink(&c, j, l.Links[j].COM)), xo.At(o.InLink(&d, j, o.Links[j].COM))
				if r3.Norm(r3.Sub(move.Flip(p), w)) > 1e-12 {
					t.Fatalf("link %d of %s: %v and %v", j, l.Name, p, w)
				}
				p, w = xl.At(c.PHF), xo.At(d.PHF)
				if r3.Norm(r3.Sub(move.Flip(p), w)) > 1e-12 {
					t.Fatalf("foot of %s: %v and %v", l.Name, p, w)
				}
				if l.Limits[j].Outside(q[j]) != o.Limits[j].Outside(m[j]) {
					t.Fatalf("travel of joint %d of %s", j, l.Name)
				}
			}
		}
	})
}

// What loads and currents are reckoned from, in SI units by hand.
func TestBuildLoads(t *testing.T) {
	b := mustBuild(t, mustRead(t, loaded(t)))
	r := &b.Robot
	if err := r.Check(); err != nil {
		t.Fatal(err)
	}
	femur := kin.Inertia{XX: 4e-6, YY: 14e-6, ZZ: 15.5e-6, XY: -1.5e-6, XZ: 0.5e-6, YZ: 0.25e-6}
	other := femur // y turned round
	other.XY, other.YZ = 1.5e-6, -0.25e-6
	approx := cmp.Comparer(func(a, b float64) bool { return near(a, b) })
	for _, tt := range []struct {
		what      string
		got, want any
	}{
		{"body", r.Body.Inertia, kin.Inertia{XX: 1000e-6, YY: 2100.5e-6, ZZ: 2600e-6, XY: 12e-6, XZ: -30e-6, YZ: 4e-6}},
		// A box of 60 x 40 x 20 mm and 250 g.
		{"payload", r.Payload, kin.Link{Mass: 0.25, COM: r3.Vec{X: 0.02, Y: -0.004, Z: 0.045},
			Inertia: kin.Inertia{XX: 4.1666666666666667e-5, YY: 8.3333333333333333e-5, ZZ: 1.0833333333333333e-4}}},
		{"friction", r.Friction, 0.8},
		{"supply", r.Supply, kin.Supply{Voltage: 7.4, Limit: 20, Resistance: 0.045}},
		{"servo", r.Legs[0].Servos[kin.Coxa], kin.Servo{StallTorque: 0.5, NoLoadSpeed: 8.726646259971647, Voltage: 6, Mass: 0.02,
			StallCurrent: 1.2, IdleCurrent: 0.09, Efficiency: 0.65}},
		{"femur", r.Legs[0].Links[kin.Femur].Inertia, femur},
		{"mirrored femur", r.Legs[2].Links[kin.Femur].Inertia, other},
		{"limits", unpulsed(b.Limits), func() review.Limits {
			l := review.Defaults()
			l.Dynamic, l.Derating, l.Holding, l.Landing, l.Contact = 0.006, 0.75, 0.25, 0.4, 0.015
			return l
		}()},
		{"target", *b.Script.Moves[0].Feet[0].Spans[1].Target, 0.015},
	} {
		if diff := cmp.Diff(tt.want, tt.got, approx); diff != "" {
			t.Errorf("%s: %s", tt.what, diff)
		}
	}

	// The estimates follow what is given: of the stall current from the gears'
	// efficiency, of the idle current from the stall current.
	b = mustBuild(t, mustRead(t, edit(t, "stall_nm = 0.5\n", "stall_nm = 0.5\ngear_efficiency = 0.35\n", "stall_kgf_cm = 20\n", "stall_kgf_cm = 20\nstall_current_a = 2\n",
		"[ground]", "payload_mass_g = 40\n\n[ground]")))
	small, standard := &b.Robot.Legs[0].Servos[kin.Coxa], &b.Robot.Legs[0].Servos[kin.Femur]
	if !near(small.StallCurrent, 2.0777729190408684) || !near(small.IdleCurrent, 0.10388864595204342) || standard.StallCurrent != 2 || standard.IdleCurrent != 0.1 {
		t.Errorf("currents: %+v, %+v", small, standard)
	}
	if b.Robot.Payload != (kin.Link{Mass: 0.04}) { // a point at the body's origin
		t.Errorf("payload: %+v", b.Robot.Payload)
	}
}

// The inertia of the mirrored leg's link is that of the mirrored link: of
// points with mass at the mirrored places.
func TestBuildMirrorsInertia(t *testing.T) {
	f := mustRead(t, base)
	rapid.Check(t, func(t *rapid.T) {
		var points, mirrored []kin.Link
		at := rapid.Float64Range(-0.1, 0.1)
		for range 4 {
			p := kin.Link{Mass: rapid.Float64Range(0.001, 1).Draw(t, "mass"), COM: r3.Vec{X: at.Draw(t, "x"), Y: at.Draw(t, "y"), Z: at.Draw(t, "z")}}
			points = append(points, p)
			p.COM = move.Flip(p.COM)
			mirrored = append(mirrored, p)
		}
		got, want := kin.Combine(points...), kin.Combine(mirrored...)
		i := got.Inertia
		j := rapid.IntRange(0, kin.Joints-1).Draw(t, "joint")
		g := f.Clone()
		g.Legs[1].joint(j).Inertia = &[6]float64{i.XX * 1e6, i.YY * 1e6, i.ZZ * 1e6, i.XY * 1e6, i.XZ * 1e6, i.YZ * 1e6}
		b, err := g.Build()
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want.Inertia, b.Robot.Legs[3].Links[j].Inertia, cmpopts.EquateApprox(1e-12, 1e-15)); diff != "" {
			t.Fatal(diff)
		}
	})
}

// Whatever good file is built, its robot can be computed with: also a body as
// thin as a sheet or a stick, links and payloads of next to no mass, coxae
// without a length.
func TestBuildGivesUsableRobot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw{t, true}
		f := d.file()
		thin := rapid.SampledFrom([]float64{1e-5, 1e-3, 1, 2000})
		long := thin.Draw(t, "length")
		wide := max(thin.Draw(t, "width"), long*1e-6) // narrower, its corners lie on one line
		long = max(long, wide*1e-6)
		f.Robot.Outline = [][2]float64{{long, wide}, {-long, wide}, {-long, -wide}, {long, -wide}}
		f.Robot.Top, f.Robot.Bottom = 0, -thin.Draw(t, "height")
		f.Robot.BodyMass = rapid.SampledFrom([]float64{1, 100_000}).Draw(t, "mass")
		if rapid.Bool().Draw(t, "estimated") {
			f.Robot.BodyInertia = nil
		}
		for i := range f.Legs {
			l := &f.Legs[i]
			if l.CoxaLength != nil && rapid.Bool().Draw(t, "no coxa") {
				*l.CoxaLength = 0
			}
			for j := range kin.Joints {
				if m := l.joint(j).Mass; m != nil && rapid.Bool().Draw(t, "light") {
					*m = 0.001
				}
			}
		}
		b, err := f.Build()
		if err != nil {
			t.Fatal(err)
		}
		if err := b.Robot.Check(); err != nil {
			t.Fatal(err)
		}
		for i := range b.Robot.Legs {
			for j, s := range b.Robot.Legs[i].Servos {
				if !(s.StallTorque > 0 && s.StallCurrent > 0 && s.IdleCurrent >= 0 && s.IdleCurrent <= s.StallCurrent && s.StallCurrent < math.MaxFloat64) {
					t.Fatalf("%s servo of leg %d: %+v", kin.JointName(j), i, s)
				}
			}
		}
	})
}

// Pulse widths, computed by hand from the definition at Channel.
func TestBuildChannels(t *testing.T) {
	b := mustBuild(t, mustRead(t, base))
	const rad = math.Pi / 180
	for _, tt := range []struct {
		leg, joint int
		q          float64 // deg
		want       float64 // µs
	}{
		{0, kin.Coxa, 0, 1510},    // trim of 1 degree
		{0, kin.Coxa, 30, 1810},   // 1500 + 10·(30+1)
		{0, kin.Femur, -45, 1050}, //
		{0, kin.Tibia, -90, 570},  // 1450 + 11·(-90+10)
		{2, kin.Femur, -45, 1950}, // reversed
		{2, kin.Tibia, -90, 2397}, // (3000-1450) + 11·(-(-90+10)-3): reversed, so the centre is mirrored
		{2, kin.Coxa, 30, 1800},   // the trim is not mirrored
		{3, kin.Femur, 10, 1600},  // no channel, but pulses all the same
	} {
		if got := b.Channels[tt.leg][tt.joint].Pulse(tt.q * rad); !scalar.EqualWithinAbs(got, tt.want, 1e-9) {
			t.Errorf("leg %d %s at %v°: %v µs, want %v", tt.leg, kin.JointName(tt.joint), tt.q, got, tt.want)
		}
	}
	if c := b.Channels[2][kin.Tibia]; c.Number != 8 || !c.Set || c.Min != 600 || c.Max != 2400 || c.Sign != -1 {
		t.Errorf("RF tibia: %+v", c)
	}
	if c := b.Channels[3][kin.Coxa]; c.Set || c.Min != 500 || c.Max != 2500 {
		t.Errorf("RR coxa: %+v", c)
	}
}

func TestBuildScript(t *testing.T) {
	b := mustBuild(t, mustRead(t, base))
	const rad = math.Pi / 180
	s := &b.Script
	if s.Robot != &b.Robot || s.Height != b.Height || s.Tilt != b.Tilt {
		t.Error("the script is of another robot")
	}
	ease := curve.Timing{Kind: curve.CubicBezier, X1: 0.42, Y1: 0, X2: 0.58, Y2: 1} // ease-in-out of CSS Easing Functions Level 1
	gaits := []gait.Gait{
		{Name: "crawl", Period: 2, Duty: 0.8, Phase: []float64{0, 0.75, 0.5, 0.25}, StepHeight: 0.025, Sway: 0.01,
			Swing: gait.Swing{LiftUp: 1, LandAlong: 0.9, LandUp: 1.2}},
		{Name: "trot", Period: 0.8, Duty: 0.5, Phase: []float64{0, 0.5, 0.5, 0}, StepHeight: 0.025, Swing: gait.PlainSwing, Timing: ease},
	}
	floor := 0.012
	moves := []move.Move{{
		Name: "bow", CoolDown: 0.2, Mirrored: true,
		Marks: []move.Mark{{Name: "low", At: 0.5}, {Name: "high", At: 0.9}, {Name: "home", At: 1.5}},
		Body: []move.BodySpan{
			{To: 0.5, Shift: r3.Vec{Z: -0.02}, Lean: r3.Vec{Y: 5 * rad}, ShiftOut: r3.Vec{X: 0.005}, Timing: ease, Even: true},
			{To: 1.5, Timing: curve.Timing{Kind: curve.CubicBezier, X1: 0.3, X2: 0.6, Y2: 1}},
		},
		Feet: []move.FootTrack{{Leg: 0, Pair: true, Spans: []move.FootSpan{
			{To: 0.5, Hold: move.Planted, Timing: ease},
			{To: 0.9, Hold: move.WithBody, End: r3.Vec{X: 0.01, Y: 0.005, Z: 0.04}, Out: r3.Vec{Z: 0.02}, Floor: &floor,
				Timing: curve.Timing{Kind: curve.CubicBezier, X1: 0.25, Y1: 0.1, X2: 0.25, Y2: 1}},
			{To: 1.5, Hold: move.OverGround, In: r3.Vec{Z: 0.02}, Timing: ease, Even: true},
		}}},
	}}
	seq := []sequence.Entry{
		{Name: "stand", Kind: sequence.Stand, Duration: 0.6, Gait: -1, Move: -1, Speed: 1},
		{Name: "there", Kind: sequence.Walk, Gait: 0, Move: -1, Cycles: 3, Speed: 1, Command: motion.Twist{Forward: 0.03, Side: -0.01, Turn: 5 * rad}},
		{Name: "change trot", Kind: sequence.Change, Gait: 1, Move: -1, Cycles: 2.5, Speed: 1},
		{Name: "move bow", Kind: sequence.Move, Gait: -1, Move: 0, Speed: 1.25},
		{Name: "recover crawl", Kind: sequence.Recover, Gait: 0, Move: -1, Speed: 1},
		{Name: "wait", Kind: sequence.Wait, Duration: 0.25, Gait: -1, Move: -1, Speed: 1},
	}
	approx := cmp.Comparer(func(a, b float64) bool { return near(a, b) })
	for _, d := range []string{cmp.Diff(gaits, s.Gaits, approx), cmp.Diff(gaits, b.Gaits, approx), cmp.Diff(moves, s.Moves, approx), cmp.Diff(seq, s.Seq, approx)} {
		if d != "" {
			t.Error(d)
		}
	}
	if _, err := sequence.Plan(s); err != nil {
		t.Errorf("Plan: %v", err)
	}
}

// Duty factors of some legs and the shares of the swing come through; legs
// without a duty factor of their own have the common one.
func TestBuildGaitShares(t *testing.T) {
	b := mustBuild(t, mustRead(t, loaded(t)))
	g := b.Gaits[1]
	if want := []float64{0.55, 0.5, 0.5, 0.45}; !cmp.Equal(g.Duties, want) || g.EarlyLift != 0.1 || g.LateTouch != 0.25 {
		t.Errorf("got duty factors %v, early lift %v, late touch %v, want %v, 0.1, 0.25", g.Duties, g.EarlyLift, g.LateTouch, want)
	}
	if g := b.Gaits[0]; g.Duties != nil || g.EarlyLift != 0 || g.LateTouch != 0 {
		t.Errorf("a gait without: %v, %v, %v", g.Duties, g.EarlyLift, g.LateTouch)
	}
}

// A mirrored leg may have keys of its own.
func TestBuildOwnKeys(t *testing.T) {
	b := mustBuild(t, mustRead(t, edit(t, "mirrors = \"LR\"\n", "mirrors = \"LR\"\nfemur_mm = 80\nstand_mm = [-140, -125]\nknee = \"up\"\ncoxa = { range_deg = [-10, 20], servo = \"standard\" }\n")))
	l := &b.Robot.Legs[3]
	if l.Length[kin.Femur] != 0.08 || l.Stand.Y != -0.125 || l.Knee != kin.KneeUp || !near(l.Limits[0].Hi, 20*math.Pi/180) ||
		!near(l.Servos[0].StallTorque, 1.96133) || l.Links[kin.Femur].COM.X != 0.04 || l.PBH.Y != -0.05 {
		t.Errorf("%+v", l)
	}
}

func TestStarterBuilds(t *testing.T) {
	b := mustBuild(t, mustRead(t, string(Starter())))
	if len(b.Robot.Legs) != 6 || len(b.Script.Moves) != 1 || len(b.Script.Gaits) != 1 {
		t.Errorf("%d legs, %d moves, %d gaits", len(b.Robot.Legs), len(b.Script.Moves), len(b.Script.Gaits))
	}
	for _, l := range strings.Split(string(Starter()), "\n") {
		if len(l) > 120 {
			t.Errorf("line of %d characters: %s", len(l), l)
		}
	}
}
