// SPDX-License-Identifier: MIT

package dynamics

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// A case of testdata/dart: what the Dynamic Animation and Robotics Toolkit
// 6.12.1 says of a whole robot (see the README there).
type dartCase struct {
	robot      *kin.Robot
	model      *Model
	body       BodyMotion // by Rows
	q, qd, qdd []float64  // legs x 3
	force      []r3.Vec   // on each foot, W's axes

	mass         float64
	omega, alpha []float64
	com          [3][]float64 // with its first and second derivative
	p, l         []float64
	base         [2][]float64 // force, moment about the centre of mass
	legs         []dartLeg
}

type dartLeg struct{ tau, gravity, mass, foot []float64 }

// dartTable reads a file of testdata/dart: numbers under one row of names.
func dartTable(tb testing.TB, name string) [][]float64 {
	tb.Helper()
	file, err := os.Open("../../testdata/dart/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	defer file.Close()
	cells, err := csv.NewReader(file).ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	rows := make([][]float64, len(cells)-1)
	for i, c := range cells[1:] {
		for _, s := range c {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				tb.Fatalf("%s, row %d: %v", name, i+2, err)
			}
			rows[i] = append(rows[i], v)
		}
	}
	return rows
}

// cutter hands out the cells of a row from the left.
type cutter []float64

func (c *cutter) take(n int) []float64 {
	head := (*c)[:n:n]
	*c = (*c)[n:]
	return head
}

func (c *cutter) one() float64 { return c.take(1)[0] }

func (c *cutter) link() kin.Link {
	k := kin.Link{Mass: c.one(), COM: vec(c.take(3))}
	i := c.take(6)
	k.Inertia = kin.Inertia{XX: i[0], YY: i[1], ZZ: i[2], XY: i[3], XZ: i[4], YZ: i[5]}
	return k
}

// key takes the two numbers a row begins with and stops the test where they
// are not the ones that belong there.
func (c *cutter) key(tb testing.TB, a, b int) {
	tb.Helper()
	if x, y := c.one(), c.one(); x != float64(a) || y != float64(b) {
		tb.Fatalf("row begins with %v, %v, want %d, %d", x, y, a, b)
	}
}

func dartRobots(tb testing.TB) []*kin.Robot {
	tb.Helper()
	legs := dartTable(tb, "robot_legs.csv")
	var robots []*kin.Robot
	for i, row := range dartTable(tb, "robots.csv") {
		c := cutter(row)
		n := int(row[1])
		c.key(tb, i, n)
		r := &kin.Robot{Name: fmt.Sprint("robot ", i), Gravity: c.one()}
		b := c.link()
		r.Body = kin.Body{Mass: b.Mass, COM: b.COM, Inertia: b.Inertia}
		for j := range n {
			c := cutter(legs[0])
			legs = legs[1:]
			c.key(tb, i, j)
			l := kin.Leg{Name: fmt.Sprint("L", j), Mirror: -1, PBH: vec(c.take(3)), Heading: c.one()}
			l.Length = [kin.Joints]float64(c.take(3))
			l.Lateral, l.Vertical = c.one(), c.one()
			for k := range l.Links {
				l.Links[k] = c.link()
				l.Limits[k] = kin.Range{Lo: -math.Pi, Hi: math.Pi}
			}
			if len(c) != 0 {
				tb.Fatalf("robot %d, leg %d: %d cells left over", i, j, len(c))
			}
			r.Legs = append(r.Legs, l)
		}
		if err := r.Check(); err != nil || len(c) != 0 {
			tb.Fatalf("robot %d: %v, %d cells left over", i, err, len(c))
		}
		robots = append(robots, r)
	}
	if len(legs) != 0 {
		tb.Fatalf("%d legs left over", len(legs))
	}
	return robots
}

