// SPDX-License-Identifier: MIT

package export

import (
	"errors"
	"fmt"
	"strings"

	"gaitwright/app/draw"
	"gaitwright/motion/review"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

var errFolder = errors.New("no folder is given: write where the tables go into the field “Folder”")

// cautions are what to know before a first trial, in the words of ISO 12100:
// a hazard may harm, a risk is how likely and how bad that is, a protective
// measure makes it smaller, a residual risk stays.
func cautions() string {
	return "Hazards: joints crush and cut, parts may be thrown off, and a servo starts without warning. " +
		"Protective measures: keep hands, hair and face away, and wear eye protection. First trial with the robot on a stand, feet in the air, slowly, with the switch that cuts the servos’ power in reach. " +
		"Keep people, children and animals out of reach. Lithium batteries: never charge them unattended, leave a swollen or damaged one alone, and follow the maker’s sheet. " +
		"A residual risk stays, also where the review found nothing: your local rules and qualified people come first."
}

// strikeCaution is about blows.
func strikeCaution(moves []string) string {
	verb, what := "strikes", "The move "+moves[0]
	if n := len(moves); n > 1 {
		verb, what = "strike", "The moves "+strings.Join(moves[:n-1], ", ")+" and "+moves[n-1]
	}
	return what + " " + verb + ": a further hazard is the blow. First without the target, then at a low speed; nothing but the target in the foot’s way, and nobody in line with what it may throw. Look at gears, horns and screws after the first blows."
}

// strikes names the moves of the sequence in which a foot strikes.
func strikes(f *workfile.File) (names []string) {
	done := map[string]bool{}
	for i := range f.Sequence {
		name := f.Sequence[i].Move
		if name == "" || done[name] {
			continue
		}
		done[name] = true
		for k := range f.Moves {
			if f.Moves[k].Name == name && blow(&f.Moves[k]) {
				names = append(names, "“"+name+"”")
				break
			}
		}
	}
	return names
}

func blow(m *workfile.Move) bool {
	for i := range m.Feet {
		for k := range m.Feet[i].Spans {
			if s := &m.Feet[i].Spans[k]; s.Target != nil || s.Floor != nil {
				return true
			}
		}
	}
	return false
}

// told tells a stop in a sentence that names its joint where it has one.
func told(f *review.Finding) string {
	s := draw.Degrees(sentence(f.Why))
	if f.Part >= 0 {
		s = strings.TrimSuffix(s, ".") + fmt.Sprintf(" (%s s).", draw.Number(f.Worst, 2))
	}
	return f.Word + ": " + s
}

// sentences tells an error, a line for each joint that cannot follow.
func sentences(err error) []string {
	var joints *table.JointError
	if errors.As(err, &joints) {
		all := []string{"No table can hold this: a joint cannot follow."}
		if len(joints.Faults) > 1 {
			all[0] = fmt.Sprintf("No table can hold this: %d joints cannot follow.", len(joints.Faults))
		}
		for _, f := range joints.Faults {
			all = append(all, sentence(f))
		}
		return all
	}
	s := err.Error()
	for _, p := range [...]string{"table: too large for the part: ", "table: too large for the near flash of an AVR: ", "table: unusable unit: ", "table: "} {
		s = strings.TrimPrefix(s, p)
	}
	for _, p := range table.Parts() {
		s = strings.ReplaceAll(s, p.Name, PartName(p.Name))
	}
	return []string{sentence(s)}
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		s = string(s[0]-'a'+'A') + s[1:]
	}
	return strings.TrimSuffix(s, ".") + "."
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
