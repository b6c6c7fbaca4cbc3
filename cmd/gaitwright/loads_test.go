// SPDX-License-Identifier: MIT

package main

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"gaitwright/assets"
)

// motionsSeen are traces of both demos with all that an outsider makes of them.
func motionsSeen(t *testing.T, each func(t *testing.T, o *observed)) {
	t.Run("drummer", func(t *testing.T) { each(t, observe(t, place(t, "demo.toml", assets.Demo))) })
	t.Run("usher", func(t *testing.T) { each(t, observe(t, place(t, "walker.toml", assets.Walker))) })
}

// tally counts rows and how wide their tolerances are, so that a check by
// differences that justify nothing is noticed.
type tally struct{ all, tight int }

func (y *tally) add(tol, tight float64) {
	y.all++
	if tol <= tight {
		y.tight++
	}
}

func (y *tally) check(t *testing.T, what string) {
	t.Helper()
	t.Logf("%s: %d of %d compared tightly", what, y.tight, y.all)
	if y.all == 0 || float64(y.tight) < 0.9*float64(y.all) {
		t.Errorf("%s: only %d of %d tolerances are tight", what, y.tight, y.all)
	}
}

// Joint speeds are the slopes of the joint angles.
func TestTraceSpeeds(t *testing.T) {
	motionsSeen(t, func(t *testing.T, o *observed) {
		var y tally
		for i, l := range o.Robot.Legs {
			for j, word := range jointWords {
				v := o.column[l.Name+"_"+word+"_vel_rad_s"]
				for k := 2; k < o.n-2; k++ {
					q := func(k int) float64 { return o.q[k][3*i+j] }
					s := o.slope(q, k)
					tol := spread1(&s) + 1e-9
					// Where an acceleration steps on the very row, the errors of the
					// ways may cancel; those of the rows beside do not.
					for n := max(k-1, 2); n <= min(k+1, o.n-3); n++ {
						beside := o.slope(q, n)
						tol = max(tol, 1.5*spread1(&beside))
					}
					if !(math.Abs(v[k]-s[near1]) <= tol) {
						t.Fatalf("row %d: %s %s turns at %v rad/s, its angle at %v ± %v", k, l.Name, word, v[k], s[near1], tol)
					}
					y.add(tol, 0.001)
				}
			}
		}
		y.check(t, "joint speeds, 0.001 rad/s")
	})
}

