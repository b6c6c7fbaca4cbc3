// SPDX-License-Identifier: MIT

package workfile

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"gaitwright/kin"
)

func (f *File) legNames() []string {
	names := make([]string, len(f.Legs))
	for i := range f.Legs {
		names[i] = f.Legs[i].Name
	}
	return names
}

// mirrorOf gives the index of the leg on the other side, -1 for none.
func (f *File) mirrorOf(i int) int {
	l := &f.Legs[i]
	for j := range f.Legs {
		if m := &f.Legs[j]; j != i && (l.Mirrors != "" && m.Name == l.Mirrors || m.Mirrors != "" && m.Mirrors == l.Name) {
			return j
		}
	}
	return -1
}

// joint gives joint j of a leg.
func (l *Leg) joint(j int) *Joint {
	return [...]*Joint{&l.Coxa, &l.Femur, &l.Tibia}[j]
}

func (c *checker) legs() {
	f := c.file
	p := path{"leg"}
	names := f.legNames()
	c.once(len(f.Legs), func(i int) string { return names[i] }, p, false)
	mirrored := map[string]int{}
	channels := map[int]string{}
	for i := range f.Legs {
		l, at := &f.Legs[i], p.with(strconv.Itoa(i))
		if strings.ContainsFunc(l.Name, func(r rune) bool {
			return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' && r != '-'
		}) {
			c.add(at.with("name"), "%s is also the start of column names; use letters, digits, _ and - only", shown(l.Name))
		}
		if l.Mirrors != "" {
			c.mirror(i, mirrored, at.with("mirrors"))
		} else {
			c.complete(l, at)
		}
		for j := range kin.Joints {
			c.joint(l, j, at.with(kin.JointName(j)), channels)
		}
	}
}

// mirror checks the leg that leg i mirrors.
func (c *checker) mirror(i int, mirrored map[string]int, p path) {
	f := c.file
	l := &f.Legs[i]
	if !c.refers("leg", l.Mirrors, f.legNames(), p) {
		c.alone = true
		return
	}
	if l.Mirrors == l.Name {
		c.add(p, "a leg cannot mirror itself; name the leg on the other side")
		return
	}
	if j, taken := mirrored[l.Mirrors]; taken {
		c.add(p, "leg %s is mirrored by %s already; a leg has one leg on the other side", shown(l.Mirrors), shown(f.Legs[j].Name))
		return
	}
	mirrored[l.Mirrors] = i
	for j := range f.Legs {
		m := &f.Legs[j]
		if m.Name != l.Mirrors || m.Mirrors == "" {
			continue
		}
		if m.Mirrors == l.Name {
			c.add(p, "%s and %s mirror each other in a cycle; give one of them measurements of its own", shown(l.Name), shown(m.Name))
		} else {
			c.add(p, "leg %s mirrors %s itself; mirror a leg with measurements of its own", shown(m.Name), shown(m.Mirrors))
		}
	}
}

// complete checks that a leg that mirrors none has all measurements.
func (c *checker) complete(l *Leg, p path) {
	need := func(p path, there bool, key string) {
		if !there {
			c.add(p.with(key), "missing; measure it, or let the leg mirror another one (mirrors = ...)")
		}
	}
	need(p, l.Mount != nil, "mount_mm")
	need(p, l.Heading != nil, "heading_deg")
	need(p, l.CoxaLength != nil, "coxa_mm")
	need(p, l.FemurLength != nil, "femur_mm")
	need(p, l.TibiaLength != nil, "tibia_mm")
	need(p, l.FootRadius != nil, "foot_radius_mm")
	need(p, l.Stand != nil, "stand_mm")
	for j := range kin.Joints {
		at, q := p.with(kin.JointName(j)), l.joint(j)
		if *q == (Joint{}) {
			need(p, false, kin.JointName(j))
			continue
		}
		need(at, q.Range != nil, "range_deg")
		need(at, q.Servo != "", "servo")
		need(at, q.Mass != nil, "mass_g")
	}
}

