// SPDX-License-Identifier: MIT

package dynamics

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// BenchmarkLeg is one leg of the KDL rows, offsets, moving hip and foot force
// included.
func BenchmarkLeg(b *testing.B) {
	rows := kdlRows(b)[:256]
	bases := make([]Base, len(rows))
	for i := range rows {
		bases[i] = rows[i].base()
	}
	for _, c := range []struct {
		name string
		f    func(r *kdlRow, base *Base)
	}{
		{"InverseDynamics", func(r *kdlRow, base *Base) { r.leg.InverseDynamics(r.q, r.qd, r.qdd, base, r.f) }},
		{"Momentum", func(r *kdlRow, base *Base) { r.leg.Momentum(r.q, r.qd, base) }},
		{"MassMatrix", func(r *kdlRow, _ *Base) { r.leg.MassMatrix(r.q) }},
		{"GravityTorque", func(r *kdlRow, base *Base) { r.leg.GravityTorque(r.q, base.Gravity) }},
		{"EffectiveMass", func(r *kdlRow, _ *Base) { r.leg.EffectiveMass(r.q, r3.Vec{Z: 1}) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				c.f(&rows[i&255], &bases[i&255])
				i++
			}
		})
	}
}

// BenchmarkRobot is one sample of a robot with six legs.
func BenchmarkRobot(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 2))
	r := walker(rnd, false)
	m := mustNew(b, r)
	s := newPath(rnd).at(0.3)
	bm := Rows(s.x, s.xd, s.xdd)
	force, tau := make([]r3.Vec, 6), make([]float64, 18)
	feet := make([]r3.Vec, 6)
	for i := range feet {
		feet[i] = r3.Vec{X: float64(i % 3), Y: float64(i / 3)}
	}
	o, edges := m.Motion(&bm, s.q, s.qd, s.qdd), EdgesOf(feet)
	for _, c := range []struct {
		name string
		f    func()
	}{
		{"Motion", func() { m.Motion(&bm, s.q, s.qd, s.qdd) }},
		{"Torques", func() { m.Torques(tau, &bm, s.q, s.qd, s.qdd, force) }},
		{"Sweep", func() { m.Sweep(tau, &bm, s.q, s.qd, s.qdd, o.COM) }},
		{"ZeroMoment", func() { ZeroMoment(m.Demand(&o), o.COM, flat) }},
		{"Edges.Margin", func() { edges.Margin(o.COM) }},
		{"EnergyMargin", func() { EnergyMargin(o.COM, feet) }},
		{"Rigid", func() { m.Rigid(s.q) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.f()
			}
		})
	}
}
