// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

// slowLoads adds to slowly what needs loads.
func slowLoads(out map[key]extreme, r *kin.Robot, t *motion.Trajectory, d *load.Loads, l Limits) {
	// note takes an instant that is bad: a stop, or else a caution.
	note := func(k key, sample int, bad, caution, stop, value float64) {
		if !(bad > caution) {
			return
		}
		e, ok := out[k]
		// The worst of the stops, if there are any.
		if s := bad > stop; !ok || s && !e.stop || s == e.stop && bad > e.bad {
			e.bad, e.over, e.stop = bad, bad-caution, s
		}
		if e.at == nil {
			e.at = map[int]instant{}
		}
		e.at[sample] = instant{bad, value}
		out[k] = e
	}
	derating, reserve := l.Derating, l.SpeedShare
	if derating <= 0 || derating > 1 {
		derating = 1
	}
	if reserve <= 0 || reserve >= 1 {
		reserve = 1
	}
	square := make([]float64, 3*len(r.Legs))
	whole := 0
	for k := range t.N {
		known := true
		amperes := 0.0
		for i := range r.Legs {
			for j := range kin.Joints {
				s := &r.Legs[i].Servos[j]
				tau, v := d.Torque[(k*len(r.Legs)+i)*3+j], t.V[(k*len(r.Legs)+i)*3+j]
				known = known && !math.IsNaN(tau)
				amperes += s.IdleCurrent
				if s.StallTorque > 0 {
					kick := s.StallCurrent
					stall := s.StallTorque
					if r.Supply.Voltage > 0 && s.Voltage > 0 {
						kick *= r.Supply.Voltage / s.Voltage
						stall *= r.Supply.Voltage / s.Voltage
					}
					share := math.Abs(tau) / stall
					if tau*v < 0 && s.Efficiency > 0 {
						share *= s.Efficiency * s.Efficiency
					}
					amperes += share * math.Max(0, kick-s.IdleCurrent)
				}
			}
		}
		if r.Supply.Limit > 0 {
			note(key{"supply-current", -1, -1, -1}, k, amperes, r.Supply.Limit, r.Supply.Limit, amperes)
		}
		if known {
			whole++
		}
		for i := range r.Legs {
			for j := range kin.Joints {
				s := &r.Legs[i].Servos[j]
				tau, v := d.Torque[(k*len(r.Legs)+i)*3+j], t.V[(k*len(r.Legs)+i)*3+j]
				if known {
					square[i*3+j] += tau * tau
				}
				volts := 1.0 // share of the datasheet's
				if r.Supply.Voltage > 0 {
					left := r.Supply.Voltage
					if !math.IsNaN(amperes) {
						left -= r.Supply.Resistance * amperes
					}
					volts = math.Max(0, left) / r.Supply.Voltage
					if s.Voltage > 0 {
						volts *= r.Supply.Voltage / s.Voltage
					}
				}
				if math.IsNaN(tau) {
					tau = 0
				}
				x, y := 0.0, 0.0 // shares of the no-load speed and of the stall torque
				if v != 0 && s.NoLoadSpeed > 0 {
					x = math.Abs(v) / (volts * s.NoLoadSpeed)
				}
				if tau != 0 && s.StallTorque > 0 {
					y = math.Abs(tau) / (volts * derating * s.StallTorque)
				}
				speed, torque := key{"joint-speed", i, j, -1}, key{"joint-torque", i, j, -1}
				switch {
				case tau*v > 0 && x >= y:
					if t.Reached(k, i) {
						note(speed, k, x/math.Max(0, 1-y), reserve, 1, math.Abs(v)*deg)
					}
				case tau*v > 0:
					note(torque, k, x+y, 1, 1, math.Abs(tau))
				case y > 1 && y > x:
					note(torque, k, y, 1, 1, math.Abs(tau))
				default:
					if t.Reached(k, i) {
						note(speed, k, x, reserve, 1, math.Abs(v)*deg)
					}
				}
			}
		}
		slowBalance(note, r, t, d, l, k)
	}
	for o, sum := range square {
		s := &r.Legs[o/3].Servos[o%3]
		holds := l.Holding * s.StallTorque
		k := key{"servo-heat", o / 3, o % 3, -1}
		if rms := math.Sqrt(sum / float64(whole)); whole > 0 && holds > 0 && rms > holds {
			out[k] = extreme{bad: rms, over: rms - holds, stop: rms > 1.5*holds}
		}
	}
	if l.OnStand {
		return
	}
	for _, b := range d.Blows {
		leg := t.Impacts[b.Impact].Leg
		ratio := func(torque [3]float64) (most float64, worst int) {
			for j, v := range torque {
				s := &r.Legs[leg].Servos[j]
				if s.StallTorque > 0 {
					v /= s.StallTorque
					if r.Supply.Voltage > 0 && s.Voltage > 0 {
						v /= r.Supply.Voltage / s.Voltage
					}
					if v > most {
						most, worst = v, j
					}
				}
			}
			return most, worst
		}
		free, jf := ratio(b.FreeTorque)
		stiff, js := ratio(b.LockedTorque)
		fast := b.Speed / l.Landing
		k, past := key{"hard-landing", leg, -1, -1}, fast
		switch {
		case free > 1 && free > fast:
			k.joint, past = jf, free
		case fast <= 1 && stiff > 1:
			k.joint, past = js, stiff
		case fast <= 1:
			continue
		}
		e, ok := out[k]
		if s := fast > 1 || free > 1; !ok || s && !e.stop || s == e.stop && past > e.bad {
			e = extreme{bad: past, over: past - 1, stop: s}
		}
		out[k] = e
	}
}

