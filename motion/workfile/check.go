// SPDX-License-Identifier: MIT

package workfile

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gaitwright/motion/curve"
)

// check looks at everything that can be wrong with a file's values.
func (c *checker) check() {
	c.fields(reflect.ValueOf(c.file).Elem(), make(path, 0, 8))
	c.robot()
	c.servos()
	c.legs()
	c.supply()
	c.gaits()
	c.moves()
	c.sequence()
}

// fields checks what the tags say: intervals, counts and words.
func (c *checker) fields(v reflect.Value, p path) {
	keys, ok := c.keys[v.Type()]
	if !ok { // the tags are read once
		if c.keys == nil {
			c.keys = map[reflect.Type][]key{}
		}
		keys = keysOf(v.Type())
		c.keys[v.Type()] = keys
	}
	for i := range keys {
		k := &keys[i]
		c.field(v.Field(k.index), p.on(k.name), k)
	}
}

func (c *checker) field(v reflect.Value, p path, k *key) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			c.field(v.Elem(), p, k)
		}
	case reflect.Struct:
		c.fields(v, p)
	case reflect.Map:
		c.count(v.Len(), p, k)
		e := key{in: k.in}
		for it := v.MapRange(); it.Next(); {
			c.field(it.Value(), p.on(it.Key().String()), &e)
		}
	case reflect.Slice:
		c.count(v.Len(), p, k)
		e := key{in: k.in}
		for i := range v.Len() {
			c.field(v.Index(i), p.on(strconv.Itoa(i)), &e)
		}
	case reflect.Array:
		for i := range v.Len() {
			c.number(v.Index(i).Float(), p, k)
		}
	case reflect.Float64:
		c.number(v.Float(), p, k)
	case reflect.Int:
		if k.in != "" {
			c.number(float64(v.Int()), p, k)
		}
	case reflect.String:
		if s := v.String(); !utf8.ValidString(s) {
			c.add(p, "not UTF-8; use Unicode text")
		} else if words := strings.Fields(k.one); s != "" && len(words) > 0 && !slices.Contains(words, s) {
			c.add(p, "%s is not known; use %s", shown(s), choose(words))
		}
	}
}

func (c *checker) number(v float64, p path, k *key) {
	lo, hi, openLo, openHi := bounds(k.in)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		c.add(p, "%v is not a finite number; give one %s", v, interval(*k))
	} else if v < lo || v > hi || openLo && v == lo || openHi && v == hi {
		c.add(p, "%s is out of range; give a number %s", exact(v), interval(*k))
	}
}

func (c *checker) count(n int, p path, k *key) {
	switch lo, hi := k.counts(); {
	case n < lo && n == 0:
		c.add(p, "empty; give at least %d", lo)
	case n < lo:
		c.add(p, "only %d; give at least %d", n, lo)
	case n > hi:
		c.add(p, "%d of them; %d is the most", n, hi)
	}
}

// nameOf checks a name. Names stand in table headers, menus and CSV columns.
func (c *checker) nameOf(s string, p path) {
	const longest = 60
	switch {
	case s == "":
		c.add(p, "empty; give a name")
	case !utf8.ValidString(s):
		c.add(p, "not UTF-8; use Unicode text")
	case utf8.RuneCountInString(s) > longest:
		c.add(p, "%s is too long; use at most %d characters", shown(s), longest)
	case strings.TrimSpace(s) != s:
		c.add(p, "%s begins or ends with a space; take it away", shown(s))
	case strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }):
		c.add(p, "%s has a character that cannot be printed; use plain text on one line", shown(s))
	}
}

// once checks the names of a list and that none comes twice.
func (c *checker) once(n int, name func(int) string, p path, optional bool) {
	seen := map[string]int{}
	for i := range n {
		s, at := name(i), p.with(strconv.Itoa(i)).with("name")
		if s == "" && optional {
			continue
		}
		c.nameOf(s, at)
		if j, taken := seen[s]; taken && s != "" {
			c.add(at, "%s is the name of number %d already; names must differ", shown(s), j+1)
		} else {
			seen[s] = i
		}
	}
}

// refers checks that a name exists. While parts of the file could not be
// read, nothing is said: the name may be in there.
func (c *checker) refers(what, s string, known []string, p path) bool {
	if c.shaky || slices.Contains(known, s) {
		return true
	}
	if s == "" {
		c.add(p, "missing; name a %s: %s", what, choose(known))
		return false
	}
	text := ""
	if near := nearest(s, known); near != "" {
		text = "did you mean " + shown(near) + "?"
	} else {
		text = "use " + choose(known)
	}
	c.add(p, "there is no %s %s; %s", what, shown(s), text)
	return false
}

