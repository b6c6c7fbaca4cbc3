// SPDX-License-Identifier: MIT

package sequence

import (
	"strings"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/motion/workfile"
)

// means says in few words what an entry of a kind does.
func means(kind string) string {
	return map[string]string{
		"stand":   "brings the body to its stand pose",
		"walk":    "walks with a gait and a command",
		"change":  "goes on in another gait",
		"move":    "plays a move",
		"recover": "steps every foot back",
		"wait":    "holds the pose",
	}[kind]
}

// cannot is the first half of a reason: what is missing.
func cannot(err error) string {
	head, _, _ := strings.Cut(document.Reason(err), ":")
	return strings.ToLower(head[:1]) + strings.TrimSuffix(head[1:], ".")
}

// title is how an entry is called in the list: by its name, or else by what it
// plays.
func title(e *workfile.Entry) string {
	if e.Name != "" {
		return e.Name
	}
	return what(e)
}

// what an entry plays.
func what(e *workfile.Entry) string {
	switch {
	case e.Gait != "":
		return e.Gait
	case e.Kind == "recover":
		return "any legs"
	}
	return e.Move
}

// details say what the title does not: what a named entry plays, and its
// command.
func details(e *workfile.Entry) string {
	var all []string
	if e.Name != "" && what(e) != "" {
		all = append(all, what(e))
	}
	switch e.Kind {
	case "walk":
		all = append(all, command(e))
	case "change":
		all = append(all, "same command")
	case "move":
		if e.Speed != nil && *e.Speed != 1 {
			all = append(all, draw.Number(*e.Speed, 2)+" × the speed")
		}
	}
	return strings.Join(all, ", ")
}

// command says where a walk goes and how fast.
func command(e *workfile.Entry) string {
	var all []string
	say := func(v *float64, unit, pos, neg string) {
		if v == nil || *v == 0 {
			return
		}
		a, where := *v, pos
		if a < 0 {
			a, where = -a, neg
		}
		n := 0
		if a != float64(int(a)) {
			n = 1
		}
		all = append(all, draw.Number(a, n)+unit+" "+where)
	}
	say(e.Forward, " mm/s", "ahead", "back")
	say(e.Side, " mm/s", "left", "right")
	say(e.Turn, "°/s", "turning left", "turning right")
	if len(all) == 0 {
		return "on the spot"
	}
	return strings.Join(all, ", ")
}

// lengthOf says how long an entry is, in its own measure.
func lengthOf(e *workfile.Entry) string {
	switch e.Kind {
	case "walk", "change":
		if e.Cycles != nil && *e.Cycles == 1 {
			return "1 cycle"
		}
		if e.Cycles != nil {
			return trimmed(*e.Cycles, 2) + " cycles"
		}
	case "stand", "wait":
		if e.Duration != nil {
			return trimmed(*e.Duration, 1) + " ms"
		}
	}
	return ""
}

// trimmed writes a number without zeros at its end.
func trimmed(v float64, decimals int) string {
	s := draw.Number(v, decimals)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
