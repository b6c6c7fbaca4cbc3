// SPDX-License-Identifier: MIT

package main

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin/support"
)

// described is the JSON of describe, read anew.
type described struct {
	Robot struct {
		Name     string
		Mass     float64 `json:"mass_kg"`
		Gravity  float64 `json:"gravity_m_s2"`
		Friction float64
		Supply   struct {
			Voltage *float64 `json:"voltage_v"`
			Limit   *float64 `json:"current_limit_a"`
		}
		Body struct {
			Mass    float64       `json:"mass_kg"`
			COM     [3]float64    `json:"com_m"`
			Inertia [3][3]float64 `json:"inertia_kg_m2"`
		}
		Legs []struct {
			Name, Mirror string
			Mount        [3]float64            `json:"mount_m"`
			Heading      float64               `json:"heading_rad"`
			Coxa         float64               `json:"coxa_m"`
			Femur        float64               `json:"femur_m"`
			Tibia        float64               `json:"tibia_m"`
			Lateral      float64               `json:"lateral_m"`
			Vertical     float64               `json:"vertical_m"`
			Foot         float64               `json:"foot_radius_m"`
			Limits       map[string][2]float64 `json:"limits_rad"`
			Links        []struct {
				Name    string
				Mass    float64       `json:"mass_kg"`
				COM     [3]float64    `json:"com_m"`
				Inertia [3][3]float64 `json:"inertia_kg_m2"`
			}
			Servos map[string]struct {
				Stall  float64 `json:"stall_torque_nm"`
				NoLoad float64 `json:"no_load_speed_rad_s"`
			}
		}
	}
	Sequence []struct {
		Entry, Kind string
		From        float64 `json:"from_s"`
		To          float64 `json:"to_s"`
	}
	Duration float64 `json:"duration_s"`
}

func descriptionOf(t *testing.T, args ...string) *described {
	t.Helper()
	text := fine(t, append([]string{"describe"}, args...)...)
	top := keys(t, json.RawMessage(text), "robot sequence duration_s")
	robot := keys(t, top["robot"], "name mass_kg gravity_m_s2 friction supply body legs")
	keys(t, robot["supply"], "voltage_v current_limit_a")
	keys(t, robot["body"], "mass_kg com_m inertia_kg_m2")
	for _, l := range items(t, robot["legs"]) {
		leg := keys(t, l, "name mirror mount_m heading_rad coxa_m femur_m tibia_m lateral_m vertical_m foot_radius_m limits_rad links servos")
		keys(t, leg["limits_rad"], "coxa femur tibia")
		for _, s := range keys(t, leg["servos"], "coxa femur tibia") {
			keys(t, s, "stall_torque_nm no_load_speed_rad_s")
		}
		for _, k := range items(t, leg["links"]) {
			keys(t, k, "name mass_kg com_m inertia_kg_m2")
		}
	}
	for _, e := range items(t, top["sequence"]) {
		keys(t, e, "entry kind from_s to_s")
	}
	d := &described{}
	strict(t, text, d)
	return d
}

func TestDescribe(t *testing.T) {
	for _, args := range [][]string{nil, {place(t, "walker.toml", assets.Walker)}} {
		d := descriptionOf(t, args...)
		checkPhysical(t, "body", d.Robot.Body.Mass, d.Robot.Body.Inertia)
		sum := d.Robot.Body.Mass
		names := map[string]int{}
		for i, l := range d.Robot.Legs {
			names[l.Name] = i
			if len(l.Links) != 3 || l.Links[0].Name != "coxa" || l.Links[1].Name != "femur" || l.Links[2].Name != "tibia" {
				t.Errorf("links of %s: %+v", l.Name, l.Links)
			}
			for _, k := range l.Links {
				sum += k.Mass
				checkPhysical(t, l.Name+" "+k.Name, k.Mass, k.Inertia)
			}
			for joint, r := range l.Limits {
				if !(r[0] < r[1]) {
					t.Errorf("%s %s limits %v", l.Name, joint, r)
				}
			}
		}
		if math.Abs(sum-d.Robot.Mass) > 1e-12 {
			t.Errorf("parts weigh %v, the whole %v", sum, d.Robot.Mass)
		}
		for _, l := range d.Robot.Legs {
			if l.Mirror == "" {
				continue
			}
			m := d.Robot.Legs[names[l.Mirror]]
			if m.Mirror != l.Name || m.Mount[1] != -l.Mount[1] || m.Heading != -l.Heading {
				t.Errorf("%s mirrors %s: %+v, %+v", l.Name, l.Mirror, l, m)
			}
		}
		now := 0.0
		for _, e := range d.Sequence {
			if e.From != now || e.To < e.From || e.Entry == "" || e.Kind == "" {
				t.Errorf("entry %+v, expected from %v", e, now)
			}
			now = e.To
		}
		if now != d.Duration || d.Robot.Gravity != 9.80665 { // standard gravity, NIST SP 811
			t.Errorf("sequence ends at %v of %v s; gravity %v", now, d.Duration, d.Robot.Gravity)
		}
	}
}