// slowBalance is the part of slowLoads about the whole robot at sample k.
func slowBalance(note func(k key, sample int, bad, caution, stop, value float64), r *kin.Robot, t *motion.Trajectory, d *load.Loads, l Limits, k int) {
	var feet []r3.Vec
	for i := range r.Legs {
		if t.Planted[k*len(r.Legs)+i] {
			feet = append(feet, t.FootAt(k, i))
		}
	}
	if l.OnStand {
		return
	}
	acc := r3.Vec{X: d.Acc[3*k], Y: d.Acc[3*k+1], Z: d.Acc[3*k+2] + r.Gravity}
	spin := r3.Vec{X: d.Spin[3*k], Y: d.Spin[3*k+1], Z: d.Spin[3*k+2]}
	normal := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	if len(feet) == 0 {
		lever := r3.Norm(spin) / (d.Mass * r.Gravity)
		a := r3.Norm(acc)
		switch {
		case math.IsNaN(a):
			note(key{"airborne", -1, -1, -1}, k, 0, -1, -1, 0)
		case a/0.5 >= lever/0.005:
			note(key{"airborne", -1, -1, -1}, k, a/0.5, 1, 1, a)
		default:
			note(key{"airborne", -1, -1, -1}, k, lever/0.005, 1, 1, lever*1000)
		}
		return
	}
	if d.State[k] == load.Unknown {
		return
	}
	lost := func(n int) bool {
		return d.State[n] == load.Slipping || d.State[n] == load.Pulled && d.Slip[n] > 0
	}
	if lost(k) {
		push := r3.Dot(normal, acc)
		pull := r3.Norm(r3.Cross(normal, acc)) / push
		if push <= 0 {
			pull = 1e12
		}
		// The whole slip, from its first sample on.
		slides := func(n int) bool {
			return d.Slip[n] > 0 || math.IsNaN(d.Slip[n]) && d.State[n] == load.Slipping
		}
		far := 0.0
		for n := first(k, slides, lost); n < t.N && slides(n); n++ {
			if n == t.N-1 && lost(n) { // and goes on
				far = math.Inf(1)
			}
			if math.IsNaN(d.Slip[n]) {
				far = math.Inf(1)
			}
			far = math.Max(far, d.Slip[n])
		}
		stop := math.Inf(1)
		if far > l.Slide {
			stop = math.Inf(-1)
		}
		note(key{slip, -1, -1, -1}, k, pull, math.Inf(-1), stop, math.NaN())
	}
	// Of the force and the turning about the origin, which lies in the ground,
	// the point of the ground about which nothing turns in its plane.
	force := r3.Scale(d.Mass, acc)
	about := r3.Add(spin, r3.Cross(motion.Vec(t.COM, 3*k), force))
	m := math.NaN()
	if push := r3.Dot(normal, force); push > 1e-9*d.Mass*r.Gravity {
		m = slowMargin(feet, r3.Scale(1/push, r3.Cross(normal, about)))
	}
	value := m * 1000
	if math.IsNaN(m) {
		value = 0
	}
	// A stop where the far feet lift in the rocking that this belongs to.
	rocks := func(n int) bool { return d.Lift[n] > 0 || d.Dynamic[n] < 0 }
	tips := func(n int) bool {
		s := d.State[n]
		return s != load.Unknown && s != load.Flying && t.Margin[n] >= 0 && (d.Dynamic[n] < 0 || s == load.Pulled)
	}
	stop := math.Inf(1)
	for n := first(k, rocks, tips); n < t.N && rocks(n); n++ {
		if d.Lift[n] > 0.0015 {
			stop = math.Inf(-1)
		}
	}
	key := key{"tips-fast", -1, -1, -1}
	switch static := t.Margin[k]; {
	case static < 0 || math.IsNaN(static):
	case math.IsNaN(m):
		note(key, k, 1e12, -1, -1, value)
	case m < 0 || d.State[k] == load.Pulled:
		note(key, k, -m, math.Inf(-1), stop, value)
	case static >= l.Margin:
		note(key, k, -m, -l.Dynamic, math.Inf(1), value)
	}
}

