// SPDX-License-Identifier: MIT

package main

import (
	"math"
	"sort"
	"strconv"
	"testing"
)

// The code here knows only what describe and trace print: it places the parts
// by the leg's formula and differentiates them itself, with nothing of kin or
// motion. See rigid for the differences.

func minus(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func times(s float64, a [3]float64) [3]float64 { return [3]float64{s * a[0], s * a[1], s * a[2]} }

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func length(a [3]float64) float64 { return math.Sqrt(dot(a, a)) }

// matrix is by columns: where the axes of a part point.
type matrix [3][3]float64

func (m *matrix) mul(v [3]float64) [3]float64 {
	return plus(times(v[0], m[0]), plus(times(v[1], m[1]), times(v[2], m[2])))
}

func (m *matrix) back(v [3]float64) [3]float64 {
	return [3]float64{dot(m[0], v), dot(m[1], v), dot(m[2], v)}
}

// placed is a part at one row.
type placed struct {
	c [3]float64 // centre of mass in the world, m
	r matrix     // its axes
}

// hinge is a joint at one row.
type hinge struct{ p, axis [3]float64 }

// machine is a described robot.
type machine struct {
	*described
	mass    []float64 // body, then coxa, femur and tibia of each leg, kg
	com     [][3]float64
	inertia [][3][3]float64
}

func machineOf(d *described) *machine {
	m := &machine{described: d}
	add := func(mass float64, com [3]float64, inertia [3][3]float64) {
		m.mass, m.com, m.inertia = append(m.mass, mass), append(m.com, com), append(m.inertia, inertia)
	}
	add(d.Robot.Body.Mass, d.Robot.Body.COM, d.Robot.Body.Inertia)
	for _, l := range d.Robot.Legs {
		for _, k := range l.Links {
			add(k.Mass, k.COM, k.Inertia)
		}
	}
	return m
}

// place gives parts, joints and feet of the pose body (x, y, z, roll, pitch,
// yaw) with the joint angles q, leg by leg.
func (m *machine) place(body, q []float64, parts []placed, joints []hinge, feet [][3]float64) {
	at := [3]float64{body[0], body[1], body[2]}
	turn := func(v [3]float64) [3]float64 { return rot(body[3], body[4], body[5], v) }
	put := func(i int, origin [3]float64, yaw, pitch float64) {
		s, c := math.Sincos(pitch)
		out := rot(0, 0, yaw, [3]float64{c, 0, s})
		up := rot(0, 0, yaw, [3]float64{-s, 0, c})
		side := rot(0, 0, yaw, [3]float64{0, 1, 0})
		r := matrix{turn(out), turn(side), turn(up)}
		parts[i] = placed{plus(plus(at, turn(origin)), r.mul(m.com[i])), r}
	}
	put(0, [3]float64{}, 0, 0)
	for i, l := range m.Robot.Legs {
		q := q[3*i : 3*i+3]
		yaw := l.Heading + q[0]
		in := func(x, z float64) [3]float64 {
			return plus(l.Mount, rot(0, 0, yaw, [3]float64{x, l.Lateral, z}))
		}
		femur := in(l.Coxa, l.Vertical)
		knee := in(l.Coxa+l.Femur*math.Cos(q[1]), l.Vertical+l.Femur*math.Sin(q[1]))
		foot := in(l.Coxa+l.Femur*math.Cos(q[1])+l.Tibia*math.Cos(q[1]+q[2]), l.Vertical+l.Femur*math.Sin(q[1])+l.Tibia*math.Sin(q[1]+q[2]))
		put(1+3*i, l.Mount, yaw, 0)
		put(2+3*i, femur, yaw, q[1])
		put(3+3*i, knee, yaw, q[1]+q[2])
		raises := turn(rot(0, 0, yaw, [3]float64{0, -1, 0})) // a positive angle raises what is ahead
		joints[3*i] = hinge{plus(at, turn(l.Mount)), turn([3]float64{0, 0, 1})}
		joints[3*i+1] = hinge{plus(at, turn(femur)), raises}
		joints[3*i+2] = hinge{plus(at, turn(knee)), raises}
		feet[i] = plus(at, turn(foot))
	}
}

// observed is a trace as numbers, NaN where a cell is empty.
type observed struct {
	*machine
	n, legs int
	h       float64 // s
	tr      *traced
	column  map[string][]float64
	q       [][]float64
	parts   [][]placed
	joints  [][]hinge
	feet    [][][3]float64
}

const observedRate = 1000

func observe(t *testing.T, args ...string) *observed {
	t.Helper()
	o := &observed{machine: machineOf(descriptionOf(t, args...)), h: 1.0 / observedRate, column: map[string][]float64{}}
	o.tr = read(t, fine(t, append([]string{"trace", "--rate", strconv.Itoa(observedRate)}, args...)...))
	o.n, o.legs = len(o.tr.rows), len(o.Robot.Legs)
	for _, name := range o.tr.header {
		if name == "entry" {
			continue
		}
		col := make([]float64, o.n)
		for k := range col {
			col[k] = o.tr.num(t, k, name)
		}
		o.column[name] = col
	}
	for k := range o.n {
		var body, q []float64
		for _, c := range []string{"x_m", "y_m", "z_m", "roll_rad", "pitch_rad", "yaw_rad"} {
			body = append(body, o.column["body_"+c][k])
		}
		for _, l := range o.Robot.Legs {
			for _, j := range jointWords {
				q = append(q, o.column[l.Name+"_"+j+"_rad"][k])
			}
		}
		parts, joints, feet := make([]placed, len(o.mass)), make([]hinge, 3*o.legs), make([][3]float64, o.legs)
		o.place(body, q, parts, joints, feet)
		o.q, o.parts, o.joints, o.feet = append(o.q, q), append(o.parts, parts), append(o.joints, joints), append(o.feet, feet)
	}
	return o
}

var jointWords = [...]string{"coxa", "femur", "tibia"}

func (o *observed) force(k, leg int) [3]float64 {
	n := o.Robot.Legs[leg].Name
	return [3]float64{o.column[n+"_force_x_n"][k], o.column[n+"_force_y_n"][k], o.column[n+"_force_z_n"][k]}
}

func (o *observed) torque(k, leg, joint int) float64 {
	return o.column[o.Robot.Legs[leg].Name+"_"+jointWords[joint]+"_torque_nm"][k]
}

func (o *observed) planted(k, leg int) bool {
	return o.column[o.Robot.Legs[leg].Name+"_planted"][k] == 1
}

// told tells whether the row says anything of forces. It says all or nothing.
func (o *observed) told(t *testing.T, k int) bool {
	t.Helper()
	cells, empty := 0, 0
	look := func(v float64) {
		cells++
		if math.IsNaN(v) {
			empty++
		}
	}
	look(o.column["supply_current_a"][k])
	for i := range o.legs {
		for j := range 3 {
			look(o.force(k, i)[j])
			look(o.torque(k, i, j))
		}
	}
	if empty != 0 && empty != cells {
		t.Fatalf("row %d: %d of %d cells of current, torques and forces are empty", k, empty, cells)
	}
	return empty == 0
}

// The ways in which a rate at a row is taken from the rows around it: from both
// sides, from both sides twice as far away, from before, and from behind. Their
// errors are of the second order in the step with different factors, and where
// a rate changes at once the last two differ by the step of it. How far they
// are apart, and half as much for the errors of the last two themselves, is
// therefore what differencing justifies as a tolerance.
const (
	near1 = iota
	near2
	before
	behind
	ways
)

// spread gives the tolerance of the first way.
func spread(v *[ways][3]float64) (s float64) {
	for _, w := range v[1:] {
		s = max(s, 1.5*apart(v[0], w))
	}
	return s
}

// spread1 is spread for one number.
func spread1(v *[ways]float64) (s float64) {
	for _, w := range v[1:] {
		s = max(s, 1.5*math.Abs(w-v[0]))
	}
	return s
}

// slope gives the rate of a column at row k.
func (o *observed) slope(q func(k int) float64, k int) [ways]float64 {
	return [ways]float64{
		near1:  (q(k+1) - q(k-1)) / (2 * o.h),
		near2:  (q(k+2) - q(k-2)) / (4 * o.h),
		before: (3*q(k) - 4*q(k-1) + q(k-2)) / (2 * o.h),
		behind: (-3*q(k) + 4*q(k+1) - q(k+2)) / (2 * o.h),
	}
}

// rigid is what moves a part at a row, by each way.
type rigid struct {
	force [ways][3]float64 // mass times acceleration, N
	spin  [ways][3]float64 // rate of the angular momentum about its own centre, N·m
}

// rigid differentiates part i at row k, 3 or more from the ends.
func (o *observed) rigid(k, i int) (g rigid) {
	c := func(d int) [3]float64 { return o.parts[k+d][i].c }
	mix := func(s float64, terms ...any) (v [3]float64) {
		for n := 0; n < len(terms); n += 2 {
			v = plus(v, times(terms[n].(float64), terms[n+1].([3]float64)))
		}
		return times(s, v)
	}
	a := o.mass[i] / (o.h * o.h)
	g.force = [ways][3]float64{
		near1:  mix(a, 1., c(1), -2., c(0), 1., c(-1)),
		near2:  mix(a/4, 1., c(2), -2., c(0), 1., c(-2)),
		before: mix(a, 2., c(0), -5., c(-1), 4., c(-2), -1., c(-3)),
		behind: mix(a, 2., c(0), -5., c(1), 4., c(2), -1., c(3)),
	}
	s := func(from, to int) [3]float64 { return o.momentum(i, k+from, k+to) }
	g.spin = [ways][3]float64{
		near1:  mix(1/o.h, 1., s(0, 1), -1., s(-1, 0)),
		near2:  mix(1/(2*o.h), 1., s(0, 2), -1., s(-2, 0)),
		before: mix(1/o.h, 2., s(-1, 0), -3., s(-2, -1), 1., s(-3, -2)), // the parabola through three half steps
		behind: mix(-1/o.h, 2., s(0, 1), -3., s(1, 2), 1., s(2, 3)),
	}
	return g
}

// momentum gives the angular momentum of part i about its own centre half way
// between two rows: the mean of the inertia at both times the turn between
// them, which is read off R(to)·R(from)ᵀ.
func (o *observed) momentum(i, from, to int) [3]float64 {
	a, b := &o.parts[from][i].r, &o.parts[to][i].r
	var w [3]float64
	for n := range 3 { // Σ a×b over the axes is 2 sin(angle) along the axis of the turn
		w = plus(w, cross(a[n], b[n]))
	}
	w = times(0.5, w)
	if s := length(w); s > 0 {
		w = times(math.Asin(min(1, s))/s/(float64(to-from)*o.h), w)
	}
	return times(0.5, plus(o.weighed(i, a, w), o.weighed(i, b, w)))
}

// weighed is R·I·Rᵀ·w.
func (o *observed) weighed(i int, r *matrix, w [3]float64) [3]float64 {
	v := r.back(w)
	in := &o.inertia[i]
	return r.mul([3]float64{dot(in[0], v), dot(in[1], v), dot(in[2], v)})
}

func (o *observed) com3(k int) [3]float64 {
	return [3]float64{o.column["com_x_m"][k], o.column["com_y_m"][k], o.column["com_z_m"][k]}
}

// demand gives what the ground has to exert at row k, and about the centre of
// mass.
func (o *observed) demand(k int, all []rigid) (force, moment [ways][3]float64) {
	com := o.com3(k)
	for w := range ways {
		for i := range all {
			force[w] = plus(force[w], plus(all[i].force[w], [3]float64{2: o.mass[i] * o.Robot.Gravity}))
			moment[w] = plus(moment[w], plus(cross(minus(o.parts[k][i].c, com), all[i].force[w]), all[i].spin[w]))
		}
	}
	return force, moment
}

// hull gives the corners of the planted feet seen from above, going round the
// outside (gift wrapping), and whether they span an area.
func (o *observed) hull(k int) (ring [][3]float64, ok bool) {
	var feet [][3]float64
	for i := range o.legs {
		if o.planted(k, i) {
			feet = append(feet, o.tr3(k, i))
		}
	}
	if len(feet) < 3 {
		return nil, false
	}
	sort.Slice(feet, func(a, b int) bool { return feet[a][0] < feet[b][0] })
	at := 0
	for range feet {
		ring = append(ring, feet[at])
		next := (at + 1) % len(feet)
		for i := range feet {
			// A foot to the right of the line to next lies farther out.
			if u, v := minus(feet[next], feet[at]), minus(feet[i], feet[at]); u[0]*v[1]-u[1]*v[0] < 0 {
				next = i
			}
		}
		if at = next; at == 0 {
			return ring, len(ring) > 2
		}
	}
	return nil, false
}

// tr3 is the foot of a leg as the trace has it.
func (o *observed) tr3(k, leg int) [3]float64 {
	n := o.Robot.Legs[leg].Name
	return [3]float64{o.column[n+"_foot_x_m"][k], o.column[n+"_foot_y_m"][k], o.column[n+"_foot_z_m"][k]}
}

// inside gives the signed distance of x, y inside a ring.
func inside(ring [][3]float64, x, y float64) float64 {
	edge, far := math.Inf(1), math.Inf(1)
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		ux, uy := b[0]-a[0], b[1]-a[1]
		l := math.Hypot(ux, uy)
		edge = min(edge, (ux*(y-a[1])-uy*(x-a[0]))/l)
		s := max(0, min(1, (ux*(x-a[0])+uy*(y-a[1]))/(l*l)))
		far = min(far, math.Hypot(x-a[0]-s*ux, y-a[1]-s*uy))
	}
	if edge >= 0 {
		return edge
	}
	return -far
}
