// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
)

// of picks the findings with a word.
func of(found []Finding, word string) (some []Finding) {
	for _, f := range found {
		if f.Word == word {
			some = append(some, f)
		}
	}
	return some
}

// heavy is the test robot with all its weight in the body's origin.
func heavy() *kin.Robot {
	r := sixLegged()
	r.Body.COM = r3.Vec{}
	for i := range r.Legs {
		r.Legs[i].Links = [kin.Joints]kin.Link{}
		for j := range kin.Joints {
			r.Legs[i].Servos[j].Mass = 0
		}
	}
	return r
}

// Static stability margins computed with GEOS (Shapely 1.8.5): polygon,
// centre of mass, margin in m. Margins above the wanted 10 mm give no
// finding.
func TestTipsSlowAgainstGEOS(t *testing.T) {
	rectangle := []r3.Vec{{X: 0.15, Y: 0.10}, {X: -0.15, Y: 0.10}, {X: -0.15, Y: -0.10}, {X: 0.15, Y: -0.10}}
	triangle := []r3.Vec{{X: 0.15, Y: 0.10}, {X: -0.15, Y: 0.10}, {Y: -0.12}}
	tripod := []r3.Vec{{X: 0.12, Y: 0.10}, {Y: -0.13}, {X: -0.12, Y: 0.10}}
	for _, c := range []struct {
		feet   []r3.Vec
		com    r3.Vec
		margin float64
	}{
		{rectangle, r3.Vec{}, 0.10},
		{rectangle, r3.Vec{X: 0.05, Y: 0.02}, 0.08},
		{rectangle, r3.Vec{X: 0.16}, -0.01},
		{rectangle, r3.Vec{X: 0.20, Y: 0.20}, -0.11180339887498951},
		{triangle, r3.Vec{}, 0.06760041895698117},
		{triangle, r3.Vec{X: 0.05}, 0.026289051816603785},
		{triangle, r3.Vec{X: 0.10, Y: -0.05}, -0.0431891565558491},
		{triangle, r3.Vec{X: -0.20, Y: 0.10}, -0.05},
		{tripod, r3.Vec{}, 0.06013358087035257},
		{tripod, r3.Vec{X: 0.03}, 0.03353603548538893},
		{tripod, r3.Vec{X: 0.06}, 0.006938490100425295},
		{tripod, r3.Vec{Y: 0.05}, 0.05},
	} {
		r := heavy()
		p := &motion.Plan{Duration: 0.1, RWG: kin.Identity, Body: []motion.BodyPiece{body(0, 0.1, c.com, c.com)}}
		for i := range r.Legs {
			f := swing(0, 0.1, stand(r, i), stand(r, i), 0.05)
			if i < len(c.feet) {
				at := c.feet[i]
				at.Z = footRadius
				f = planted(0, 0.1, at)
			}
			p.Feet = append(p.Feet, []motion.FootPiece{f})
		}
		l := Defaults()
		found := of(judge(r, mustSample(t, r, p, 100), l), "tips-slow")
		if c.margin >= l.Margin {
			if len(found) != 0 {
				t.Errorf("com %v: got %+v, want none", c.com, found)
			}
			continue
		}
		if len(found) != 1 {
			t.Errorf("com %v: got %d findings, want 1", c.com, len(found))
			continue
		}
		f := found[0]
		level, limit := Stop, 0.0
		if c.margin >= 0 {
			level, limit = Caution, 10
		}
		if math.Abs(f.Value-c.margin*1000) > 1e-9 || f.Level != level || f.Limit != limit {
			t.Errorf("com %v: got %v mm (%v, limit %v), want %v mm (%v, limit %v)", c.com, f.Value, f.Level, f.Limit, c.margin*1000, level, limit)
		}
		// What is to mend it does: shift as told, rounded up.
		if p, ok := inset(hullOf(c.feet), point(c.com), l.Margin); !ok || hullOf(c.feet).Margin(p) < l.Margin-1e-6 {
			t.Errorf("com %v: remedy ends at %v", c.com, p)
		}
	}
}

// One planted foot or two carry nothing.
func TestTwoFeetTip(t *testing.T) {
	r := heavy()
	p := clean(r)
	for _, i := range []int{LM, LH, RH} {
		p.Feet[i] = []motion.FootPiece{planted(0, 1, stand(r, i)), swing(1, 3, stand(r, i), stand(r, i), 0.02), planted(3, 4, stand(r, i))}
	}
	f := of(judge(r, mustSample(t, r, p, rate), Defaults()), "tips-slow")
	if len(f) != 1 || f[0].Level != Stop || !strings.Contains(f[0].Mend, "three feet") {
		t.Errorf("got %+v", f)
	}
}