// measured checks the two points at which a servo was measured.
func (c *checker) measured(q *Joint, p path) {
	a, u := q.AtDeg, q.AtUs
	switch {
	case a == nil && u == nil:
		return
	case a == nil:
		c.add(p.with("measured_deg"), "missing beside measured_us: give the two joint angles at which these pulses were measured")
		return
	case u == nil:
		c.add(p.with("measured_us"), "missing beside measured_deg: give the pulses at these two joint angles")
		return
	}
	for _, k := range []struct {
		there bool
		key   string
	}{{q.CentreUs != nil, "centre_us"}, {q.PerDeg != nil, "us_per_deg"}, {q.Reversed != nil, "reversed"}, {q.Trim != nil, "trim_deg"}} {
		if k.there {
			c.add(p.with(k.key), "two measured points say all that %s does; leave one of them out", k.key)
		}
	}
	if d := math.Abs(a[1] - a[0]); d < 1 {
		c.add(p.with("measured_deg"), "the two angles are %s deg apart, too near to tell the pulse for others; measure at least 1 deg apart, better 60", number(d))
		return
	}
	if v := math.Abs((u[1] - u[0]) / (a[1] - a[0])); v < 0.1 || v > 1000 {
		c.add(p.with("measured_us"), "these points mean %s us a degree; it must lie from 0.1 to 1000", number(v))
	}
}

// unmeasured checks the servo of a leg that mirrors one whose own servo was
// measured: the two points say nothing of this one.
func (c *checker) unmeasured(l *Leg, q *Joint, j int, p path) {
	if l.Mirrors == "" || q.Channel == nil || q.AtDeg != nil || q.AtUs != nil {
		return
	}
	for i := range c.file.Legs {
		m := &c.file.Legs[i]
		if o := m.joint(j); m.Name != l.Mirrors || o.AtDeg == nil || o.AtUs == nil {
			continue
		}
		for _, k := range []struct {
			there bool
			key   string
		}{{q.CentreUs != nil, "centre_us"}, {q.PerDeg != nil, "us_per_deg"}} {
			if !k.there {
				c.add(p.with(k.key), "missing: the %s of leg %s was measured, which says nothing of this servo; measure this one as well (measured_deg, measured_us), or add %s = ...",
					kin.JointName(j), shown(m.Name), k.key)
			}
		}
	}
}

// trimmed checks that a servo's middle is still inside its pulse range.
func (c *checker) trimmed(q, w *Joint, p path) {
	if q.Trim == nil {
		return
	}
	lo, hi := pulses(w)
	middle := orElse(w.CentreUs, centreUs)
	if middle < lo || middle > hi {
		return // told already
	}
	if us := middle + orElse(w.PerDeg, perDeg)**q.Trim; us < lo || us > hi {
		c.add(p.with("trim_deg"), "with it the servo's middle lies at %s us, outside its pulse widths %s to %s; put the horn on another tooth, and keep the trim small",
			number(us), number(lo), number(hi))
	}
}

func (c *checker) joint(l *Leg, j int, p path, channels map[int]string) {
	q := l.joint(j)
	if r := q.Range; r != nil && r[0] > r[1] {
		c.add(p.with("range_deg"), "the lower end %s is above the upper end %s; swap them", number(r[0]), number(r[1]))
	}
	if r := q.RangeUs; r != nil && r[0] >= r[1] {
		c.add(p.with("range_us"), "the least pulse width %s is not below the greatest %s; swap them", number(r[0]), number(r[1]))
	}
	c.inertia(q.Inertia, p.with("inertia_kg_mm2"))
	c.measured(q, p)
	c.unmeasured(l, q, j, p)
	if q.Servo != "" {
		c.refers("servo", q.Servo, sorted(c.file.Servos), p.with("servo"))
	}
	if q.Channel != nil {
		where := l.Name + " " + kin.JointName(j)
		if other, taken := channels[*q.Channel]; taken {
			c.add(p.with("channel"), "channel %d is used by %s already; each servo has a channel of its own", *q.Channel, other)
		} else {
			channels[*q.Channel] = where
		}
	}
	whole := c.file.whole(l)
	w := whole.joint(j)
	if lo, hi := pulses(w); q.RangeUs == nil && lo < 1 {
		c.add(p.with("range_us"), "mirrored about %d the pulse widths of the other side become %s to %s, and none is below 1; give this joint a range_us of its own",
			centreUs, number(lo), number(hi))
	}
	c.trimmed(q, w, p)
	if q.RangeUs != nil || q.CentreUs != nil {
		lo, hi := pulses(w)
		if us := orElse(w.CentreUs, centreUs); q.AtUs == nil && lo < hi && (us < lo || us > hi) {
			c.add(p.with("centre_us"), "%s lies outside the pulse widths %s to %s; keep it between them", number(us), number(lo), number(hi))
		}
	}
}
