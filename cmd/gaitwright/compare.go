// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"strings"
	"text/tabwriter"

	"gaitwright/kin"
	"gaitwright/motion/diskfile"
	"gaitwright/motion/record"
	"gaitwright/motion/rehearsal"
)

type compareCmd struct {
	File   string   `arg:"" name:"FILE" help:"Workfile that was played."`
	Log    string   `arg:"" name:"LOG" help:"What the robot reported (CSV), such as link --log writes."`
	Offset *float64 `help:"Seconds to add to the log's times; found by itself when left out." placeholder:"SECONDS"`
	JSON   bool     `name:"json" help:"Write the comparison as JSON."`
}

// The shape of the JSON; null is not known.
type (
	compareJSON struct {
		Offset  float64      `json:"offset_s"`
		Fitted  bool         `json:"offset_fitted"`
		Doubt   bool         `json:"offset_in_doubt"`
		Ignored []string     `json:"ignored_columns"`
		Feet    []touchJSON  `json:"feet"`
		Steps   []stepJSON   `json:"steps"`
		Joints  []followJSON `json:"joints"`
	}
	touchJSON struct {
		Leg    string   `json:"leg"`
		Steps  int      `json:"steps"`
		Missed int      `json:"missed"`
		Extra  int      `json:"extra"`
		Mean   *float64 `json:"late_mean_s"`
		Spread *float64 `json:"late_spread_s"`
		Worst  *float64 `json:"late_worst_s"`
	}
	stepJSON struct {
		Leg     string   `json:"leg"`
		Planned float64  `json:"planned_s"`
		Seen    *float64 `json:"seen_s"`
	}
	followJSON struct {
		Leg   string   `json:"leg"`
		Joint string   `json:"joint"`
		Rows  int      `json:"rows"`
		Mean  float64  `json:"error_mean_rad"`
		RMS   float64  `json:"error_rms_rad"`
		Worst float64  `json:"error_worst_rad"`
		At    float64  `json:"error_worst_s"`
		Lag   *float64 `json:"lag_s"`
	}
)

// Run holds a robot's log against the motion as drawn.
func (c *compareCmd) Run(e *env) error {
	if c.Offset != nil && !(math.Abs(*c.Offset) <= mostOffset) {
		return fmt.Errorf("--offset must lie from -%d to %d s, got %g; leave it out to have it found", mostOffset, mostOffset, *c.Offset)
	}
	s, err := (&fileArg{c.File}).load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, 0)
	if err != nil {
		return err
	}
	f, err := openLog(c.Log)
	if err != nil {
		return fmt.Errorf("cannot read the log: %w", err)
	}
	defer f.Close()
	left := &io.LimitedReader{R: f, N: mostLog + 1}
	rec, err := record.Read(left, r.Built)
	if left.N <= 0 { // cut off, and whatever was made of it is not the log
		return fmt.Errorf("%s: the log has more than %d MiB: cut it to the part that matters", c.Log, mostLog>>20)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", c.Log, err)
	}
	offset := math.NaN()
	if c.Offset != nil {
		offset = *c.Offset
	}
	cmp, err := record.Compare(rec, r.Trajectory, offset)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Log, err)
	}
	if c.JSON {
		err = writeCompareJSON(e.stdout, cmp, rec, r)
	} else {
		err = buffered(e.stdout, func(w io.Writer) error { return writeCompare(w, cmp, rec, r) })
	}
	if err != nil {
		return fmt.Errorf("cannot write the comparison: %w", err)
	}
	return nil
}

// Bounds of what is compared.
const (
	mostLog    = 1 << 29 // bytes
	mostOffset = 1000000 // s
)

// openLog opens a log to read. A pipe that nothing writes to is refused instead
// of waited for.
func openLog(path string) (io.ReadCloser, error) {
	info, err := os.Stat(path)
	if err != nil || info.Mode()&fs.ModeNamedPipe == 0 {
		return os.Open(path)
	}
	text, err := diskfile.Load(path, mostLog)
	return io.NopCloser(bytes.NewReader(text)), err
}