// Newton and Euler for the whole and for every part of every leg: forces sum to
// mass times acceleration and gravity, their moments about the centre of mass
// to the rate of angular momentum, and each servo's torque is what the parts
// behind its joint need beyond what weight and foot force give them. The
// zero-moment point is where the demand's moment along the ground vanishes.
func TestTraceBalances(t *testing.T) {
	motionsSeen(t, func(t *testing.T, o *observed) {
		weight := o.Robot.Mass * o.Robot.Gravity
		var sums, moments, torques, points tally
		all := make([]rigid, len(o.mass))
		for k := 3; k < o.n-3; k++ {
			if !o.told(t, k) {
				t.Fatalf("row %d: a demo without forces", k)
			}
			for i := range all {
				all[i] = o.rigid(k, i)
			}
			force, moment := o.demand(k, all)
			com := o.com3(k)
			var sum, turn [3]float64
			for i := range o.legs {
				f := o.force(k, i)
				sum, turn = plus(sum, f), plus(turn, cross(minus(o.tr3(k, i), com), f))
			}
			tol := spread(&force) + 1e-6
			if !(apart(sum, force[near1]) <= tol) {
				t.Fatalf("row %d: forces sum to %v N, the parts need %v ± %v", k, sum, force[near1], tol)
			}
			sums.add(tol, 0.001*weight)
			tol = spread(&moment) + 1e-6
			if !(apart(turn, moment[near1]) <= tol) {
				t.Fatalf("row %d: moments sum to %v N·m, the parts need %v ± %v", k, turn, moment[near1], tol)
			}
			moments.add(tol, 0.0001*weight) // a tenth of a millimetre of lever

			var zmp [ways][3]float64
			for w := range ways {
				m := plus(moment[w], cross(com, force[w])) // about the world's origin, on the ground
				zmp[w] = [3]float64{-m[1] / force[w][2], m[0] / force[w][2], 0}
			}
			told := [3]float64{o.column["zmp_x_m"][k], o.column["zmp_y_m"][k], 0}
			tol = spread(&zmp) + 1e-7
			if !(apart(told, zmp[near1]) <= tol) {
				t.Fatalf("row %d: zero-moment point at %v, the parts put it at %v ± %v", k, told, zmp[near1], tol)
			}
			points.add(tol, 0.0001)

			for i := range o.legs {
				foot, f := o.tr3(k, i), o.force(k, i)
				for j := range 3 {
					h := &o.joints[k][3*i+j]
					var need [ways]float64
					for w := range ways {
						m := times(-1, cross(minus(foot, h.p), f))
						for n := 1 + 3*i + j; n < 4+3*i; n++ {
							a := plus(all[n].force[w], [3]float64{2: o.mass[n] * o.Robot.Gravity})
							m = plus(m, plus(cross(minus(o.parts[k][n].c, h.p), a), all[n].spin[w]))
						}
						need[w] = dot(h.axis, m)
					}
					tol := spread1(&need) + 1e-7
					if got := o.torque(k, i, j); !(math.Abs(got-need[near1]) <= tol) {
						t.Fatalf("row %d: %s %s exerts %v N·m, its parts need %v ± %v", k, o.Robot.Legs[i].Name, jointWords[j], got, need[near1], tol)
					}
					torques.add(tol, 0.0001)
				}
			}
		}
		sums.check(t, "sum of forces, 0.1 % of the weight")
		moments.check(t, "sum of moments, 0.1 mm of lever")
		points.check(t, "zero-moment point, 0.1 mm")
		torques.check(t, "torques, 0.0001 N·m")
	})
}

// In the stand nothing moves: what a servo holds is the slope of the weight of
// its leg's parts less the foot force through the slope of the foot (virtual
// work), each by moving the one joint and looking where things go.
func TestTraceStand(t *testing.T) {
	motionsSeen(t, func(t *testing.T, o *observed) {
		stand := o.Sequence[0]
		if stand.Kind != "stand" {
			t.Fatalf("begins with %+v", stand)
		}
		rows := int(math.Floor((stand.To-stand.From)/o.h)) - 1
		const near = 1e-6
		parts, joints, feet := make([]placed, len(o.mass)), make([]hinge, 3*o.legs), make([][3]float64, o.legs)
		for k := 0; k < rows; k += 20 {
			if com := o.com3(k); math.Hypot(o.column["zmp_x_m"][k]-com[0], o.column["zmp_y_m"][k]-com[1]) > 1e-9 {
				t.Fatalf("row %d: zero-moment point at %v, %v, centre of mass at %v", k, o.column["zmp_x_m"][k], o.column["zmp_y_m"][k], com)
			}
			if a, b := o.column["dynamic_margin_m"][k], o.column["static_margin_m"][k]; math.Abs(a-b) > 1e-9 {
				t.Fatalf("row %d: dynamic margin %v, static %v", k, a, b)
			}
			body := make([]float64, 6)
			for i, c := range []string{"x_m", "y_m", "z_m", "roll_rad", "pitch_rad", "yaw_rad"} {
				body[i] = o.column["body_"+c][k]
			}
			q := append([]float64(nil), o.q[k]...)
			amps := 0.0
			for i, l := range o.Robot.Legs {
				f := o.force(k, i)
				for j, word := range jointWords {
					const d = 1e-5
					work := func(by float64) float64 {
						q[3*i+j] = o.q[k][3*i+j] + by
						o.place(body, q, parts, joints, feet)
						q[3*i+j] = o.q[k][3*i+j]
						e := -dot(f, feet[i])
						for n := range parts {
							e += o.mass[n] * o.Robot.Gravity * parts[n].c[2]
						}
						return e
					}
					want, got := (work(d)-work(-d))/(2*d), o.torque(k, i, j)
					if !(math.Abs(got-want) <= near) {
						t.Fatalf("row %d: %s %s holds %v N·m, virtual work says %v", k, l.Name, word, got, want)
					}
					if v := o.column[l.Name+"_"+word+"_vel_rad_s"][k]; v != 0 {
						t.Fatalf("row %d: %s %s turns at %v rad/s in the stand", k, l.Name, word, v)
					}
					idle, stall := o.currents(i, word)
					amps += idle + math.Abs(got)/l.Servos[word].Stall*(stall-idle)
				}
			}
			if got := o.column["supply_current_a"][k]; math.Abs(got-amps) > 1e-9 {
				t.Fatalf("row %d: %v A, the torques draw %v A", k, got, amps)
			}
		}
	})
}

