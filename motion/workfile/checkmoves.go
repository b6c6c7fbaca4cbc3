// SPDX-License-Identifier: MIT

package workfile

import (
	"slices"
	"strconv"

	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/sequence"
)

func (f *File) gaitNames() []string {
	names := make([]string, len(f.Gaits))
	for i := range f.Gaits {
		names[i] = f.Gaits[i].Name
	}
	return names
}

func (f *File) moveNames() []string {
	names := make([]string, len(f.Moves))
	for i := range f.Moves {
		names[i] = f.Moves[i].Name
	}
	return names
}

func (c *checker) gaits() {
	f := c.file
	legs := f.legNames()
	c.once(len(f.Gaits), func(i int) string { return f.Gaits[i].Name }, path{"gait"}, false)
	for i := range f.Gaits {
		g, p := &f.Gaits[i], path{"gait", strconv.Itoa(i)}
		for _, leg := range sorted(g.Phase) {
			c.refers("leg", leg, legs, p.with("phase").with(leg))
		}
		for _, leg := range legs {
			if _, ok := g.Phase[leg]; !ok && leg != "" && !c.shaky {
				c.add(p.with("phase"), "no phase for leg %s; add %s = a number from 0 to below 1", shown(leg), plain(leg))
			}
		}
		for _, leg := range sorted(g.Duties) {
			c.refers("leg", leg, legs, p.with("duty_factors").with(leg))
		}
		if left := 1 - g.EarlyLift - g.LateTouch; left < gait.LeastTravel-1e-12 && g.EarlyLift <= gait.MostShare && g.LateTouch <= gait.MostShare {
			key := "late_touch"
			if g.EarlyLift > g.LateTouch {
				key = "early_lift"
			}
			c.add(p.with(key), "early_lift = %s and late_touch = %s leave %s of the swing to travel in; leave at least %s",
				number(g.EarlyLift), number(g.LateTouch), number(left), number(gait.LeastTravel))
		}
		if t, ok := c.timing(g.Timing, p.with("swing_timing")); ok && t.Kind == curve.Hold {
			c.add(p.with("swing_timing"), "with hold a foot never gets to its touchdown; use linear or an easing such as ease-in-out")
		}
	}
}

func (c *checker) moves() {
	f := c.file
	c.once(len(f.Moves), func(i int) string { return f.Moves[i].Name }, path{"move"}, false)
	for i := range f.Moves {
		m, p := &f.Moves[i], path{"move", strconv.Itoa(i)}
		c.once(len(m.Marks), func(i int) string { return m.Marks[i].Name }, p.with("mark"), false)
		for j := 1; j < len(m.Marks); j++ {
			if a, b := m.Marks[j-1], m.Marks[j]; !(b.At-a.At >= 1-1e-9) {
				c.add(p.with("mark").with(strconv.Itoa(j)).with("at_ms"), "%s is not after the mark before it, %s at %s; list marks by time, at least 1 ms apart",
					number(b.At), shown(a.Name), number(a.At))
			}
		}
		last := -1
		for j := range m.Body {
			s, at := &m.Body[j], p.with("body").with(strconv.Itoa(j))
			last = c.ends(m, s.To, last, at.with("to"))
			c.timing(s.Timing, at.with("timing"))
		}
		taken := map[string]bool{}
		for j := range m.Feet {
			c.track(m, &m.Feet[j], taken, p.with("foot").with(strconv.Itoa(j)))
		}
	}
}

// ends checks the mark on which a span ends, and gives its index.
func (c *checker) ends(m *Move, to string, last int, p path) int {
	names := make([]string, len(m.Marks))
	for i := range m.Marks {
		names[i] = m.Marks[i].Name
	}
	c.refers("mark", to, names, p)
	i := slices.Index(names, to)
	if i >= 0 && i <= last {
		c.add(p, "mark %s is not after %s, where the span before ends; list spans by time", shown(to), shown(names[last]))
	}
	return max(i, last)
}

