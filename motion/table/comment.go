// SPDX-License-Identifier: MIT

package table

import (
	"fmt"
	"strconv"
	"strings"

	"gaitwright/motion/review"
)

// cautions stand at the top of every table. They repeat common practice; the
// figure for lithium cells is the usual limit of makers' sheets.
var cautions = [...]string{
	"First run: put the robot on a stand with its feet in the air, and keep hands and face away from the legs.",
	"Feed the servos from a supply with a current limit, and keep a switch within reach that cuts their power.",
	"Bring the joints to frame 0 slowly before playing: the firmware jumps there otherwise.",
	"Lithium batteries: never charge them unattended; never charge, puncture or short a swollen or damaged pack; stop at 3.0 V a cell; follow the maker's sheet.",
	"The review knows the numbers in the workfile, not your machine: a table without findings may still do harm.",
	"Follow your local rules, and ask qualified people wherever you are not sure.",
}

// comment is the header comment without comment marks, a line each. It is
// the same for every format.
func (t *Table) comment(unit string) []string {
	l := []string{
		"Moves of the robot " + quote(t.Robot) + ", made by Gaitwright.",
		"",
		"Workfile:    " + quote(t.Workfile),
		"SHA-256:     " + t.SHA256,
		"Rate:        " + number(t.Rate) + " Hz",
		"Unit:        " + unit,
		"Rounding:    to the nearest, halves away from zero",
		fmt.Sprintf("Joint order: %d joints, leg by leg", len(t.Joints)),
	}
	for i := 0; i+2 < len(t.Joints); i += 3 {
		j := t.Joints[i : i+3]
		l = append(l, fmt.Sprintf("  %2d to %2d:  leg %s: %s, %s, %s (channels %d, %d, %d)", i, i+2, quote(j[0].Leg),
			j[0].Name, j[1].Name, j[2].Name, j[0].Channel, j[1].Channel, j[2].Channel))
	}
	l = append(l, "")
	for i := range t.Moves {
		m := &t.Moves[i]
		line := fmt.Sprintf("Move %s: %d frames, %.6g s; frame 0 is at %.6g s of the sequence (entry %s)",
			m.Name, m.Frames, t.Duration(m), m.From, quote(m.Entry))
		if m.Lead > onGrid/t.Rate {
			line += fmt.Sprintf(", %.6g s after the move begins", m.Lead)
		}
		l = append(l, line+".")
	}
	l = append(l, "", "CAUTION")
	for _, c := range cautions {
		l = append(l, "- "+c)
	}
	l = append(l, t.told()...)
	for i := range l {
		l[i] = remark(l[i])
	}
	return l
}

// told lists the findings.
func (t *Table) told() (l []string) {
	if len(t.Findings) > 0 {
		l = append(l, "", t.heading())
		for i := range t.Findings {
			f := &t.Findings[i]
			where := ""
			if j := t.jointOf(f.Leg, f.Joint); j != "" {
				where = ", " + j
			}
			l = append(l, fmt.Sprintf("- %s: %s, %s%s, %.3f to %.3f s, worst at %.3f s: %.4g %s (limit %.4g): %s",
				f.Level, f.Word, quote(f.Entry), where, f.From, f.To, f.Worst, f.Value, f.Unit, f.Limit, f.Why))
		}
	}
	return l
}

// heading says what the findings below it mean.
func (t *Table) heading() string {
	stops := 0
	for i := range t.Findings {
		if t.Findings[i].Level == review.Stop {
			stops++
		}
	}
	if stops == 0 {
		return fmt.Sprintf("FINDINGS OF THE REVIEW: %d to look at first, none that forbids running this on the robot.", len(t.Findings))
	}
	return fmt.Sprintf("EXPORTED DESPITE FINDINGS: %d, of which %d marked stop forbid running this on the robot.", len(t.Findings), stops)
}

// jointOf names a leg and a joint of a finding, "" for none.
func (t *Table) jointOf(leg, joint int) string {
	i := leg * 3
	if leg < 0 || i+3 > len(t.Joints) {
		return ""
	}
	s := "leg " + quote(t.Joints[i].Leg)
	if joint >= 0 && joint < 3 {
		s += " " + t.Joints[i+joint].Name
	}
	return s
}

func quote(s string) string { return `"` + strings.ReplaceAll(s, `"`, "'") + `"` }

// number writes a float so that it reads back the same.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
