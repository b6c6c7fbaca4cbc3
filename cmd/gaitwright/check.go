// SPDX-License-Identifier: MIT

package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"gaitwright/kin"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

type checkCmd struct {
	fileArg `embed:""`
	JSON    bool `name:"json" help:"Write the findings as JSON."`
}

// reviewJSON is the shape of the JSON of check.
type reviewJSON struct {
	File     string        `json:"file"`
	Duration float64       `json:"duration_s"`
	Findings []review.Told `json:"findings"`
}

// Run reviews the workfile.
func (c *checkCmd) Run(e *env) error {
	s, err := c.load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, 0)
	if err != nil {
		return err
	}
	if c.JSON {
		err = writeJSON(e.stdout, reviewOf(s.name, r))
	} else {
		_, err = io.WriteString(e.stdout, reviewText(s.name, r))
	}
	if err != nil {
		return fmt.Errorf("cannot write the findings: %w", err)
	}
	if len(stops(r.Findings)) > 0 {
		return errStop
	}
	return nil
}

// stops gives the findings that forbid running the motion.
func stops(all []review.Finding) (some []review.Finding) {
	for _, f := range all {
		if f.Level == review.Stop {
			some = append(some, f)
		}
	}
	return some
}

func reviewOf(name string, r *rehearsal.Rehearsal) *reviewJSON {
	out := &reviewJSON{File: name, Duration: r.Plan.Duration, Findings: []review.Told{}}
	for i := range r.Findings {
		f := &r.Findings[i]
		out.Findings = append(out.Findings, f.Tell(legName(&r.Built.Robot, f.Leg)))
	}
	return out
}

func legName(r *kin.Robot, leg int) string {
	if leg < 0 || leg >= len(r.Legs) {
		return ""
	}
	return r.Legs[leg].Name
}

// reviewText gives the verdict, then what was found.
func reviewText(name string, r *rehearsal.Rehearsal) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s: %s, %.3f s\n", verdict(r.Findings), name, r.Built.Robot.Name, r.Plan.Duration)
	for i := range r.Findings {
		f := &r.Findings[i]
		fmt.Fprintf(&b, "\n%s\n    mend: %s\n", findingText(f, &r.Built.Robot), f.Mend)
	}
	return b.String()
}

// verdict says in one line whether the motion may run.
func verdict(all []review.Finding) string {
	n := len(stops(all))
	cautions := count(len(all)-n, "caution", "cautions")
	switch {
	case n > 0 && n == len(all):
		return fmt.Sprintf("stop: %s running this on the robot", count(n, "finding forbids", "findings forbid"))
	case n > 0:
		return fmt.Sprintf("stop: %s running this on the robot, beside %s", count(n, "finding forbids", "findings forbid"), cautions)
	case len(all) > 0:
		return fmt.Sprintf("no stop found, but %s: look first", cautions)
	}
	return "no stop found, and no caution: the review has nothing to add"
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// findingText is a finding on one line, without what would mend it.
func findingText(f *review.Finding, r *kin.Robot) string {
	var where []string
	for _, w := range []string{f.Entry, legName(r, f.Leg), kin.JointName(f.Joint)} {
		if w != "" {
			where = append(where, w)
		}
	}
	unit := ""
	if f.Unit != "" {
		unit = " " + f.Unit
	}
	return fmt.Sprintf("%s  %s  [%s]  %.3f to %.3f s, worst at %.3f s: %.4g%s, limit %.4g%s: %s",
		f.Level, f.Word, strings.Join(where, ", "), f.From, f.To, f.Worst, f.Value, unit, f.Limit, unit, f.Why)
}

// writeJSON writes v indented.
func writeJSON(w io.Writer, v any) error {
	j := json.NewEncoder(w)
	j.SetEscapeHTML(false)
	j.SetIndent("", "  ")
	return j.Encode(v)
}