// currents gives a servo's current without load and at stall: what the demo
// states, or what the workfile's notes say of a servo that states none: the
// greatest torque times the greatest speed over the voltage and 0.7, and 5 % of
// it.
func (o *observed) currents(leg int, joint string) (idle, stall float64) {
	if o.Robot.Name == "stage drummer" {
		return 0.12, 2.8
	}
	s := o.Robot.Legs[leg].Servos[joint]
	stall = s.Stall * s.NoLoad / (*o.Robot.Supply.Voltage * 0.7)
	return 0.05 * stall, stall
}

// What holds at every row: feet push, inside the friction cone, those in the
// air nothing; both margins by plane geometry; the current between what idle
// and what stalled servos draw, and the sum of what torques and speeds say: a
// servo that is turned against its torque draws 0.7² of what a driving one does
// (efficiency of the gears, default of the workfile).
func TestTraceLoads(t *testing.T) {
	motionsSeen(t, func(t *testing.T, o *observed) {
		for k := range o.n {
			num := func(column string) float64 { return o.column[column][k] }
			for i, l := range o.Robot.Legs {
				f := o.force(k, i)
				along := math.Hypot(f[0], f[1])
				switch planted := o.planted(k, i); {
				case !planted && f != [3]float64{}:
					t.Fatalf("row %d: %s swings and bears %v N", k, l.Name, f)
				case planted && !(f[2] >= 0 && along <= o.Robot.Friction*f[2]*(1+1e-9)+1e-9):
					t.Fatalf("row %d: %s bears %v N with a friction of %v", k, l.Name, f, o.Robot.Friction)
				}
			}
			ring, ok := o.hull(k)
			if !ok {
				t.Fatalf("row %d: the feet span no area", k)
			}
			if m := inside(ring, num("zmp_x_m"), num("zmp_y_m")); !(math.Abs(m-num("dynamic_margin_m")) <= 1e-9) {
				t.Fatalf("row %d: dynamic margin %v, by geometry %v", k, num("dynamic_margin_m"), m)
			}
			// Level ground, all planted feet at one height: to roll over an edge at a
			// level distance d the centre of mass rises from z to √(d²+z²).
			com := o.com3(k)
			rise := math.Inf(1)
			for i, a := range ring {
				b := ring[(i+1)%len(ring)]
				d := ((b[0]-a[0])*(com[1]-a[1]) - (b[1]-a[1])*(com[0]-a[0])) / math.Hypot(b[0]-a[0], b[1]-a[1])
				z := com[2] - a[2]
				rise = min(rise, math.Copysign(math.Hypot(d, z)-z, d))
			}
			if !(math.Abs(rise-num("energy_margin_m")) <= 1e-9) {
				t.Fatalf("row %d: energy margin %v, by geometry %v", k, num("energy_margin_m"), rise)
			}
			var least, most, amps float64
			for i, l := range o.Robot.Legs {
				for j, word := range jointWords {
					idle, stall := o.currents(i, word)
					least, most = least+idle, most+stall
					tau := o.torque(k, i, j)
					share := math.Abs(tau) / l.Servos[word].Stall
					if tau*num(l.Name+"_"+word+"_vel_rad_s") < 0 {
						share *= 0.7 * 0.7
					}
					amps += idle + share*(stall-idle)
				}
			}
			if got := num("supply_current_a"); !(got >= least && got <= most && math.Abs(got-amps) <= 1e-9*amps) {
				t.Fatalf("row %d: %v A of %v to %v A; torques and speeds draw %v A", k, got, least, most, amps)
			}
		}
	})
}

