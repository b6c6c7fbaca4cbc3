// SPDX-License-Identifier: MIT

package record

import (
	"io"
	"math"
	"strconv"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// Row is one look at a robot.
type Row struct {
	Robot    float64   // the robot's clock, s
	Motion   float64   // time of the motion, NaN while none is played, s
	Switches bool      // Down is known
	Down     uint16    // foot switches, bit 0 the first leg
	Pulses   []float64 // where the servos say that they are (legs x 3), NaN where not known, µs; nil for none
}

// Writer writes a log that Read reads.
type Writer struct {
	to   io.Writer
	b    *workfile.Built
	line []byte
	err  error
}

// NewWriter begins a log with the names of its columns.
func NewWriter(to io.Writer, b *workfile.Built) *Writer {
	w := &Writer{to: to, b: b}
	w.line = append(w.line, "robot_s,motion_s"...)
	for i := range b.Robot.Legs {
		w.line = append(append(w.line, ','), b.Robot.Legs[i].Name...)
		w.line = append(w.line, "_down"...)
	}
	for i := range b.Robot.Legs {
		for j := range kin.Joints {
			w.line = append(append(w.line, ','), b.Robot.Legs[i].Name...)
			w.line = append(append(append(w.line, '_'), kin.JointName(j)...), "_us"...)
		}
	}
	w.end()
	return w
}

func (w *Writer) end() {
	w.line = append(w.line, '\n')
	if w.err == nil {
		_, w.err = w.to.Write(w.line)
	}
	w.line = w.line[:0]
}

func (w *Writer) number(v float64) {
	if v == v && !math.IsInf(v, 0) {
		w.line = strconv.AppendFloat(w.line, v, 'f', 3, 64)
	}
}

// Add writes a row. The error is the first of the writer below.
func (w *Writer) Add(r Row) error {
	w.number(r.Robot)
	w.line = append(w.line, ',')
	w.number(r.Motion)
	for i := range w.b.Robot.Legs {
		w.line = append(w.line, ',')
		if r.Switches {
			w.line = append(w.line, '0'+byte(r.Down>>i&1))
		}
	}
	for n := range len(w.b.Robot.Legs) * kin.Joints {
		w.line = append(w.line, ',')
		if n < len(r.Pulses) {
			w.number(r.Pulses[n])
		}
	}
	w.end()
	return w.err
}
