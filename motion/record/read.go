// SPDX-License-Identifier: MIT

// Package record reads what a robot reported of itself while it played a
// motion, foot switches and joint positions, and holds it against the motion
// as drawn: how early or late each foot came down, and how far each joint was
// from where it should have been.
package record

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// Record is a log. Row k of leg i of joint j is at (k·Legs + i)·3 + j.
type Record struct {
	Legs    int
	Time    []float64 // rows in order of time, s
	Motion  bool      // Time is that of the motion; else that of the robot, begun anywhere
	Down    []int8    // 1 on the ground, 0 in the air, -1 not known (rows x legs)
	Angle   []float64 // of the joint, NaN where not known (rows x legs x 3), rad
	Ignored []string  // columns that are none of ours
	Foreign []string  // of them, those that name a leg that this robot does not have
	Skipped int       // rows without a time of the motion
}

// ErrRecord is what Read's errors wrap, except for a log of another robot, which
// is ErrOther.
var ErrRecord = errors.New("record: unusable log")

// Bounds of a log.
const (
	mostRows    = 2_000_000
	mostColumns = 1000
	longest     = 1e6 // s
)

// column is what a column of the log has.
type column struct {
	kind  int // of the constants below
	leg   int
	joint int
}

const (
	ignored = iota
	motionTime
	robotTime
	footDown
	pulse
	degrees
)

// Read reads a log: CSV with a line of names, in any order: motion_s (time of
// the motion) or robot_s (any clock), and for each leg and joint that is known
// LF_down (1 or 0), LF_femur_us (pulse at which the servo says that it is) or
// LF_femur_deg (joint angle). Cells may be empty. Rows without motion_s, where
// there is that column, were not played and are skipped. The error names line
// and column.
func Read(r io.Reader, b *workfile.Built) (*Record, error) {
	in := csv.NewReader(bufio.NewReader(r))
	in.ReuseRecord = true
	in.FieldsPerRecord = -1
	in.Comment = '#'
	head, err := in.Read()
	if err == io.EOF {
		return nil, fmt.Errorf("%w: it is empty; the first line names the columns, such as motion_s,%s_down", ErrRecord, b.Robot.Legs[0].Name)
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRecord, err)
	}
	if len(head) > mostColumns {
		return nil, fmt.Errorf("%w: %d columns, at most %d", ErrRecord, len(head), mostColumns)
	}
	if len(head) == 1 && strings.ContainsAny(head[0], ";\t") {
		return nil, fmt.Errorf("%w: its columns are not separated by commas: write it with commas between the columns and points in the numbers", ErrRecord)
	}
	names := slices.Clone(head)
	columns, rec, err := columnsOf(names, b)
	if err != nil {
		return nil, err
	}
	clock := slices.IndexFunc(columns, func(c column) bool { return c.kind == motionTime })
	rec.Motion = clock >= 0
	if clock < 0 {
		clock = slices.IndexFunc(columns, func(c column) bool { return c.kind == robotTime })
	}
	if clock < 0 {
		return nil, fmt.Errorf("%w: no column of time: call it motion_s (time of the motion) or robot_s (the robot's own clock), in seconds", ErrRecord)
	}
	for {
		cells, err := in.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrRecord, err)
		}
		line, _ := in.FieldPos(0)
		if len(cells) != len(names) {
			return nil, fmt.Errorf("%w: line %d: %d cells, the first line names %d columns", ErrRecord, line, len(cells), len(names))
		}
		if err := rec.row(cells, names, columns, clock, line, b); err != nil {
			return nil, err
		}
		if len(rec.Time) > mostRows {
			return nil, fmt.Errorf("%w: more than %d rows; cut the log to the part that matters", ErrRecord, mostRows)
		}
	}
	if len(rec.Time) < 2 {
		return nil, fmt.Errorf("%w: %d rows with a time; at least 2 are needed", ErrRecord, len(rec.Time))
	}
	return rec, nil
}