func dartCases(tb testing.TB) []dartCase {
	tb.Helper()
	robots := dartRobots(tb)
	results := dartTable(tb, "results.csv")
	legs, legResults := dartTable(tb, "case_legs.csv"), dartTable(tb, "result_legs.csv")
	var all []dartCase
	for i, row := range dartTable(tb, "cases.csv") {
		in, out := cutter(row), cutter(results[i])
		k := int(row[1])
		in.key(tb, i, k)
		d := dartCase{robot: robots[k], model: New(robots[k])}
		x, xd, xdd := in.take(6), in.take(6), in.take(6)
		d.body = Rows([6]float64(x), [6]float64(xd), [6]float64(xdd))
		out.take(1)
		d.mass, d.omega, d.alpha = out.one(), out.take(3), out.take(3)
		d.com = [3][]float64{out.take(3), out.take(3), out.take(3)}
		d.p, d.l = out.take(3), out.take(3)
		d.base = [2][]float64{out.take(3), out.take(3)}
		if results[i][0] != float64(i) || len(in) != 0 || len(out) != 0 {
			tb.Fatalf("case %d: result of %v, %d and %d cells left over", i, results[i][0], len(in), len(out))
		}
		for j := range d.robot.Legs {
			in, out := cutter(legs[0]), cutter(legResults[0])
			legs, legResults = legs[1:], legResults[1:]
			in.key(tb, i, j)
			out.key(tb, i, j)
			d.q, d.qd, d.qdd = append(d.q, in.take(3)...), append(d.qd, in.take(3)...), append(d.qdd, in.take(3)...)
			d.force = append(d.force, vec(in.take(3)))
			d.legs = append(d.legs, dartLeg{out.take(3), out.take(3), out.take(6), out.take(3)})
			if len(in) != 0 || len(out) != 0 {
				tb.Fatalf("case %d, leg %d: %d and %d cells left over", i, j, len(in), len(out))
			}
		}
		all = append(all, d)
	}
	if len(legs)+len(legResults) != 0 || len(results) != len(all) {
		tb.Fatal("rows left over")
	}
	return all
}

func (d *dartCase) motion() Motion { return d.model.Motion(&d.body, d.q, d.qd, d.qdd) }

// pull is Jᵀ·f of the force on foot j, what it takes from the joint torques.
func (d *dartCase) pull(j int) (t [kin.Joints]float64) {
	l := &d.robot.Legs[j]
	x := l.XBH()
	f := x.R.TMul(d.body.XWB.R.TMul(d.force[j]))
	jac := l.Jacobian(joints(d.q, j))
	for k := range t {
		t[k] = jac[k]*f.X + jac[3+k]*f.Y + jac[6+k]*f.Z
	}
	return t
}

func (d *dartCase) foot(j int) r3.Vec { // in W
	l := &d.robot.Legs[j]
	x := l.XBH()
	return d.body.XWB.At(x.At(l.Forward(joints(d.q, j))))
}

func xyz(v r3.Vec) []float64 { return []float64{v.X, v.Y, v.Z} }