// checkPhysical holds an inertia against what that of any real part keeps to:
// symmetric, no moment greater than the sum of the two others (about any axes),
// none negative.
func checkPhysical(t *testing.T, part string, mass float64, in [3][3]float64) {
	t.Helper()
	const near = 1e-15
	for i := range 3 {
		a, b, c := in[i][i], in[(i+1)%3][(i+1)%3], in[(i+2)%3][(i+2)%3]
		if !(a >= 0) || !(a <= b+c+near) || !(a > 0 || b > 0 || mass == 0) {
			t.Errorf("%s: moments of inertia %v, %v, %v", part, a, b, c)
		}
		for j := range i {
			if in[i][j] != in[j][i] || in[i][j]*in[i][j] > in[i][i]*in[j][j]+near*near {
				t.Errorf("%s: inertia %v", part, in)
			}
		}
	}
}

// Friction, supply and servos by hand from the numbers that the files have: 1
// kgf·cm is 0.0980665 N·m (from standard gravity), 60° in 0.14 s are (π/3)/0.14
// rad/s. On another voltage than the datasheet's both go with it. The inertia
// of a tibia of 34 g, 130 mm long and 18 mm thick, is that of a rod, 1/12
// m(3r²+l²) across and 1/2 mr² along (textbook); a femur's of 30 g and 80 mm
// has the tibia servo of 58 g at its far end too.
func TestDescribeLoads(t *testing.T) {
	low := strings.Replace(string(assets.Demo), "voltage_v = 6.8\ncurrent_limit_a = 15\n", "voltage_v = 5.1\n", 1)
	mixed := strings.Replace(string(assets.Walker), "[[leg]]", "[servo.other]\nstall_kgf_cm = 10\nspeed_s_per_60deg = 0.2\nvoltage_v = 5\nmass_g = 58\n\n[[leg]]", 1)
	mixed = strings.Replace(mixed, `servo = "standard", mass_g = 30`, `servo = "other", mass_g = 30`, 1)
	if low == string(assets.Demo) || !strings.Contains(mixed, `servo = "other"`) {
		t.Fatal("a demo has changed: nothing was replaced")
	}
	torque, speed := 20*0.0980665, math.Pi/3/0.14
	for _, c := range []struct {
		name            string
		text            string
		friction        float64
		volts, amps     float64 // 0: null
		share           float64
		otherTorque     float64 // of LF's tibia servo
		otherSpeed      float64
		tibia, tibiaAcr float64 // inertia of LF's tibia
		femurAcr        float64
	}{
		{"demo", string(assets.Demo), 0.7, 6.8, 15, 1, torque, speed, 0.034 * 0.009 * 0.009 / 2, 0.034 * (3*0.009*0.009 + 0.13*0.13) / 12,
			0.030*(3*0.009*0.009+0.08*0.08)/12 + 0.030*0.058/0.088*0.04*0.04},
		{"low", low, 0.7, 5.1, 0, 0.75, 0.75 * torque, 0.75 * speed, 0, 0, 0},
		{"walker", string(assets.Walker), 0.6, 6.8, 0, 1, torque, speed, 0, 0, 0},
		{"mixed", mixed, 0.6, 0, 0, 1, 0.980665, math.Pi / 3 / 0.2, 0, 0, 0},
	} {
		d := descriptionOf(t, place(t, c.name+".toml", []byte(c.text)))
		near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Abs(b) }
		is := func(p *float64, want float64) bool { return p == nil && want == 0 || p != nil && *p == want }
		if r := &d.Robot; r.Friction != c.friction || !is(r.Supply.Voltage, c.volts) || !is(r.Supply.Limit, c.amps) {
			t.Errorf("%s: friction %v, supply %+v", c.name, r.Friction, r.Supply)
		}
		for i, l := range d.Robot.Legs {
			for j, s := range l.Servos {
				want, fast := c.share*torque, c.share*speed
				if j == "tibia" && (i == 0 || l.Mirror == d.Robot.Legs[0].Name) {
					want, fast = c.otherTorque, c.otherSpeed
				}
				if !near(s.Stall, want) || !near(s.NoLoad, fast) {
					t.Errorf("%s, %s %s: %+v, want %v N·m, %v rad/s", c.name, l.Name, j, s, want, fast)
				}
			}
		}
		if c.tibia == 0 {
			continue
		}
		in := d.Robot.Legs[0].Links[2].Inertia
		if !near(in[0][0], c.tibia) || !near(in[1][1], c.tibiaAcr) || !near(in[2][2], c.tibiaAcr) {
			t.Errorf("%s: inertia of the tibia %v", c.name, in)
		}
		if in := d.Robot.Legs[0].Links[1].Inertia; !near(in[1][1], c.femurAcr) {
			t.Errorf("%s: inertia of the femur %v, want %v across", c.name, in, c.femurAcr)
		}
	}
}