func TestOnAStandTheGroundIsNotJudged(t *testing.T) {
	ground := []string{"tips-slow", "tips-fast", "airborne", "foot-slides", "hard-landing", "ground-hit"}
	// What the legs of the fault's robot have to bear only on the ground.
	borne := []string{"joint-torque", "servo-heat", "supply-current"}
	l := Defaults()
	l.OnStand = true
	for _, c := range faults() {
		r := sixLegged()
		p := clean(r)
		c.inject(r, p)
		tr := mustSample(t, r, p, rate)
		for _, f := range judge(r, tr, l) {
			if slices.Contains(ground, f.Word) {
				t.Errorf("%s: %s on a stand", c.name, f.Word)
			}
		}
		if !slices.Contains(ground, c.word) && !slices.Contains(borne, c.word) && len(of(judge(r, tr, l), c.word)) == 0 {
			t.Errorf("%s: no %s on a stand", c.name, c.word)
		}
	}
}

// On a slope the same motion has the same distances to the ground.
func TestSlopeChangesNothingButTheWeight(t *testing.T) {
	for _, c := range faults() {
		r := sixLegged()
		p := clean(r)
		c.inject(r, p)
		level := judge(r, mustSample(t, r, p, 200), Defaults())
		p.RWG = kin.RPY(0.05, 0.1, 0.4)
		slope := judge(r, mustSample(t, r, p, 200), Defaults())
		weight := []string{"joint-speed", "tips-slow", "tips-fast", "joint-torque", "servo-heat", "supply-current"}
		for _, w := range Words() {
			a, b := of(level, w), of(slope, w)
			if slices.Contains(weight, w) || w == "airborne" && c.leg < 0 || w == "foot-slides" && c.leg < 0 {
				continue
			}
			if len(a) != len(b) {
				t.Errorf("%s: %s: %d on the level, %d on the slope", c.name, w, len(a), len(b))
				continue
			}
			for n := range a {
				if math.Abs(a[n].Value-b[n].Value) > 1e-6*(1+math.Abs(a[n].Value)) {
					t.Errorf("%s: %s: %v on the level, %v on the slope", c.name, w, a[n].Value, b[n].Value)
				}
			}
		}
	}
}

// A foot that passes over the axis of its coxa turns it over between two
// samples; the speed across that is not told as a speed.
func TestCoxaTurningOverIsAJump(t *testing.T) {
	r := sixLegged()
	p := clean(r)
	s := stand(r, LM)
	across := r3.Vec{X: s.X, Y: 2*r.Legs[LM].PBH.Y - s.Y - 0.01, Z: s.Z}
	p.Feet[LM] = []motion.FootPiece{line(0, 4, s, across)}
	p.Body = []motion.BodyPiece{body(0, 4, r3.Vec{}, r3.Vec{})}
	found := judge(r, mustSample(t, r, p, rate), Defaults())
	j := of(found, "jump")
	if len(j) != 1 || j[0].Leg != LM || j[0].Joint != kin.Coxa || j[0].Level != Stop || math.Abs(j[0].Value-180) > 1e-6 {
		t.Fatalf("got %+v, want one half turn of the coxa", j)
	}
	if j[0].From < 1.8 || j[0].To > 2.2 {
		t.Errorf("at %v to %v s, want near 2 s", j[0].From, j[0].To)
	}
	for _, f := range of(found, "joint-speed") {
		if f.Joint == kin.Coxa {
			t.Errorf("the jump is told as a speed too: %+v", f)
		}
	}
}