func (c *checker) track(m *Move, t *FootTrack, taken map[string]bool, p path) {
	f := c.file
	legs := f.legNames()
	c.refers("leg", t.Leg, legs, p.with("leg"))
	moved := []string{t.Leg}
	if i := slices.Index(legs, t.Leg); t.Pair && i >= 0 {
		if j := f.mirrorOf(i); j >= 0 {
			moved = append(moved, legs[j])
		} else if !c.shaky && !c.alone {
			c.add(p.with("pair"), "leg %s has no leg that mirrors it; leave pair out, or give a leg mirrors = %s", shown(t.Leg), shown(t.Leg))
		}
	}
	for _, leg := range moved {
		if taken[leg] {
			c.add(p.with("leg"), "leg %s has a track in this move already; keep one", shown(leg))
		}
		taken[leg] = true
	}
	last := -1
	for i := range t.Spans {
		s, at := &t.Spans[i], p.with("span").with(strconv.Itoa(i))
		last = c.ends(m, s.To, last, at.with("to"))
		c.timing(s.Timing, at.with("timing"))
		switch {
		case s.Hold == "":
			c.add(at.with("hold"), "empty; use \"planted\", \"ground\" or \"body\"")
		case s.Hold != "planted" && s.End == nil:
			c.add(at.with("end_mm"), "missing; say where the foot goes, or make it hold = \"planted\"")
		}
		if s.Target != nil && s.Floor != nil && *s.Target < *s.Floor {
			c.add(at.with("target_mm"), "%s is below floor_mm = %s: a foot kept above the floor never gets to the target; raise the target or lower the floor",
				number(*s.Target), number(*s.Floor))
		}
		if s.Hold != "planted" {
			continue
		}
		if s.Target != nil {
			c.add(at.with("target_mm"), "a planted foot strikes nothing; leave the target out, or use hold = \"ground\" or \"body\"")
		}
		if s.Floor != nil {
			c.add(at.with("floor_mm"), "a planted foot is on the ground; leave the floor out, or use hold = \"ground\" or \"body\"")
		}
		for _, k := range []struct {
			key string
			v   *[3]float64
		}{{"end_mm", s.End}, {"out_mm", s.Out}, {"in_mm", s.In}} {
			if k.v != nil {
				c.add(at.with(k.key), "a planted foot stays where it is; leave it out, or use hold = \"ground\" or \"body\"")
			}
		}
	}
}

// takes lists the keys that a kind of entry takes beside name and kind; those
// with a mark it must have.
func takes(kind string) []string {
	switch kind {
	case "stand":
		return []string{"duration_ms"}
	case "wait":
		return []string{"duration_ms!"}
	case "walk":
		return []string{"gait!", "cycles!", "forward_mm_s", "side_mm_s", "turn_deg_s"}
	case "change":
		return []string{"gait!", "cycles!"}
	case "move":
		return []string{"move!", "speed"}
	case "recover":
		return []string{"gait"}
	}
	return nil
}

func (c *checker) sequence() {
	f := c.file
	c.once(len(f.Sequence), func(i int) string { return f.Sequence[i].Name }, path{"sequence"}, true)
	walked := false
	total := 0.0 // s
	for i := range f.Sequence {
		e, p := &f.Sequence[i], path{"sequence", strconv.Itoa(i)}
		if _, ok := sequence.ParseKind(e.Kind); !ok {
			if e.Kind == "" {
				c.add(p.with("kind"), "empty; use \"stand\", \"walk\", \"change\", \"move\", \"recover\" or \"wait\"")
			}
			continue // an unknown word was named by its tag
		}
		allowed := takes(e.Kind)
		for _, k := range []struct {
			key   string
			there bool
		}{
			{"duration_ms", e.Duration != nil}, {"gait", e.Gait != ""}, {"cycles", e.Cycles != nil}, {"forward_mm_s", e.Forward != nil},
			{"side_mm_s", e.Side != nil}, {"turn_deg_s", e.Turn != nil}, {"move", e.Move != ""}, {"speed", e.Speed != nil},
		} {
			if must := slices.Contains(allowed, k.key+"!"); k.there && !must && !slices.Contains(allowed, k.key) {
				c.add(p.with(k.key), "a %s entry does not take this key; leave it out", shown(e.Kind))
			} else if must && !k.there {
				c.add(p.with(k.key), "missing; a %s entry needs it", shown(e.Kind))
			}
		}
		if e.Gait != "" {
			c.refers("gait", e.Gait, f.gaitNames(), p.with("gait"))
		}
		if e.Move != "" {
			c.refers("move", e.Move, f.moveNames(), p.with("move"))
		}
		if e.Kind == "change" && !walked {
			c.add(p.with("kind"), "there is nothing to go on with; put a walk before it")
		}
		walked = walked || e.Kind == "walk" || e.Kind == "change"
		total += f.seconds(e)
	}
	if total > sequence.MaxDuration {
		c.add(path{"sequence"}, "about %s s in all; %d s is the most", number(float64(int(total))), sequence.MaxDuration)
	}
}

// seconds is about how long an entry takes, without what only planning tells.
func (f *File) seconds(e *Entry) float64 {
	switch e.Kind {
	case "stand":
		return orElse(e.Duration, standMs) / 1e3
	case "wait":
		return orElse(e.Duration, 0) / 1e3
	case "walk", "change":
		if i := slices.Index(f.gaitNames(), e.Gait); i >= 0 {
			return orElse(e.Cycles, 0) * f.Gaits[i].Period / 1e3
		}
	case "move":
		i := slices.Index(f.moveNames(), e.Move)
		if i >= 0 && len(f.Moves[i].Marks) > 0 {
			m := &f.Moves[i]
			return (m.Marks[len(m.Marks)-1].At/orElse(e.Speed, 1) + m.CoolDown) / 1e3
		}
	}
	return 0
}
