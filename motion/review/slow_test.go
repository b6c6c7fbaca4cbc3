// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/kin/clearance"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

// key is what findings are told apart by, but for time.
type key struct {
	word              string
	leg, joint, other int
}

// extreme is the worst of a key.
type extreme struct {
	bad  float64
	over float64 // past where a finding begins
	stop bool
	at   map[int]instant // samples, for what is worst by another measure than it is told in
}

// instant is one sample of a key.
type instant struct {
	bad   float64
	value float64 // as the finding gives it
}

// slip is a word of this file's own: feet that friction does not hold, which
// are told under foot-slides.
const slip = "slip"

// slowly finds the same as Run by trying everything at every sample: links
// from the joint angles by forward kinematics, the ground by whole poses, and
// distances without any bound. Jumps and what is told once for the robot are
// left out.
//
// The loads are taken as given: forces, torques, accelerations. What follows
// from them is worked out again, from the servos' own numbers.
func slowly(r *kin.Robot, t *motion.Trajectory, d *load.Loads, l Limits) map[key]extreme {
	out := map[key]extreme{}
	rounding := -1e-300 // a distance of 0 is a stop
	note := func(k key, sample int, bad, caution, stop float64) {
		if !(bad > caution) {
			return
		}
		e, ok := out[k]
		if !ok || bad > e.bad {
			e.bad, e.over = bad, bad-caution
		}
		e.stop = e.stop || bad > stop
		out[k] = e
	}
	legs := len(r.Legs)
	under := func(xGB kin.Pose, p r3.Vec) float64 { return -xGB.At(p).Z }
	anchor := make([]*r3.Vec, legs) // where planted
	brush := make([][]r3.Vec, legs) // all places of the contact
	for k := range t.N {
		xWB := t.BodyPose(k)
		var back kin.Rot
		for i := range 3 {
			for j := range 3 {
				back[3*i+j] = t.RWG[3*j+i]
			}
		}
		xGB := kin.Pose{R: back}.Dot(xWB)
		var ends [kin.MaxLegs][4]r3.Vec
		down := 0
		for i := range legs {
			leg := &r.Legs[i]
			xBH := leg.XBH()
			ch := leg.Chain(t.JointsAt(k, i))
			ends[i] = [4]r3.Vec{leg.PBH, xBH.At(ch.PHK0), xBH.At(ch.PHK), xBH.At(ch.PHF)}
			planted := t.Planted[k*legs+i]
			if planted {
				down++
			} else {
				anchor[i] = nil
			}
			if !t.Reached(k, i) {
				brush[i] = nil
				miss := r3.Norm(r3.Sub(xWB.At(ends[i][3]), t.FootAt(k, i)))
				note(key{"out-of-reach", i, -1, -1}, k, miss, 0, 0)
				continue
			}
			for j, q := range t.JointsAt(k, i) {
				note(key{"joint-limit", i, j, -1}, k, leg.Limits[j].Outside(q), 1e-6, 1e-6)
			}
			note(key{"ground-hit", i, kin.Tibia, -1}, k, leg.LinkRadius+under(xGB, ends[i][2]), l.GroundHit, l.GroundHit)
			depth := leg.FootRadius + under(xGB, ends[i][3])
			note(key{"ground-hit", i, -1, -1}, k, depth, l.GroundHit, l.GroundHit)

			pGF := xGB.At(ends[i][3])
			if planted {
				brush[i] = nil
				if anchor[i] == nil {
					anchor[i] = &pGF
				}
				note(key{"foot-slides", i, -1, -1}, k, r3.Norm(r3.Sub(pGF, *anchor[i])), l.Slide, l.Slide)
			} else if -depth > 0.0003 {
				brush[i] = nil
			} else {
				brush[i] = append(brush[i], pGF)
				way := 0.0
				for n := 1; n < len(brush[i]); n++ {
					d := r3.Sub(brush[i][n], brush[i][n-1])
					way += math.Hypot(d.X, d.Y)
				}
				note(key{"foot-slides", i, -1, -1}, k, way, l.Slide, l.Slide)
			}
		}
		for _, v := range r.Body.Outline {
			for _, z := range []float64{r.Body.Top, r.Body.Bottom} {
				note(key{"ground-hit", -1, -1, -1}, k, under(xGB, r3.Vec{X: v.X, Y: v.Y, Z: z}), l.GroundHit, l.GroundHit)
			}
		}
		if down > 0 {
			note(key{"tips-slow", -1, -1, -1}, k, -t.Margin[k], -l.Margin, 0)
		}
		box := clearance.Box{Outline: r.Body.Outline, Bottom: r.Body.Bottom, Top: r.Body.Top}
		for i := range legs {
			a := &r.Legs[i]
			for j := i + 1; j < legs; j++ {
				b := &r.Legs[j]
				for m := range 3 {
					for n := range 3 {
						if m == 0 && n == 0 && r3.Norm(r3.Sub(a.PBH, b.PBH)) < a.LinkRadius+b.LinkRadius+l.Clearance {
							continue
						}
						d := clearance.Between(&clearance.Capsule{A: ends[i][m], B: ends[i][m+1], R: a.LinkRadius},
							&clearance.Capsule{A: ends[j][n], B: ends[j][n+1], R: b.LinkRadius})
						note(key{"legs-touch", i, -1, j}, k, -d, -l.Clearance, rounding)
					}
				}
			}
			s := math.Min(1, 0.3+a.LinkRadius/a.Length[kin.Femur])
			cut := r3.Add(r3.Scale(1-s, ends[i][1]), r3.Scale(s, ends[i][2]))
			d := math.Min(box.Segment(cut, ends[i][2]), box.Segment(ends[i][2], ends[i][3])) - a.LinkRadius
			note(key{"legs-touch", i, -1, -1}, k, -d, -l.Clearance, rounding)
		}
		now := t.Time(k)
		for _, s := range t.Floors {
			if now >= s.From-1e-6/t.Rate && now <= s.To+1e-6/t.Rate {
				h := back.Mul(t.FootAt(k, s.Leg)).Z - r.Legs[s.Leg].FootRadius
				note(key{"low-strike", s.Leg, -1, -1}, k, -h, -s.Height+1e-9, -s.Height+1e-9)
			}
		}
		for _, s := range t.Mirrored {
			if now >= s.From-1e-6/t.Rate && now <= s.To+1e-6/t.Rate && t.Reached(k, s.Leg) && t.Reached(k, s.Other) {
				p, q := ends[s.Leg][3], ends[s.Other][3]
				q.Y = -q.Y
				note(key{"lopsided", s.Leg, -1, s.Other}, k, r3.Norm(r3.Sub(p, q)), l.Lopsided, math.Inf(1))
			}
		}
	}
	slowLoads(out, r, t, d, l)
	return out
}

