// SPDX-License-Identifier: MIT

package weigh

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gaitwright/motion/workfile"
)

// Fault is why readings give no result.
type Fault struct {
	Leg     string // "" for the weighing as a whole
	Tilted  bool   // of the second weighing
	Missing bool   // readings are still to come
	Text    string // what is wrong, and what would be right
}

// Place names where the fault is, "" for the weighing as a whole.
func (f *Fault) Place() string {
	var p []string
	if f.Tilted {
		p = append(p, "tilted weighing")
	}
	if f.Leg != "" {
		p = append(p, "leg "+f.Leg)
	}
	return strings.Join(p, ", ")
}

// Error gives the fault on one line.
func (f *Fault) Error() string {
	if p := f.Place(); p != "" {
		return "weigh: " + p + ": " + f.Text
	}
	return "weigh: " + f.Text
}

// Grams gives a mass (kg) in grams, to a tenth.
func Grams(kg float64) string { return short(kg*1000) + " g" }

func millimetres(m float64) string { return short(m*1000) + " mm" }

// short gives v with at most one decimal.
func short(v float64) string {
	if v-v != 0 {
		return "–"
	}
	return strconv.FormatFloat(tenths(v), 'f', -1, 64)
}

// Sure says in one sentence how good the numbers are.
func (r *Result) Sure() string {
	if math.IsInf(r.Doubt, 0) || r.Body <= Slip {
		return fmt.Sprintf("The body weighs no more than the %s that a scale may be off: its centre is not worth having.", Grams(Slip))
	}
	s := fmt.Sprintf("A scale that is %s off moves the body's centre by up to %s in x and y", Grams(Slip), up(r.Doubt))
	if r.Height {
		s += fmt.Sprintf(", %s in z; one degree of error of the tilt moves z by up to %s", up(r.DoubtHeight), up(r.DoubtAngle))
	}
	return s + "."
}

// up gives a length with one decimal, never rounded down.
func up(m float64) string {
	return strconv.FormatFloat(math.Ceil(m*1e4-1e-9)/10, 'f', 1, 64) + " mm"
}

// Notes are what a person should know about a result before keeping it in f.
func (r *Result) Notes(f *workfile.File) []string {
	var n []string
	if !r.Height {
		n = append(n, "Level scales cannot tell the height of the centre: z stays as the workfile has it.")
	}
	if r.Payload > 0 {
		n = append(n, fmt.Sprintf("The payload of %s is taken to have been on the robot.", Grams(r.Payload)))
	}
	if r.Outside {
		n = append(n, "The body's centre lies outside its outline: check that each reading is at the right leg, and the masses of links and servos.")
	}
	if f.Robot.BodyInertia != nil {
		n = append(n, "body_inertia_kg_mm2 stays as it is: correct it if it was worked out from the old mass.")
	}
	return n
}
