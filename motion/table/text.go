// SPDX-License-Identifier: MIT

package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"gaitwright/kin"
	"gaitwright/motion/review"
)

// csv writes one file: the comment in lines that begin with #, a header row,
// then a row a frame: move, frame, seconds since frame 0, all pulses, all
// angles.
func (t *Table) csv() ([]File, error) {
	var b bytes.Buffer
	for _, l := range t.comment("columns ending in _us: servo pulse width, µs; columns ending in _tenth_deg: joint angle, 0.1 degree") {
		b.WriteString(strings.TrimRight("# "+l, " ") + "\n")
	}
	w := csv.NewWriter(&b)
	row := []string{"move", "frame", "t_s"}
	for _, unit := range [...]string{"us", "tenth_deg"} {
		for _, j := range t.Joints {
			row = append(row, j.Leg+"_"+j.Name+"_"+unit)
		}
	}
	if err := w.Write(row); err != nil {
		return nil, fmt.Errorf("table: %w", err)
	}
	n := len(t.Joints)
	for i := range t.Moves {
		m := &t.Moves[i]
		for f := range m.Frames {
			row = append(row[:0], m.Name, strconv.Itoa(f), number(float64(f)/t.Rate))
			for _, v := range m.Pulse[f*n : f*n+n] {
				row = append(row, strconv.Itoa(int(v)))
			}
			for _, v := range m.Angle[f*n : f*n+n] {
				row = append(row, strconv.Itoa(int(v)))
			}
			if err := w.Write(row); err != nil {
				return nil, fmt.Errorf("table: %w", err)
			}
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return nil, fmt.Errorf("table: %w", err)
	}
	return []File{{t.Name + ".csv", b.Bytes()}}, nil
}

// The shape of the JSON file.
type (
	jsonTable struct {
		Robot    string        `json:"robot"`
		Workfile string        `json:"workfile"`
		SHA256   string        `json:"workfile_sha256"`
		Rate     float64       `json:"rate_hz"`
		Units    jsonUnits     `json:"units"`
		Cautions []string      `json:"cautions"`
		Findings []review.Told `json:"findings"`
		Joints   []jsonJoint   `json:"joints"`
		Moves    []jsonMove    `json:"moves"`
	}
	jsonUnits struct {
		Pulse string `json:"pulse"`
		Angle string `json:"angle"`
	}
	jsonJoint struct {
		Leg     string `json:"leg"`
		Joint   string `json:"joint"`
		Channel int    `json:"channel"`
	}
	jsonMove struct {
		Name     string     `json:"name"`
		Move     string     `json:"move"`
		Entry    string     `json:"entry"`
		From     float64    `json:"from_s"`
		Lead     float64    `json:"lead_s"`
		Frames   int        `json:"frames"`
		Duration float64    `json:"duration_s"`
		Pulse    [][]uint16 `json:"pulse_us"`
		Angle    [][]int16  `json:"angle_tenth_deg"`
	}
)

// json writes one file.
func (t *Table) json() ([]File, error) {
	d := jsonTable{
		Robot: t.Robot, Workfile: t.Workfile, SHA256: t.SHA256, Rate: t.Rate,
		Units:    jsonUnits{"microsecond", "0.1 degree"},
		Cautions: cautions[:], Findings: []review.Told{},
	}
	for i := range t.Findings {
		f := &t.Findings[i]
		leg := ""
		if o := f.Leg * kin.Joints; f.Leg >= 0 && o < len(t.Joints) {
			leg = t.Joints[o].Leg
		}
		d.Findings = append(d.Findings, f.Tell(leg))
	}
	for _, j := range t.Joints {
		d.Joints = append(d.Joints, jsonJoint{j.Leg, j.Name, j.Channel})
	}
	n := len(t.Joints)
	for i := range t.Moves {
		m := &t.Moves[i]
		jm := jsonMove{Name: m.Name, Move: m.Title, Entry: m.Entry, From: m.From, Lead: m.Lead, Frames: m.Frames, Duration: t.Duration(m)}
		for f := range m.Frames {
			jm.Pulse = append(jm.Pulse, m.Pulse[f*n:f*n+n])
			jm.Angle = append(jm.Angle, m.Angle[f*n:f*n+n])
		}
		d.Moves = append(d.Moves, jm)
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(&d); err != nil {
		return nil, fmt.Errorf("table: %w", err)
	}
	return []File{{t.Name + ".json", b.Bytes()}}, nil
}