// columnsOf understands the names of the columns.
func columnsOf(names []string, b *workfile.Built) ([]column, *Record, error) {
	rec := &Record{Legs: len(b.Robot.Legs)}
	out := make([]column, len(names))
	taken := map[column]string{}
	known := false
	for n, name := range names {
		name = strings.TrimSpace(strings.TrimPrefix(name, "\ufeff"))
		c := columnOf(name, b)
		if c.kind == ignored {
			rec.Ignored = append(rec.Ignored, name)
			if ofALeg(name) {
				rec.Foreign = append(rec.Foreign, name)
			}
			continue
		}
		known = known || c.kind >= footDown
		same := c
		if same.kind == degrees {
			same.kind = pulse
		}
		if other, ok := taken[same]; ok {
			return nil, nil, fmt.Errorf("%w: columns %s and %s say the same: leave one out", ErrRecord, other, name)
		}
		taken[same] = name
		out[n] = c
	}
	if n := len(rec.Foreign); n > 0 && !known {
		var legs []string
		for i := range b.Robot.Legs {
			legs = append(legs, b.Robot.Legs[i].Name)
		}
		return nil, nil, fmt.Errorf("%w: it has %s, and none of its columns is of a leg of this one (%s)", ErrOther, some(rec.Foreign), some(legs))
	}
	return out, rec, nil
}

// some lists the first ones of a list.
func some(all []string) string {
	const most = 6
	if n := len(all); n > most {
		return fmt.Sprintf("%s and %d more", strings.Join(all[:most], ", "), n-most)
	}
	return strings.Join(all, ", ")
}

// ofALeg tells whether a column is called as if it were of a leg.
func ofALeg(name string) bool {
	if rest, ok := strings.CutSuffix(name, "_down"); ok {
		return rest != ""
	}
	for j := range kin.Joints {
		for _, unit := range [2]string{"_us", "_deg"} {
			if rest, ok := strings.CutSuffix(name, "_"+kin.JointName(j)+unit); ok {
				return rest != ""
			}
		}
	}
	return false
}

func columnOf(name string, b *workfile.Built) column {
	switch name {
	case "motion_s":
		return column{kind: motionTime}
	case "robot_s":
		return column{kind: robotTime}
	}
	for i := range b.Robot.Legs {
		rest, ok := strings.CutPrefix(name, b.Robot.Legs[i].Name+"_")
		if !ok {
			continue
		}
		if rest == "down" {
			return column{footDown, i, 0}
		}
		for j := range kin.Joints {
			switch rest {
			case kin.JointName(j) + "_us":
				return column{pulse, i, j}
			case kin.JointName(j) + "_deg":
				return column{degrees, i, j}
			}
		}
	}
	return column{}
}

// row takes a row in.
func (rec *Record) row(cells, names []string, columns []column, clock, line int, b *workfile.Built) error {
	fault := func(n int, text string) error {
		return fmt.Errorf("%w: line %d, column %s: %s", ErrRecord, line, names[n], text)
	}
	at := strings.TrimSpace(cells[clock])
	if at == "" && rec.Motion {
		rec.Skipped++
		return nil
	}
	s, err := strconv.ParseFloat(at, 64)
	if err != nil || !(math.Abs(s) <= longest) {
		return fault(clock, fmt.Sprintf("%q is no time in seconds", at))
	}
	if n := len(rec.Time); n > 0 && s < rec.Time[n-1] {
		return fault(clock, fmt.Sprintf("%v s comes after %v s: the rows must be in order of time; cut the log to one run", s, rec.Time[n-1]))
	}
	rec.Time = append(rec.Time, s)
	down, angle := len(rec.Down), len(rec.Angle)
	for range rec.Legs {
		rec.Down = append(rec.Down, -1)
		rec.Angle = append(rec.Angle, math.NaN(), math.NaN(), math.NaN())
	}
	for n, c := range columns {
		v := strings.TrimSpace(cells[n])
		if v == "" || c.kind == ignored || c.kind == motionTime || c.kind == robotTime {
			continue
		}
		if c.kind == footDown {
			if v != "0" && v != "1" {
				return fault(n, fmt.Sprintf("%q is neither 1 (on the ground) nor 0", v))
			}
			rec.Down[down+c.leg] = int8(v[0] - '0')
			continue
		}
		x, err := strconv.ParseFloat(v, 64)
		if err != nil || !(math.Abs(x) <= 1e5) {
			return fault(n, fmt.Sprintf("%q is no number", v))
		}
		q := x * math.Pi / 180
		if c.kind == pulse {
			out := &b.Channels[c.leg][c.joint]
			if !out.Set {
				return fault(n, "the joint has no channel in the workfile, so its pulse means no angle")
			}
			q = out.Angle(x)
		}
		rec.Angle[angle+c.leg*kin.Joints+c.joint] = q
	}
	return nil
}