// bad gives the badness of a finding in SI, as slowly counts it.
func bad(r *kin.Robot, f Finding, l Limits) float64 {
	switch f.Word {
	case "joint-limit":
		return r.Legs[f.Leg].Limits[f.Joint].Outside(f.Value / deg)
	case "servo-heat", "supply-current":
		return f.Value
	case "hard-landing":
		return f.Value / f.Limit
	case "tips-slow", "low-strike", "legs-touch":
		return -f.Value / 1000
	}
	return f.Value / 1000
}

// compare checks Run against slowly.
func compare(t rapid.TB, r *kin.Robot, tr *motion.Trajectory, d *load.Loads, l Limits) {
	t.Helper()
	found := Run(r, tr, d, l)
	verify(t, r, tr, found)
	slow := slowly(r, tr, d, l)
	fast := map[key]extreme{}
	torn := map[int]bool{}      // legs that jump: their speeds are judged apart
	for k := 1; k < tr.N; k++ { // and those that leap to or from a miss, which is no jump
		for i := range r.Legs {
			a, b := tr.JointsAt(k-1, i), tr.JointsAt(k, i)
			for j := range a {
				if math.Abs(b[j]-a[j]) > 20/deg && !(tr.Reached(k-1, i) && tr.Reached(k, i)) {
					torn[i] = true
				}
			}
		}
	}
	for _, f := range found {
		if f.Word == "jump" {
			torn[f.Leg] = true
		}
		if f.Word == "jump" || f.Part == -1 && f.Entry == "robot" || f.Word == "airborne" && f.Leg >= 0 {
			continue
		}
		k := key{f.Word, f.Leg, f.Joint, f.Other}
		if f.Word == "foot-slides" && f.Unit == "" {
			k.word = slip
		}
		if k.word == "joint-speed" && torn[k.leg] {
			continue
		}
		b := bad(r, f, l)
		if e, ok := slow[k]; ok && e.at != nil {
			i, ok := e.at[tr.Index(f.Worst)]
			if !ok {
				t.Fatalf("nothing is wrong at the worst of %+v", f)
			}
			if b = i.bad; i.value == i.value && math.Abs(finite(i.value)-f.Value) > 1e-6+1e-8*math.Abs(f.Value) {
				t.Fatalf("%+v: the value is %v", f, i.value)
			}
		}
		e, ok := fast[k]
		if s := f.Level == Stop; !ok || s && !e.stop || s == e.stop && b > e.bad {
			e.bad, e.stop = b, s
		}
		fast[k] = e
	}
	for k, e := range slow {
		if k.word == "joint-speed" && torn[k.leg] {
			continue
		}
		g, ok := fast[k]
		tol := 1e-9 + 1e-8*math.Abs(e.bad)
		if !ok {
			if k.word == "out-of-reach" || e.over > tol {
				t.Fatalf("%+v is not found: bad %v, over %v", k, e.bad, e.over)
			}
			continue
		}
		want := e.bad
		if e.at == nil { // as far as findings go
			want = finite(want)
		}
		if math.Abs(g.bad-want) > tol || g.stop != e.stop && math.Abs(e.bad) > 1e-9 {
			t.Fatalf("%+v: got bad %v, stop %v, want %v, %v", k, g.bad, g.stop, e.bad, e.stop)
		}
	}
	for k := range fast {
		if _, ok := slow[k]; !ok && !(k.word == "joint-speed" && torn[k.leg]) {
			t.Fatalf("%+v is found but is not so", k)
		}
	}
}

