// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

const (
	deg   = 180 / math.Pi
	milli = 1000
)

// length writes metres as people read them.
func length(m float64) string { return decimal(m*milli, 1) + " mm" }

// torque writes newton metres as people read them, to three digits.
func torque(nm float64) string {
	if v := finite(nm); math.Abs(v) < 0.9995 {
		return decimal(v, 3) + " N·m"
	}
	return decimal(nm, 2) + " N·m"
}

// some writes a length that was estimated: from a centimetre on without
// decimals, which it does not have.
func some(m float64) string {
	switch {
	case m < 1e-4:
		return "less than 0.1 mm"
	case m < 0.01:
		return length(m)
	}
	return "some " + decimal(m*milli, 0) + " mm"
}

// orLonger adds the other way to slow down, for what has spans.
func (c *look) orLonger(part int, factor string) string {
	if part >= 0 && (c.t.Parts[part].Kind == "walk" || c.t.Parts[part].Kind == "change") {
		return ""
	}
	return ", or give the span " + factor + " times its time"
}

// slowed says to run the entry that a part is at a share of its speed. A move
// has a speed in the file; the other entries take their time from elsewhere.
func (c *look) slowed(part int, s string, f float64) string {
	if part < 0 {
		return "run it at " + s + " of its speed"
	}
	p := &c.t.Parts[part]
	switch {
	case p.Speed > 0 && f*p.Speed >= 0.01:
		return fmt.Sprintf("run this entry at %s of its speed (speed = %.2f)", s, math.Floor(f*p.Speed*100+1e-9)/100)
	case p.Kind == "walk" || p.Kind == "change":
		return fmt.Sprintf("run this entry at %s of its speed (a gait period %s times as long)", s, times(1/f))
	}
	return "run this entry at " + s + " of its speed"
}

// atLeast writes a torque rounded up so that it suffices, with the unit of
// datasheets (1 kgf·cm is 0.0980665 N·m exactly, NIST SP 811).
func atLeast(nm float64) string {
	v := math.Ceil(finite(nm)*100-1e-6) / 100
	return fmt.Sprintf("%.2f N·m (stall_kgf_cm = %.1f)", v, math.Ceil(v/0.0980665*10-1e-6)/10)
}

// times writes a factor of time, rounded up so that it suffices.
func times(f float64) string {
	if !(f < 100) {
		return "more than 100"
	}
	return fmt.Sprintf("%.2f", math.Ceil(f*100-1e-9)/100)
}

// amend writes a length to add or take away, rounded up so that it suffices.
func amend(m float64) string {
	v := finite(m * milli)
	if v < 10 {
		return fmt.Sprintf("%.1f mm", math.Ceil(v*10-1e-6)/10)
	}
	return fmt.Sprintf("%.0f mm", math.Ceil(v-1e-6))
}

// shift writes a displacement in the body's axes, leaving out components that
// do not matter.
func shift(v r3.Vec) string {
	most := max(math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z))
	var parts []string
	for _, d := range []struct {
		v        float64
		pos, neg string
	}{{v.X, "forward", "back"}, {v.Y, "to the left", "to the right"}, {v.Z, "up", "down"}} {
		a := math.Abs(d.v)
		if a < most/20 || a < 5e-5 {
			continue
		}
		if d.v < 0 {
			d.pos = d.neg
		}
		parts = append(parts, amend(a)+" "+d.pos)
	}
	switch n := len(parts); n {
	case 0:
		return "0.0 mm"
	case 1:
		return parts[0]
	default:
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
}

// share writes a factor of speed, rounded down so that it suffices.
func share(f float64) string {
	if f < 0.01 {
		return "less than 0.01"
	}
	return fmt.Sprintf("%.2f", math.Floor(f*100+1e-9)/100)
}

func (c *look) leg(i int) string { return c.r.Legs[i].Name }

// joint names a joint with its leg.
func (c *look) joint(i, j int) string {
	return "the " + kin.JointName(j) + " of leg " + c.leg(i)
}
