// SPDX-License-Identifier: MIT

package workfile

// Default gives what an optional key of a robot, a leg or a joint means when
// it is left out, in the key's unit; part counts the numbers of a list from 0.
// Sections are those of [Range]. For a key without a constant default, ok is
// false.
func Default(section, key string, part int) (v float64, ok bool) {
	switch section + "." + key {
	case "robot.gravity_m_s2":
		return gravity, true
	case "robot.payload_centre_mm", "robot.payload_size_mm",
		"leg.lateral_mm", "leg.vertical_mm", "leg.tibia_offset_deg", "joint.trim_deg":
		return 0, true
	case "leg.link_radius_mm":
		return linkRadius, true
	case "joint.centre_us":
		return centreUs, true
	case "joint.us_per_deg":
		return perDeg, true
	case "joint.range_us":
		if part == 0 {
			return leastUs, true
		}
		return greatestUs, true
	case "servo.gear_efficiency":
		return efficiency, true
	}
	return 0, false
}

// Currents gives what a servo is taken to draw at stall and without load, A:
// the datasheet's values where they are given, else what follows from the
// others.
func (s Servo) Currents() (stall, idle float64) {
	k := servo(s)
	return k.StallCurrent, k.IdleCurrent
}

// KgfCm gives the stall torque in kgf·cm, whichever unit it is given in.
func (s Servo) KgfCm() float64 {
	if s.StallKgfCm != nil {
		return *s.StallKgfCm
	}
	return orElse(s.StallNm, 0) / kgfCm
}

// Nm gives the stall torque in N·m, whichever unit it is given in.
func (s Servo) Nm() float64 {
	if s.StallNm != nil {
		return *s.StallNm
	}
	return orElse(s.StallKgfCm, 0) * kgfCm
}

// Whole gives leg i with everything that it takes from the leg that it
// mirrors. What it points to is shared with the file.
func (f *File) Whole(i int) Leg { return f.whole(&f.Legs[i]) }

// OutlineFault tells what is wrong with an outline of the body: that it is not
// convex, not counter-clockwise, or has a corner twice; "" when nothing is.
func OutlineFault(corners [][2]float64) string { return outlineFault(corners) }