func TestWorstAgainstTryingEverything(t *testing.T) {
	l := Defaults()
	for _, c := range faults() {
		t.Run(c.name, func(t *testing.T) {
			r := sixLegged()
			p := clean(r)
			c.inject(r, p)
			for _, tilt := range []kin.Rot{kin.Identity, kin.RPY(0.1, -0.2, 0)} {
				p.RWG = tilt
				tr := mustSample(t, r, p, 200)
				compare(t, r, tr, loads(r, tr, l), l)
			}
		})
	}
}

// anyPlan draws a plan of continuous chains whose feet mostly stay near the
// robot, with some far away.
func anyPlan(t *rapid.T, r *kin.Robot) *motion.Plan {
	num := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	vec := func(s float64, name string) r3.Vec {
		return r3.Vec{X: num(-s, s, name), Y: num(-s, s, name), Z: num(-s, s, name)}
	}
	timing := func() curve.Timing {
		return curve.Timing{Kind: curve.CubicBezier, X1: num(0, 1, "x1"), Y1: num(0, 1, "y1"), X2: num(0, 1, "x2"), Y2: num(0, 1, "y2")}
	}
	p := &motion.Plan{Duration: 1, RWG: kin.RPY(num(-0.2, 0.2, "slope"), 0, 0)}
	p.Parts = []motion.Part{{Name: "a", To: 0.4}, {Name: "b", From: 0.4, To: 1, Index: 1}}
	pieces := []string{"stay", "go", "far", "brush", "ride"}
	if rapid.Bool().Draw(t, "near") {
		pieces = []string{"stay", "stay", "go", "brush", "ride"}
	}
	at, lean := r3.Vec{Z: bodyHeight}, r3.Vec{}
	for n := range 2 {
		tilt := vec(0.2, "lean")
		to := r3.Add(r3.Vec{Z: bodyHeight}, vec(0.05, "body"))
		p.Body = append(p.Body, motion.BodyPiece{
			From: float64(n) / 2, To: float64(n+1) / 2,
			Shift: curve.Span{Path: curve.Line(at, to), Timing: timing()},
			Lean:  curve.Span{Path: curve.Line(lean, tilt)},
		})
		at, lean = to, tilt
	}
	for i := range r.Legs {
		at := stand(r, i)
		var chain []motion.FootPiece
		for n := range 4 {
			from, to := float64(n)/4, float64(n+1)/4
			f := planted(from, to, at)
			switch rapid.SampledFrom(pieces).Draw(t, "piece") {
			case "go":
				end := r3.Add(stand(r, i), vec(0.06, "to"))
				f = motion.FootPiece{From: from, To: to, Hold: motion.OverGround,
					Span: curve.Span{Path: curve.Bezier{P0: at, P1: r3.Add(at, vec(0.05, "p1")), P2: r3.Add(end, vec(0.05, "p2")), P3: end}, Timing: timing()}}
			case "far":
				end := r3.Add(stand(r, i), vec(0.5, "far"))
				f = line(from, to, at, end)
			case "brush":
				end := r3.Add(at, r3.Vec{X: num(-0.03, 0.03, "brush")})
				end.Z = footRadius
				f = line(from, to, at, end)
			case "ride":
				x, _ := p.BodyAt(from).Pose(from)
				f.Hold = motion.WithBody
				f.Span = still(x.Into(at))
			}
			at = f.Span.Path.P3
			if f.Hold == motion.WithBody {
				x, _ := p.BodyAt(from).Pose(to)
				at = x.At(at)
			}
			chain = append(chain, f)
		}
		p.Feet = append(p.Feet, chain)
	}
	leg := rapid.IntRange(0, 5).Draw(t, "leg")
	p.Floors = []motion.Stretch{{Leg: leg, From: num(0, 0.5, "from"), To: num(0.5, 1, "to"), Height: num(0, 0.05, "floor")}}
	p.Mirrored = []motion.Stretch{{Leg: LF, Other: RF, From: 0.2, To: 0.7}, {Leg: LH, Other: RH, From: 0, To: 1}}
	p.Floating = []motion.Stretch{{Leg: leg, From: 0.1, To: 0.3, Height: num(-0.1, 0.1, "floating")}}
	return p
}

func TestRandomPlansAgainstTryingEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := sixLegged()
		tr, err := motion.NewSampler(r).Sample(anyPlan(t, r), 100, nil)
		if err != nil {
			t.Fatal(err)
		}
		l := Defaults()
		l.Dynamic = rapid.Float64Range(-0.02, 0.05).Draw(t, "dynamic")
		l.Holding = rapid.Float64Range(0, 1).Draw(t, "holding")
		l.Derating = rapid.Float64Range(0, 1.2).Draw(t, "derating")
		l.SpeedShare = rapid.Float64Range(0, 1.2).Draw(t, "speed share")
		anyServos(t, r)
		compare(t, r, tr, loads(r, tr, l), l)
	})
}

// Numbers past all reason still give finite findings.
func TestFindingsAreFinite(t *testing.T) {
	r := sixLegged()
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t, r)
		big := rapid.SampledFrom([]float64{1e3, 1e9, 1e160, 1e300, math.MaxFloat64, math.Inf(1), math.NaN()}).Draw(t, "big")
		i, n := rapid.IntRange(0, 5).Draw(t, "leg"), rapid.IntRange(0, 3).Draw(t, "piece")
		if rapid.Bool().Draw(t, "of the body") {
			p.Body[n/2].Shift.Path.P3.X = big
		} else {
			p.Feet[i][n].Span.Path.P0.Y = big
			p.Feet[i][n].Span.Path.P3.Y = -big
		}
		p.Floors[0].Height = big
		p.Floating[0].Height = big
		tr, err := motion.NewSampler(r).Sample(p, 100, nil)
		if err != nil {
			t.Fatal(err)
		}
		verify(t, r, tr, judge(r, tr, Defaults()))
	})
}