// findingsOf gives the stretches that check tells of under some words.
func findingsOf(t *testing.T, words string, args ...string) (out [][2]float64) {
	t.Helper()
	r := call(append([]string{"check", "--json"}, args...)...)
	var d struct {
		Findings []struct {
			Word string
			From float64 `json:"from_s"`
			To   float64 `json:"to_s"`
		}
	}
	if err := json.Unmarshal([]byte(r.out), &d); err != nil {
		t.Fatalf("%v: %s", err, r.errout)
	}
	for _, f := range d.Findings {
		if strings.Contains(words, f.Word) {
			out = append(out, [2]float64{f.From, f.To})
		}
	}
	return out
}

// Where the ground cannot carry the robot as drawn there are no currents,
// torques or forces, and a finding tells why. Whether it can follows from the
// parts' motion alone: pushes at the feet meet the demand only when the point
// where its moment vanishes, at the height of the feet, lies between them, and
// only with as much friction as the demand leans.
func TestTraceEmpty(t *testing.T) {
	throw, err := assets.Faults.ReadFile("faults/tips-fast.toml")
	if err != nil {
		t.Fatal(err)
	}
	// On ice the throw lacks friction before it lacks support.
	ice := strings.Replace(string(throw), "[servo.standard]", "[ground]\nfriction = 0.1\n\n[servo.standard]", 1)
	if ice == string(throw) {
		t.Fatal("nothing replaced")
	}
	for word, path := range map[string]string{
		"tips-fast": fault(t, "tips-fast"), "airborne": fault(t, "airborne"), "foot-slides": place(t, "ice.toml", []byte(ice)),
	} {
		t.Run(word, func(t *testing.T) {
			o := observe(t, path)
			if len(findingsOf(t, word, path)) == 0 {
				t.Fatal("no finding")
			}
			told := findingsOf(t, "tips-slow tips-fast foot-slides airborne", path)
			all := make([]rigid, len(o.mass))
			empty, full, unsure := 0, 0, 0
			for k := 3; k < o.n-3; k++ {
				has := o.told(t, k)
				feet, height := 0, 0.0
				for i := range o.legs {
					if o.planted(k, i) {
						feet, height = feet+1, o.tr3(k, i)[2]
					}
				}
				for _, c := range []string{"zmp_x_m", "zmp_y_m", "dynamic_margin_m", "energy_margin_m"} {
					if v := o.column[c][k]; math.IsNaN(v) != (feet == 0) {
						t.Fatalf("row %d: %s is %v with %d feet planted", k, c, v, feet)
					}
				}
				for i := range all {
					all[i] = o.rigid(k, i)
				}
				force, moment := o.demand(k, all)
				// What is lacking, by each way: some lie in doubt.
				can, cannot := 0, 0
				for w := range ways {
					f := force[w]
					ok := feet == 0 && length(f) < 0.5*o.Robot.Mass // falls freely, as near as the review asks
					if feet > 0 {
						m := plus(moment[w], cross(minus(o.com3(k), [3]float64{2: height}), f))
						ring, area := o.hull(k)
						ok = area && inside(ring, -m[1]/f[2], m[0]/f[2]) > 0 && math.Hypot(f[0], f[1]) < o.Robot.Friction*f[2]
					}
					if ok {
						can++
					} else {
						cannot++
					}
				}
				if has {
					full++
				} else {
					empty++
				}
				switch {
				case can > 0 && cannot > 0:
					unsure++
				case has && can == 0:
					t.Fatalf("row %d (%v s): loads of a motion that no pushes of %d feet carry", k, float64(k)*o.h, feet)
				case !has && feet == 0 && can == ways:
					t.Fatalf("row %d: no loads of a free fall", k)
				}
				if !has {
					at, found := float64(k)*o.h, false
					for _, v := range told {
						found = found || v[0]-0.01 <= at && at <= v[1]+0.01 // check samples at its own rate
					}
					if !found {
						t.Fatalf("%v s: no loads, and no finding says why: %v", at, told)
					}
				}
			}
			t.Logf("%d rows with loads, %d without, %d in doubt", full, empty, unsure)
			if empty == 0 || full == 0 || unsure*50 > empty+full {
				t.Errorf("%d rows with loads, %d without, %d in doubt", full, empty, unsure)
			}
		})
	}
}