func (c *checker) timing(s string, p path) (curve.Timing, bool) {
	t, err := parseTiming(s)
	if err != nil {
		c.add(p, "%s", strings.TrimPrefix(err.Error(), "curve: "))
	}
	return t, err == nil
}

// parseTiming reads a timing; one left out eases in and out.
func parseTiming(s string) (curve.Timing, error) {
	if s == "" {
		s = "ease-in-out"
	}
	return curve.ParseTiming(s)
}

// robot checks the body.
func (c *checker) robot() {
	r := &c.file.Robot
	p := path{"robot"}
	c.nameOf(r.Name, p.with("name"))
	if r.Top <= r.Bottom {
		c.add(p.with("body_top_mm"), "%s is not above body_bottom_mm = %s; the upper face must be higher", number(r.Top), number(r.Bottom))
	}
	if text := outlineFault(r.Outline); text != "" {
		c.add(p.with("body_outline_mm"), "%s", text)
	}
	c.inertia(r.BodyInertia, p.with("body_inertia_kg_mm2"))
	if r.Payload == nil {
		const text = "missing payload_mass_g; add payload_mass_g = ..., what it weighs, or leave this key out"
		if r.PayloadAt != nil {
			c.add(p.with("payload_centre_mm"), text)
		} else if r.PayloadSize != nil {
			c.add(p.with("payload_size_mm"), text)
		}
	}
}

// outlineFault tells why an outline is not convex and counter-clockwise: ""
// if it is. Every corner must lie left of, or on, every edge; this also
// refuses a star, which turns left everywhere but goes round twice.
func outlineFault(o [][2]float64) string {
	for i := range o {
		for j := range i {
			if o[i] == o[j] {
				return "corners " + strconv.Itoa(j+1) + " and " + strconv.Itoa(i+1) + " are the same; give each corner once"
			}
		}
	}
	left, right, span := 0, 0, 0.0
	for i, a := range o {
		b := o[(i+1)%len(o)]
		for _, q := range o {
			span = max(span, math.Hypot(q[0]-a[0], q[1]-a[1]))
			s := (b[0]-a[0])*(q[1]-a[1]) - (b[1]-a[1])*(q[0]-a[0])
			if tol := 1e-9 * math.Hypot(b[0]-a[0], b[1]-a[1]) * span; s > tol {
				left++
			} else if s < -tol {
				right++
			}
		}
	}
	switch {
	case len(o) < 3:
		return "" // said by its count
	case left == 0 && right == 0:
		return "all corners lie on one line; give an outline with an area"
	case left == 0:
		return "the corners run clockwise; list them the other way round"
	case right > 0:
		return "not convex; leave out the corners that lie inside, and list the rest counter-clockwise"
	}
	return ""
}

// supply checks what feeds the servos: without a voltage there is nothing to
// sag.
func (c *checker) supply() {
	s := &c.file.Supply
	if s.Resistance == nil || *s.Resistance == 0 || s.Voltage != nil || c.shaky {
		return
	}
	if _, same := c.file.common(); !same {
		c.add(path{"supply", "resistance_mohm"}, "the servos have different voltages, so that nobody knows what sags; add voltage_v = ..., that of the supply without load")
	}
}

func (c *checker) servos() {
	for _, name := range sorted(c.file.Servos) {
		p := path{"servo", name}
		c.nameOf(name, p)
		s := c.file.Servos[name]
		switch {
		case s.StallKgfCm != nil && s.StallNm != nil:
			c.add(p.with("stall_nm"), "the stall torque is given twice; keep stall_kgf_cm or stall_nm")
		case s.StallKgfCm == nil && s.StallNm == nil && !c.bad[p.with("stall_kgf_cm").id()] && !c.bad[p.with("stall_nm").id()]:
			c.add(p.with("stall_kgf_cm"), "missing; add stall_kgf_cm = ... or stall_nm = ..., from the datasheet")
		}
		c.idle(&s, p.with("idle_current_a"))
	}
}

// idle checks the idle current against the stall current, given or estimated.
func (c *checker) idle(s *Servo, p path) {
	if s.IdleA == nil {
		return
	}
	stall := servo(*s).StallCurrent
	if !(stall > 0 && *s.IdleA > stall) { // without one there is a problem named already
		return
	}
	if s.StallA != nil {
		c.add(p, "%s A without load is above stall_current_a = %s; a servo draws most at stall", number(*s.IdleA), number(stall))
	} else {
		c.add(p, "%s A without load is above the stall current, which torque, speed, voltage and gear efficiency put at %s A; correct it, or add the stall_current_a of the datasheet",
			number(*s.IdleA), rough(stall))
	}
}
