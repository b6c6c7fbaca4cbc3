// SPDX-License-Identifier: MIT

package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"gaitwright/motion/sweep"
)

// sweepText gives the verdict, what each gait does by itself, and the worst of
// each change.
func sweepText(w io.Writer, s *source, r *sweep.Result) error {
	fmt.Fprintf(w, "%s\n%s: %s, %s of the cycle a change, %g samples a second\n",
		sweepVerdict(r), s.name, s.file.Robot.Name, count(r.Instants, "instant", "instants"), r.Rate)
	if len(r.Gaits) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "\ngait by itself\tdynamic margin\tstatic margin\tslip\tjoint speed\twalked at\n")
	for i := range r.Gaits {
		g := &r.Gaits[i]
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", g.Name, inMm(g.Dynamic, 1), inMm(g.Static, 1), inMm(g.Slip, 2), inShare(g.Speed), commandText(g))
	}
	if len(r.Rows) > 0 {
		fmt.Fprint(t, "\nchange\tdynamic margin\tstatic margin\tslip\tjoint speed\tin force after\tstops\n")
	}
	for i := range r.Rows {
		row := r.Rows[i].Worst()
		margin := inMm(row.Dynamic, 1)
		if row.Phase == row.Phase {
			margin += fmt.Sprintf(" at %.2f", row.Phase)
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.Rows[i].Name, margin, inMm(row.Static, 1), inMm(row.Slip, 2),
			inShare(row.Speed), timeText(&row), stopText(&row, len(r.Rows[i].Cells)))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	var b strings.Builder
	for i := range r.Gaits {
		if g := &r.Gaits[i]; !g.Walks() {
			fmt.Fprintf(&b, "%s cannot be walked, and is in no change: %s\n", g.Name, said(g.Word, g.Why))
		}
	}
	for i := range r.Rows {
		for k := range r.Rows[i].Cells {
			if c := &r.Rows[i].Cells[k]; c.Bad() {
				why := said(c.Word, c.Why)
				if c.Fault != "" {
					why = c.Fault
				}
				fmt.Fprintf(&b, "%s, asked for at %g of the cycle: %s\n", r.Rows[i].Name, c.Phase, why)
				break
			}
		}
	}
	if b.Len() > 0 {
		b.WriteString("\n")
	}
	_, err := fmt.Fprintf(w, "\n%s%s\n", b.String(), sweepKey)
	return err
}

const sweepKey = `The least or the greatest between the request and when it is in force, over all instants.
Behind a margin: the phase of the cycle at which the change is asked for.
Joint speed: share of the servo's speed without load.
With a move: the time until it begins, and from its end until the walk goes on.`

// sweepVerdict says in one line what the sweep found.
func sweepVerdict(r *sweep.Result) string {
	bad, gaits := r.Stops()
	of := runs(r.Total)
	if r.Partial {
		of = fmt.Sprintf("the first %d of %s", r.Runs, runs(r.Total))
		if r.Total == 0 {
			return "partial: interrupted before the first change"
		}
	}
	text := "no stop found in " + of
	switch {
	case bad > 0 && gaits > 0:
		text = fmt.Sprintf("stop: %d of %s, and %s that cannot be walked", bad, of, count(gaits, "gait", "gaits"))
	case bad > 0:
		text = fmt.Sprintf("stop: %d of %s", bad, of)
	case gaits > 0:
		text = fmt.Sprintf("stop: %s cannot be walked; %s", count(gaits, "gait", "gaits"), text)
	}
	if r.Partial {
		return "partial: " + text
	}
	return text
}

// said joins a word of the review with its sentence.
func said(word, why string) string {
	if word == "" {
		return why
	}
	return word + ": " + why
}

const nothing = "-" // stands for a number that there is not

func inMm(v float64, digits int) string {
	if math.IsNaN(v) {
		return nothing
	}
	return fmt.Sprintf("%.*f mm", digits, v*1000)
}

func inShare(v float64) string {
	if math.IsNaN(v) {
		return nothing
	}
	return fmt.Sprintf("%.2f", v)
}

func timeText(w *sweep.Worst) string {
	switch {
	case math.IsNaN(w.Time):
		return nothing
	case math.IsNaN(w.Back):
		return fmt.Sprintf("%.2f s", w.Time)
	}
	return fmt.Sprintf("%.2f s, back %.2f s", w.Time, w.Back)
}

func stopText(w *sweep.Worst, of int) string {
	if w.Run == 0 {
		return "not run"
	}
	text := "none"
	if w.Bad > 0 {
		word := w.Word
		if word == "" {
			word = "cannot be played"
		}
		text = fmt.Sprintf("%d: %s", w.Bad, word)
	}
	if w.Run < of {
		text += fmt.Sprintf(" (%d of %d run)", w.Run, of)
	}
	return text
}

// commandText says how a gait is walked.
func commandText(g *sweep.Gait) string {
	if !g.Walks() && g.Command == (sweep.Command{}) {
		return "cannot be walked"
	}
	c := &g.Command
	var parts []string
	way := func(v float64, unit, positive, negative string) {
		switch {
		case v > 0:
			parts = append(parts, fmt.Sprintf("%.4g %s %s", v, unit, positive))
		case v < 0:
			parts = append(parts, fmt.Sprintf("%.4g %s %s", -v, unit, negative))
		}
	}
	way(c.Forward, "mm/s", "forward", "backward")
	way(c.Side, "mm/s", "to the left", "to the right")
	way(c.Turn, "deg/s", "counter-clockwise", "clockwise")
	text := strings.Join(parts, ", ")
	if text == "" {
		text = "on the spot"
	}
	if c.Entry != "" {
		text += fmt.Sprintf(" (entry %q)", c.Entry)
	} else {
		text += fmt.Sprintf(" (%g of the fastest ahead)", sweep.OfFastest)
	}
	if !g.Walks() {
		text += ": cannot be walked"
	}
	return text
}