// A leap in which the legs stay as they are falls freely: the body's path is
// the parabola of gravity, z = 3h·s(1-s) in T = 0.2 s with 6h/T² = g. Nothing
// bears anything, and the servos draw what idle ones do. Drawn a little higher
// it is no fall, and nothing can be told.
func TestTraceLeap(t *testing.T) {
	throw, err := assets.Faults.ReadFile("faults/tips-fast.toml")
	if err != nil {
		t.Fatal(err)
	}
	robot, _, ok := strings.Cut(string(throw), "[[move]]")
	if !ok {
		t.Fatal("no move")
	}
	leap := func(h float64) *observed {
		up := "[0, 0, " + strconv.FormatFloat(h, 'f', -1, 64) + "]"
		text := robot + `
[[move]]
name = "leap"
mark = [{ name = "go", at_ms = 500 }, { name = "down", at_ms = 700 }, { name = "home", at_ms = 1200 }]
`
		for _, m := range []string{"go", "down", "home"} {
			text += "\n[[move.body]]\nto = \"" + m + "\"\nshift_mm = [0, 0, 0]\nlean_deg = [0, 0, 0]\n"
			if m == "down" {
				text += "shift_out_mm = " + up + "\nshift_in_mm = " + up + "\ntiming = \"linear\"\n"
			}
		}
		for _, leg := range []string{"LF", "LR", "RF", "RR"} {
			text += "\n[[move.foot]]\nleg = \"" + leg + "\"\nspan = [{ to = \"go\", hold = \"planted\" }, " +
				"{ to = \"down\", hold = \"body\", end_mm = [0, 0, 0] }, { to = \"home\", hold = \"planted\" }]\n"
		}
		return observe(t, place(t, "leap.toml", []byte(text+"\n[[sequence]]\nkind = \"stand\"\n\n[[sequence]]\nkind = \"move\"\nmove = \"leap\"\n")))
	}
	const h = 1000 * 9.80665 * 0.2 * 0.2 / 6 // mm
	for _, c := range []struct {
		height float64
		falls  bool
	}{{h, true}, {1.2 * h, false}} {
		o := leap(c.height)
		flying := 0
		for k := range o.n {
			feet, idle := 0, 0.0
			for i := range o.legs {
				if o.planted(k, i) {
					feet++
				}
				for _, word := range jointWords {
					least, _ := o.currents(i, word)
					idle += least
				}
			}
			if feet > 0 {
				continue
			}
			flying++
			if told := o.told(t, k); told != c.falls {
				t.Fatalf("%v mm, row %d: loads told: %v", c.height, k, told)
			}
			if !c.falls {
				continue
			}
			for i := range o.legs {
				for j := range 3 {
					if f, tau := o.force(k, i), o.torque(k, i, j); f != [3]float64{} || math.Abs(tau) > 1e-9 {
						t.Fatalf("row %d: %v N, %v N·m in free fall", k, f, tau)
					}
				}
			}
			if got := o.column["supply_current_a"][k]; math.Abs(got-idle) > 1e-6 || !math.IsNaN(o.column["zmp_x_m"][k]) {
				t.Fatalf("row %d: %v A, idle servos draw %v A; zero-moment point %v", k, got, idle, o.column["zmp_x_m"][k])
			}
		}
		if flying < 195 || flying > 201 {
			t.Errorf("%v mm: %d rows in the air", c.height, flying)
		}
	}
}