// traced reads the CSV of trace: rows by column, "" where a cell is empty.
type traced struct {
	header []string
	rows   [][]string
	at     map[string]int
}

func read(t *testing.T, text string) *traced {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	tr := &traced{header: all[0], rows: all[1:], at: map[string]int{}}
	for i, h := range tr.header {
		tr.at[h] = i
	}
	return tr
}

// num gives a number, NaN for an empty cell.
func (tr *traced) num(t *testing.T, row int, column string) float64 {
	t.Helper()
	s := tr.rows[row][tr.at[column]]
	if s == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func (tr *traced) vec(t *testing.T, row int, prefix string) (v [3]float64) {
	t.Helper()
	for i, axis := range []string{"x", "y", "z"} {
		v[i] = tr.num(t, row, prefix+"_"+axis+"_m")
	}
	return v
}

// rot is R = Rz(yaw)·Ry(pitch)·Rx(roll) times v, one axis after another.
func rot(roll, pitch, yaw float64, v [3]float64) [3]float64 {
	turn := func(a, b *float64, angle float64) {
		s, c := math.Sincos(angle)
		*a, *b = c**a-s**b, s**a+c**b
	}
	turn(&v[1], &v[2], roll)
	turn(&v[2], &v[0], pitch)
	turn(&v[0], &v[1], yaw)
	return v
}

func plus(a, b [3]float64) [3]float64 { return [3]float64{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

func apart(a, b [3]float64) float64 {
	return math.Hypot(a[0]-b[0], math.Hypot(a[1]-b[1], a[2]-b[2]))
}

// The trace can be recomputed from the description alone: feet by the leg's
// formula, the centre of mass from the links, the margin from the planted
// feet. Level and tilted ground, two robots, and a motion out of reach.
func TestTraceAgreesWithDescription(t *testing.T) {
	tilted := strings.Replace(string(assets.Walker), "[limits]", "[ground]\ntilt_roll_deg = 3\ntilt_pitch_deg = -4\n\n[limits]", 1)
	if tilted == string(assets.Walker) {
		t.Fatal("the walker has no [limits] to put the ground before")
	}
	// One pair of legs heavier than the other.
	heavy := strings.Replace(tilted, "mass_g = 30, channel = 2", "mass_g = 90, centre_mm = [50, 4, -9], channel = 2", 1)
	if heavy == tilted {
		t.Fatal("the walker has no tibia on channel 2 to make heavier")
	}
	for _, args := range [][]string{
		nil, {place(t, "walker.toml", assets.Walker)}, {place(t, "tilted.toml", []byte(heavy))}, {fault(t, "out-of-reach")}, {fault(t, "airborne")},
	} {
		d := descriptionOf(t, args...)
		tr := read(t, fine(t, append([]string{"trace", "--rate", "50"}, args...)...))
		const near = 1e-9
		reached, missed := 0, 0
		for k := range tr.rows {
			num := func(column string) float64 { return tr.num(t, k, column) }
			roll, pitch, yaw := num("body_roll_rad"), num("body_pitch_rad"), num("body_yaw_rad")
			body := tr.vec(t, k, "body")
			world := func(pB [3]float64) [3]float64 { return plus(body, rot(roll, pitch, yaw, pB)) }
			var com [3]float64
			add := func(mass float64, p [3]float64) {
				for i := range com {
					com[i] += mass / d.Robot.Mass * p[i]
				}
			}
			add(d.Robot.Body.Mass, world(d.Robot.Body.COM))
			var feet []support.Point
			for _, l := range d.Robot.Legs {
				q0, q1, q2 := num(l.Name+"_coxa_rad"), num(l.Name+"_femur_rad"), num(l.Name+"_tibia_rad")
				// A point of the leg's plane, in the world.
				in := func(x, y, z float64) [3]float64 {
					return world(plus(l.Mount, rot(0, 0, l.Heading+q0, [3]float64{x, y, z})))
				}
				foot := in(l.Coxa+l.Femur*math.Cos(q1)+l.Tibia*math.Cos(q1+q2), l.Lateral, l.Vertical+l.Femur*math.Sin(q1)+l.Tibia*math.Sin(q1+q2))
				told := tr.vec(t, k, l.Name+"_foot")
				switch gap := apart(foot, told); num(l.Name + "_reached") {
				case 1:
					reached++
					if !(gap <= near) {
						t.Fatalf("%v, row %d: foot %s is at %v, its angles put it at %v", args, k, l.Name, told, foot)
					}
				case 0:
					missed++
					if !(gap > 0) {
						t.Fatalf("%v, row %d: foot %s counts as not reached, yet it is", args, k, l.Name)
					}
				default:
					t.Fatalf("row %d: %s_reached is neither 0 nor 1", k, l.Name)
				}
				switch num(l.Name + "_planted") {
				case 1:
					feet = append(feet, support.Point{X: told[0], Y: told[1]})
				case 0:
				default:
					t.Fatalf("row %d: %s_planted is neither 0 nor 1", k, l.Name)
				}
				for j, link := range l.Links {
					c := link.COM
					s, z, a := 0.0, 0.0, 0.0 // the link's origin in the leg's plane, and its pitch
					y := c[1]
					if j > 0 {
						s, z, a, y = l.Coxa, l.Vertical, q1, y+l.Lateral
					}
					if j > 1 {
						s, z, a = s+l.Femur*math.Cos(q1), z+l.Femur*math.Sin(q1), q1+q2
					}
					add(link.Mass, in(s+c[0]*math.Cos(a)-c[2]*math.Sin(a), y, z+c[0]*math.Sin(a)+c[2]*math.Cos(a)))
				}
			}
			if told := tr.vec(t, k, "com"); !(apart(com, told) <= near) {
				t.Fatalf("%v, row %d: centre of mass at %v, the links put it at %v", args, k, told, com)
			}
			hull := support.Hull(feet)
			margin, told := hull.Margin(support.Point{X: com[0], Y: com[1]}), num("static_margin_m")
			if math.IsInf(margin, -1) != math.IsNaN(told) || (!math.IsNaN(told) && !(math.Abs(margin-told) <= near)) {
				t.Fatalf("%v, row %d: margin %v, recomputed %v", args, k, told, margin)
			}
		}
		if reached == 0 {
			t.Errorf("%v: no foot ever reached", args)
		}
		if len(args) > 0 && filepath.Base(args[0]) == "out-of-reach.toml" && missed == 0 {
			t.Errorf("%v: no foot out of reach", args)
		}
	}
}

func TestTraceShape(t *testing.T) {
	d := descriptionOf(t)
	want := strings.Split("t_s,entry,body_x_m,body_y_m,body_z_m,body_roll_rad,body_pitch_rad,body_yaw_rad,com_x_m,com_y_m,com_z_m,static_margin_m", ",")
	for _, l := range d.Robot.Legs {
		for _, c := range strings.Split("coxa_rad,femur_rad,tibia_rad,foot_x_m,foot_y_m,foot_z_m,planted,reached", ",") {
			want = append(want, l.Name+"_"+c)
		}
	}
	want = append(want, strings.Split("zmp_x_m,zmp_y_m,dynamic_margin_m,energy_margin_m,supply_current_a", ",")...)
	for _, l := range d.Robot.Legs {
		for _, c := range strings.Split("coxa_vel_rad_s,femur_vel_rad_s,tibia_vel_rad_s,coxa_torque_nm,femur_torque_nm,tibia_torque_nm,force_x_n,force_y_n,force_z_n", ",") {
			want = append(want, l.Name+"_"+c)
		}
	}
	for _, c := range []struct {
		args []string
		rate float64
	}{{nil, 500}, {[]string{"--rate", "100"}, 100}, {[]string{"--rate", "33.3"}, 33.3}} { // the demo's review_hz is 500
		text := fine(t, append([]string{"trace"}, c.args...)...)
		tr := read(t, text)
		if strings.Join(tr.header, ",") != strings.Join(want, ",") {
			t.Fatalf("header %q,\nwant %q", tr.header, want)
		}
		if n := int(math.Floor(d.Duration*c.rate+1e-6)) + 1; len(tr.rows) != n {
			t.Errorf("%v: %d rows, want %d", c.args, len(tr.rows), n)
		}
		for k := range tr.rows {
			at := tr.num(t, k, "t_s")
			if at != float64(k)/c.rate {
				t.Fatalf("row %d at %v s, want %v", k, at, float64(k)/c.rate)
			}
			entry := tr.rows[k][1]
			for _, e := range d.Sequence {
				if at > e.From+1e-6 && at < e.To-1e-6 && entry != e.Entry {
					t.Fatalf("row at %v s belongs to %q, want %q", at, entry, e.Entry)
				}
			}
		}
		if entry, last := tr.rows[len(tr.rows)-1][1], d.Sequence[len(d.Sequence)-1].Entry; entry != last {
			t.Errorf("last row belongs to %q, want %q", entry, last)
		}

		path := filepath.Join(t.TempDir(), "trace.csv")
		if out := fine(t, append([]string{"trace", "--out", path}, c.args...)...); out != "" {
			t.Errorf("with --out, standard output has %q", out)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != text {
			t.Errorf("the file differs from standard output (%v)", err)
		}
	}
}

// A planted foot's centre is its radius above level ground.
func TestTracePlantedFeet(t *testing.T) {
	d := descriptionOf(t)
	tr := read(t, fine(t, "trace", "--rate", "100"))
	planted := 0
	for k := range tr.rows {
		for _, l := range d.Robot.Legs {
			if tr.num(t, k, l.Name+"_planted") == 1 {
				planted++
				if z := tr.num(t, k, l.Name+"_foot_z_m"); math.Abs(z-l.Foot) > 1e-9 {
					t.Fatalf("row %d: foot %s stands at %v m, its radius is %v m", k, l.Name, z, l.Foot)
				}
			}
		}
	}
	if planted == 0 {
		t.Error("no foot ever stands")
	}
}

func TestCells(t *testing.T) {
	var c cells
	for range 2 { // used again for the next row
		c.reset()
		c.add(0.1, math.Inf(-1), math.NaN(), 1.0/3, -2e-20)
		c.text(`a, "b"`)
		c.flag(true)
		c.flag(false)
		got := strings.Join(c.row(nil), "|")
		if want := `0.1|||0.3333333333333333|-2e-20|a, "b"|1|0`; got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}