// Every quantity is compared relative to the largest number of its set: a
// vector, the joints of a leg, a leg's mass matrix.
func TestAgainstDART(t *testing.T) {
	const rel = 1e-8 // 1e-12 is met
	cases := dartCases(t)
	legs := map[int]int{}
	still, moving, pushed := 0, 0, 0
	for i := range cases {
		d := &cases[i]
		legs[len(d.legs)]++
		if d.body.Omega == (r3.Vec{}) {
			still++
		} else {
			moving++
		}
		for _, f := range d.force {
			if f != (r3.Vec{}) {
				pushed++
			}
		}
	}
	if len(cases) < 300 || legs[4] < 100 || legs[6] < 100 || legs[8] < 100 || still < 50 || moving < 200 || pushed < 1000 {
		t.Fatalf("too little to compare with: %d cases, by legs %v, %d bodies at rest, %d moving, %d feet pushed",
			len(cases), legs, still, moving, pushed)
	}

	type compare func(what string, got, want []float64)
	for _, q := range []struct {
		name string
		sets int // compared in each case, 0: one a leg
		run  func(d *dartCase, same compare)
	}{
		{"body rates", 2, func(d *dartCase, same compare) {
			same("angular velocity", xyz(d.body.Omega), d.omega)
			same("angular acceleration", xyz(d.body.Alpha), d.alpha)
		}},
		{"mass", 1, func(d *dartCase, same compare) {
			same("mass", []float64{d.model.Total}, []float64{d.mass})
		}},
		{"feet", 0, func(d *dartCase, same compare) {
			for j := range d.legs {
				same("foot", xyz(d.foot(j)), d.legs[j].foot)
			}
		}},
		{"centre of mass", 3, func(d *dartCase, same compare) {
			m := d.motion()
			same("centre of mass", xyz(m.COM), d.com[0])
			same("its velocity", xyz(m.Vel), d.com[1])
			same("its acceleration", xyz(m.Acc), d.com[2])
		}},
		{"linear momentum", 1, func(d *dartCase, same compare) {
			m := d.motion()
			same("linear momentum", xyz(m.P), d.p)
		}},
		{"angular momentum", 1, func(d *dartCase, same compare) {
			m := d.motion()
			same("angular momentum", xyz(m.L), d.l)
		}},
		{"demand", 2, func(d *dartCase, same compare) {
			m := d.motion()
			w := d.model.Demand(&m)
			// The feet give their share of it, the body's carrier the rest.
			for j, f := range d.force {
				w.Force = r3.Sub(w.Force, f)
				w.Moment = r3.Sub(w.Moment, r3.Cross(r3.Sub(d.foot(j), m.COM), f))
			}
			same("force on the body", xyz(w.Force), d.base[0])
			same("moment on the body", xyz(w.Moment), d.base[1])
		}},
		{"torques", 0, func(d *dartCase, same compare) {
			tau := make([]float64, len(d.q))
			d.model.Torques(tau, &d.body, d.q, d.qd, d.qdd, d.force)
			for j := range d.legs {
				same("torque", tau[3*j:3*j+3], d.legs[j].tau)
			}
		}},
		{"torques by sweep", 0, func(d *dartCase, same compare) {
			tau := make([]float64, len(d.q))
			d.model.Sweep(tau, &d.body, d.q, d.qd, d.qdd, r3.Vec{})
			for j := range d.legs {
				for k, p := range d.pull(j) {
					tau[3*j+k] -= p
				}
				same("torque", tau[3*j:3*j+3], d.legs[j].tau)
			}
		}},
		{"demand by sweep", 2, func(d *dartCase, same compare) {
			tau := make([]float64, len(d.q))
			com := r3.Vec{X: d.com[0][0], Y: d.com[0][1], Z: d.com[0][2]}
			w := d.model.Sweep(tau, &d.body, d.q, d.qd, d.qdd, com)
			for j, f := range d.force {
				w.Force = r3.Sub(w.Force, f)
				w.Moment = r3.Sub(w.Moment, r3.Cross(r3.Sub(d.foot(j), com), f))
			}
			same("force on the body", xyz(w.Force), d.base[0])
			same("moment on the body", xyz(w.Moment), d.base[1])
		}},
		{"gravity torques", 0, func(d *dartCase, same compare) {
			for j := range d.legs {
				base := d.model.Base(j, &d.body)
				g := d.model.Legs[j].GravityTorque(joints(d.q, j), base.Gravity)
				same("gravity torque", g[:], d.legs[j].gravity)
			}
		}},
		{"mass matrix", 0, func(d *dartCase, same compare) {
			for j := range d.legs {
				m := d.model.Legs[j].MassMatrix(joints(d.q, j))
				same("mass matrix", []float64{m[0], m[1], m[2], m[4], m[5], m[8]}, d.legs[j].mass)
			}
		}},
	} {
		t.Run(q.name, func(t *testing.T) {
			worst := 0.0
			for i := range cases {
				d := &cases[i]
				sets := 0
				q.run(d, func(what string, got, want []float64) {
					t.Helper()
					sets++
					if !closeTo(got, want, rel) {
						t.Errorf("case %d, set %d: %s = %v, want %v", i, sets, what, got, want)
					}
					size, off := 0.0, 0.0
					for k := range want {
						size, off = max(size, math.Abs(want[k])), max(off, math.Abs(got[k]-want[k]))
					}
					if off > 0 {
						worst = max(worst, off/size)
					}
				})
				want := q.sets
				if want == 0 {
					want = len(d.legs)
				}
				if sets != want {
					t.Fatalf("case %d: compared %d sets, want %d", i, sets, want)
				}
			}
			t.Logf("worst %.1e relative", worst)
		})
	}
}