// first gives the first sample of a kind in the run of samples that k is in.
func first(k int, in, kind func(n int) bool) int {
	from := k
	for n := k - 1; n >= 0 && in(k) && in(n); n-- {
		if kind(n) {
			from = n
		}
	}
	return from
}

// slowMargin gives the signed distance of a point inside the convex hull of
// others, all seen from above, by looking at every pair of them.
func slowMargin(feet []r3.Vec, p r3.Vec) float64 {
	inside, least := true, math.Inf(1)
	for _, f := range feet {
		least = math.Min(least, math.Hypot(f.X-p.X, f.Y-p.Y))
	}
	edges, area := 0, 0.0
	for i, a := range feet {
		for j, b := range feet {
			size := math.Hypot(b.X-a.X, b.Y-a.Y)
			if i == j || size < 1e-12 {
				continue
			}
			ux, uy := (b.X-a.X)/size, (b.Y-a.Y)/size
			left := func(q r3.Vec) float64 { return ux*(q.Y-a.Y) - uy*(q.X-a.X) }
			edge := true
			for _, q := range feet {
				edge = edge && left(q) >= -1e-12
				area = math.Max(area, left(q))
			}
			if !edge {
				continue
			}
			edges++
			inside = inside && left(p) >= 0
			along := math.Max(0, math.Min(size, ux*(p.X-a.X)+uy*(p.Y-a.Y)))
			least = math.Min(least, math.Hypot(a.X+along*ux-p.X, a.Y+along*uy-p.Y))
		}
	}
	if !inside || edges == 0 || area < 1e-9 {
		return -least
	}
	return least
}

// anyServos gives the robot servos, a supply and a ground of any kind.
func anyServos(t *rapid.T, r *kin.Robot) {
	num := func(hi float64, name string) float64 {
		return rapid.SampledFrom([]float64{0, 0.01, 0.1, 0.3, 0.7, 1}).Draw(t, name) * hi
	}
	r.Friction = num(1, "friction")
	r.Supply = kin.Supply{Voltage: num(8, "voltage"), Limit: num(20, "limit"), Resistance: num(0.5, "resistance")}
	for i := range r.Legs {
		for j := range kin.Joints {
			r.Legs[i].Servos[j] = kin.Servo{
				StallTorque: num(2, "stall"), NoLoadSpeed: num(8, "speed"), Voltage: num(8, "rated"), Mass: 0.05,
				StallCurrent: num(3, "current"), IdleCurrent: num(0.1, "idle"), Efficiency: num(1, "gears"),
			}
		}
	}
}

// redraw makes the loads fit torques that were changed.
func redraw(t *motion.Trajectory, d *load.Loads) {
	w := t.Legs * kin.Joints
	clear(d.RMS)
	d.Known = 0
	for k := range t.N {
		row := d.Torque[k*w : (k+1)*w]
		sum := 0.0
		for o, tau := range row {
			sum += d.Lines[o].Amperes(tau, t.V[k*w+o])
		}
		d.Current[k] = sum
		if d.Supply.Voltage > 0 {
			d.Voltage[k] = d.Supply.Voltage - d.Supply.Resistance*sum
		}
		if slices.ContainsFunc(row, math.IsNaN) {
			continue
		}
		d.Known++
		for o, tau := range row {
			d.RMS[o] += tau * tau
		}
	}
	for o := range d.RMS {
		d.RMS[o] = math.Sqrt(d.RMS[o] / float64(d.Known))
	}
}

// Any torques and speeds of any servos: what Run leaves out early, slowly does
// not.
func TestAnyTorqueAndSpeed(t *testing.T) {
	whole := sixLegged()
	p := clean(whole)
	rapid.Check(t, func(t *rapid.T) {
		r := sixLegged()
		anyServos(t, r)
		tr, err := motion.NewSampler(r).Sample(p, 5, nil)
		if err != nil {
			t.Fatal(err)
		}
		l := Defaults()
		l.OnStand = rapid.Bool().Draw(t, "stand")
		l.Derating = rapid.SampledFrom([]float64{0, 0.5, 0.8, 1, 2}).Draw(t, "derating")
		l.SpeedShare = rapid.SampledFrom([]float64{0, 0.3, 0.85, 1, 2}).Draw(t, "reserve")
		d := loads(r, tr, l)
		none := rapid.Bool().Draw(t, "with none")
		share := rapid.Float64Range(-1.5, 1.5) // times something, so that no share of both is the same

		for o := range tr.V {
			s := &r.Legs[o/3%6].Servos[o%3]
			tr.V[o] = 1.037 * share.Draw(t, "v") * max(s.NoLoadSpeed, 0.1)
			d.Torque[o] = 0.983 * share.Draw(t, "tau") * max(s.StallTorque, 0.1) // nor exactly on the line, where rounding decides
			if none && rapid.IntRange(0, 9).Draw(t, "none") == 0 {
				d.Torque[o] = math.NaN()
			}
		}
		redraw(tr, d)
		compare(t, r, tr, d, l)
	})
}