func orNull(v float64) *float64 {
	if v != v {
		return nil
	}
	return &v
}

func writeCompareJSON(w io.Writer, c *record.Comparison, rec *record.Record, r *rehearsal.Rehearsal) error {
	leg := func(i int) string { return r.Built.Robot.Legs[i].Name }
	out := compareJSON{Offset: c.Offset, Fitted: c.Fitted, Doubt: c.Doubt, Ignored: append([]string{}, rec.Ignored...), Feet: []touchJSON{}, Steps: []stepJSON{}, Joints: []followJSON{}}
	for _, t := range c.Touch {
		out.Feet = append(out.Feet, touchJSON{leg(t.Leg), t.Steps, t.Missed, t.Extra, orNull(t.Mean), orNull(t.Spread), orNull(t.Worst)})
	}
	for _, s := range c.Steps {
		out.Steps = append(out.Steps, stepJSON{leg(s.Leg), s.Planned, orNull(s.Seen)})
	}
	for _, f := range c.Follow {
		out.Joints = append(out.Joints, followJSON{leg(f.Leg), kin.JointName(f.Joint), f.Rows, f.Mean, f.RMS, f.Worst, f.At, orNull(f.Lag)})
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(out)
}

// ms writes a time in milliseconds with its sign, a dash where there is none.
func ms(v float64) string {
	if v != v {
		return "–"
	}
	return fmt.Sprintf("%+.0f", v*1000)
}

func writeCompare(w io.Writer, c *record.Comparison, rec *record.Record, r *rehearsal.Rehearsal) error {
	leg := func(i int) string { return r.Built.Robot.Legs[i].Name }
	fmt.Fprintf(w, "%d rows", len(rec.Time))
	if rec.Skipped > 0 {
		fmt.Fprintf(w, ", %d more were not of the motion", rec.Skipped)
	}
	if c.Offset != 0 {
		fmt.Fprintf(w, "; %.3f s added to the log's times", c.Offset)
	}
	fmt.Fprintln(w)
	if c.Fitted {
		fmt.Fprintln(w, "That fits best: by how much all feet and joints are late in common does not show.")
	}
	if c.Doubt {
		fmt.Fprintln(w, "It fits about as well at another time of the motion: log the whole motion, or say --offset.")
	}
	if len(rec.Ignored) > 0 {
		fmt.Fprintf(w, "Columns that are not understood and left out: %s\n", strings.Join(rec.Ignored, ", "))
	}
	fmt.Fprintln(w)
	if len(c.Touch) == 0 {
		fmt.Fprintln(w, "The log has no foot switches.")
	} else {
		fmt.Fprintln(w, "Touchdown, ms later than drawn (negative: earlier)")
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprintln(t, "leg\tsteps\tmissed\textra\tmean\tspread\tworst\t")
		for _, x := range c.Touch {
			spread := "–"
			if x.Spread == x.Spread {
				spread = fmt.Sprintf("%.0f", x.Spread*1000)
			}
			fmt.Fprintf(t, "%s\t%d\t%d\t%d\t%s\t%s\t%s\t\n", leg(x.Leg), x.Steps, x.Missed, x.Extra, ms(x.Mean), spread, ms(x.Worst))
		}
		t.Flush()
	}
	fmt.Fprintln(w)
	if len(c.Follow) == 0 {
		fmt.Fprintln(w, "The log has no joint positions.")
		return nil
	}
	fmt.Fprintln(w, "Joints, degrees measured less drawn")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "joint\tmean\trms\tworst\tat s\tlag ms\t")
	for _, f := range c.Follow {
		fmt.Fprintf(t, "%s %s\t%+.1f\t%.1f\t%+.1f\t%.3f\t%s\t\n", leg(f.Leg), kin.JointName(f.Joint), f.Mean*180/math.Pi, f.RMS*180/math.Pi, f.Worst*180/math.Pi, f.At, ms(f.Lag))
	}
	return t.Flush()
}