func TestIntervals(t *testing.T) {
	tr := &motion.Trajectory{Rate: 100, N: 1000, Parts: []motion.Part{{To: 2}, {From: 2, To: 10}}}
	type instant struct {
		s, score float64
		level    Level
	}
	for _, c := range []struct {
		name string
		in   []instant
		want string
	}{
		{"none", nil, ""},
		{"pause of 30 ms", []instant{{1, 1, Stop}, {1.03, 2, Stop}}, "stop 1.00-1.03 worst 1.03 part 0;"},
		{"pause of 40 ms", []instant{{1, 1, Stop}, {1.04, 2, Stop}}, "stop 1.00-1.00 worst 1.00 part 0;stop 1.04-1.04 worst 1.04 part 0;"},
		{"over a seam", []instant{{1.99, 1, Caution}, {2, 2, Caution}}, "caution 1.99-1.99 worst 1.99 part 0;caution 2.00-2.00 worst 2.00 part 1;"},
		{"grows into a stop", []instant{{1, 1, Caution}, {1.01, 2, Stop}, {1.02, 1, Caution}}, "stop 1.01-1.01 worst 1.01 part 0;"},
		{"two stops in a caution", []instant{{1, 5, Stop}, {1.02, 1, Caution}, {1.04, 1, Caution}, {1.06, 6, Stop}},
			"stop 1.00-1.00 worst 1.00 part 0;stop 1.06-1.06 worst 1.06 part 0;"},
		{"equal scores", []instant{{1, 1, Stop}, {1.01, 1 + 1e-15, Stop}}, "stop 1.00-1.01 worst 1.00 part 0;"},
	} {
		look := &look{t: tr}
		var track track
		for _, i := range c.in {
			look.add(&track, i.s, i.score, i.level)
		}
		got := ""
		for _, v := range track.intervals() {
			got += fmt.Sprintf("%v %.2f-%.2f worst %.2f part %d;", v.level, v.from, v.to, v.worst, v.part)
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// A body lowered as told reaches the point that it missed.
func TestLoweringTheBodyAsToldReaches(t *testing.T) {
	r := sixLegged()
	p := clean(r)
	high := r3.Vec{Z: 0.03}
	p.Body = []motion.BodyPiece{body(0, 4, high, high)}
	f := of(judge(r, mustSample(t, r, p, 100), Defaults()), "out-of-reach")
	if len(f) != 0 {
		t.Fatalf("the raised body is still within reach: %+v", f[0])
	}
	high.Z = 0.11
	p.Body = []motion.BodyPiece{body(0, 4, high, high)}
	f = of(judge(r, mustSample(t, r, p, 100), Defaults()), "out-of-reach")
	if len(f) == 0 {
		t.Fatal("nothing out of reach")
	}
	worst := 0.0
	for _, f := range f {
		var lower float64
		if _, err := fmt.Sscanf(f.Mend[strings.Index(f.Mend, "lower"):], "lower the body by %f mm", &lower); err != nil {
			t.Fatalf("%q: %v", f.Mend, err)
		}
		worst = max(worst, lower)
	}
	high.Z -= worst / 1000
	p.Body = []motion.BodyPiece{body(0, 4, high, high)}
	if f := of(judge(r, mustSample(t, r, p, 100), Defaults()), "out-of-reach"); len(f) != 0 {
		t.Errorf("still missed after lowering by %v mm: %+v", worst, f[0])
	}
	high.Z += 0.002
	p.Body = []motion.BodyPiece{body(0, 4, high, high)}
	if f := of(judge(r, mustSample(t, r, p, 100), Defaults()), "out-of-reach"); len(f) == 0 {
		t.Error("2 mm less would have done too")
	}
}

// A motion run at the told share of its speed is slow enough.
func TestSlowingAsToldMendsJointSpeed(t *testing.T) {
	r := sixLegged()
	r.Legs[LF].Servos[kin.Femur].NoLoadSpeed = 0.5
	tr := mustSample(t, r, clean(r), 400)
	factor := 1.0
	for _, f := range of(judge(r, tr, Defaults()), "joint-speed") {
		var x float64
		if _, err := fmt.Sscanf(f.Mend, "run this entry at %f of its speed", &x); err != nil {
			t.Fatal(err)
		}
		factor = min(factor, x)
	}
	if factor > 0.9 {
		t.Fatalf("got a factor of %v", factor)
	}
	for share, want := range map[float64]bool{factor: false, factor + 0.02: true} {
		if got := len(of(judge(r, slowed(t, r, clean(r), 400, share), Defaults()), "joint-speed")) > 0; got != want {
			t.Errorf("at %v of its speed: too fast %v, want %v", share, got, want)
		}
	}
}

func TestEveryMeasureOfAMirroredPairIsCompared(t *testing.T) {
	l := Defaults()
	for name, spoil := range map[string]func(l *kin.Leg){
		"mount x":           func(l *kin.Leg) { l.PBH.X += 0.002 },
		"mount y":           func(l *kin.Leg) { l.PBH.Y += 0.002 },
		"mount z":           func(l *kin.Leg) { l.PBH.Z += 0.002 },
		"heading":           func(l *kin.Leg) { l.Heading += 0.02 },
		"coxa length":       func(l *kin.Leg) { l.Length[kin.Coxa] += 0.002 },
		"femur length":      func(l *kin.Leg) { l.Length[kin.Femur] += 0.002 },
		"tibia length":      func(l *kin.Leg) { l.Length[kin.Tibia] -= 0.002 },
		"lateral offset":    func(l *kin.Leg) { l.Lateral = 0.002 },
		"vertical offset":   func(l *kin.Leg) { l.Vertical = 0.002 },
		"coxa lower limit":  func(l *kin.Leg) { l.Limits[kin.Coxa].Hi += 0.02 },
		"coxa upper limit":  func(l *kin.Leg) { l.Limits[kin.Coxa].Lo += 0.02 },
		"femur lower limit": func(l *kin.Leg) { l.Limits[kin.Femur].Lo += 0.02 },
		"femur upper limit": func(l *kin.Leg) { l.Limits[kin.Femur].Hi += 0.02 },
		"tibia lower limit": func(l *kin.Leg) { l.Limits[kin.Tibia].Lo += 0.02 },
		"tibia upper limit": func(l *kin.Leg) { l.Limits[kin.Tibia].Hi += 0.02 },
		"standing point x":  func(l *kin.Leg) { l.Stand.X += 0.002 },
		"standing point y":  func(l *kin.Leg) { l.Stand.Y += 0.002 },
	} {
		r := sixLegged()
		spoil(&r.Legs[RM])
		found := of(judge(r, &motion.Trajectory{Legs: 6, Rate: 1, RWG: kin.Identity}, l), "lopsided")
		if len(found) != 1 {
			t.Errorf("%s: got %d findings, want 1: %+v", name, len(found), found)
			continue
		}
		f := found[0]
		if f.Level != Caution || f.Part != -1 || f.Entry != "robot" || f.Leg != LM || f.Other != RM || !strings.Contains(f.Why, "the "+name+" differs") {
			t.Errorf("%s: got %+v", name, f)
		}
	}
	// Headings of ±π are one direction.
	r := sixLegged()
	r.Legs[LM].Heading, r.Legs[RM].Heading = math.Pi, math.Pi
	if f := judge(r, &motion.Trajectory{Legs: 6, Rate: 1, RWG: kin.Identity}, l); len(f) != 0 {
		t.Errorf("got %+v", f)
	}
}

// A leg off its target says nothing else about its joints.
func TestUnreachedLegDoesNotEcho(t *testing.T) {
	r := sixLegged()
	p := clean(r)
	s := r3.Add(stand(r, LM), r3.Vec{Y: 0.3})
	p.Feet[LM] = []motion.FootPiece{planted(0, 2, s), planted(2, 4, r3.Add(s, r3.Vec{X: 0.2}))}
	p.Mirrored = []motion.Stretch{{Leg: LM, Other: RM, To: 4}}
	r.Legs[LM].Limits[kin.Femur] = kin.Range{}
	r.Legs[RM].Limits[kin.Femur] = r.Legs[LM].Limits[kin.Femur]
	for _, f := range judge(r, mustSample(t, r, p, rate), Defaults()) {
		if f.Leg == LM && f.Word != "out-of-reach" && f.Part >= 0 {
			t.Errorf("also %+v", f)
		}
	}
}

func TestFloatingSaysWhichWay(t *testing.T) {
	r := sixLegged()
	for _, c := range []struct {
		height float64
		why    string
		mend   string
	}{
		{0.008, "hangs 8.0 mm above", "lower the point where leg LM is planted by 8.0 mm"},
		{-0.002, "hangs 2.0 mm below", "raise the point where leg LM is planted by 2.0 mm"},
	} {
		p := clean(r)
		p.Floating = []motion.Stretch{{Leg: LM, From: 0.5, To: 1.5, Height: c.height}}
		f := of(judge(r, mustSample(t, r, p, 100), Defaults()), "airborne")
		if len(f) != 1 || f[0].Value != c.height*1000 || !strings.Contains(f[0].Why, c.why) || !strings.Contains(f[0].Mend, c.mend) {
			t.Errorf("at %v m: got %+v", c.height, f)
		}
	}
}

func TestStopsAndWords(t *testing.T) {
	if got := Stops([]Finding{{Level: Stop}, {}, {Level: Stop}}); got != 2 {
		t.Errorf("Stops = %d, want 2", got)
	}
	if got := len(Words()); got != 17 {
		t.Errorf("%d words, want 17", got)
	}
	for _, w := range Words() {
		if Meaning(w) == "" {
			t.Errorf("no meaning of %s", w)
		}
	}
	if got := Meaning("no such word"); got != "" {
		t.Errorf("Meaning = %q", got)
	}
}
