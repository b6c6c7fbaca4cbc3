// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"

	"gaitwright/motion/sweep"
	"gaitwright/motion/workfile"
)

// sweepJSON is the shape of the JSON of sweep. A number that there is not is
// null.
type sweepJSON struct {
	File     string          `json:"file"`
	Robot    string          `json:"robot"`
	Partial  bool            `json:"partial"` // interrupted
	Instants int             `json:"instants"`
	Rate     float64         `json:"rate_hz"`
	Runs     int             `json:"runs"`  // done
	Total    int             `json:"total"` // to be done
	Gaits    []gaitSweepJSON `json:"gaits"`
	Changes  []changeJSON    `json:"changes"`
}

type gaitSweepJSON struct {
	Gait    string   `json:"gait"`
	Forward float64  `json:"forward_mm_s"`
	Side    float64  `json:"side_mm_s"`
	Turn    float64  `json:"turn_deg_s"`
	Entry   string   `json:"command_of_entry"` // "" for a share of the fastest
	Walks   bool     `json:"can_be_walked"`
	Word    string   `json:"word"`
	Why     string   `json:"why"`
	Static  *float64 `json:"static_margin_m"`
	Dynamic *float64 `json:"dynamic_margin_m"`
	Slip    *float64 `json:"slip_m"`
	Speed   *float64 `json:"joint_speed_share"`
}

type changeJSON struct {
	From  string    `json:"from"`
	To    string    `json:"to"`   // "" for a move
	Move  string    `json:"move"` // "" for a gait
	Worst worstJSON `json:"worst"`
	Runs  []runJSON `json:"runs"`
}

type worstJSON struct {
	Static  *float64 `json:"static_margin_m"`
	Dynamic *float64 `json:"dynamic_margin_m"`
	Phase   *float64 `json:"dynamic_margin_phase"`
	Slip    *float64 `json:"slip_m"`
	Speed   *float64 `json:"joint_speed_share"`
	Time    *float64 `json:"in_force_s"`
	Back    *float64 `json:"back_s"`
	Stops   int      `json:"runs_with_stop"`
	Word    string   `json:"word"`
	Why     string   `json:"why"`
}

type runJSON struct {
	Phase    float64  `json:"phase"`
	Run      bool     `json:"run"` // false when interrupted before
	Static   *float64 `json:"static_margin_m"`
	Dynamic  *float64 `json:"dynamic_margin_m"`
	At       *float64 `json:"dynamic_margin_at_s"` // from the request
	Slip     *float64 `json:"slip_m"`
	Speed    *float64 `json:"joint_speed_share"`
	Time     *float64 `json:"in_force_s"`
	Back     *float64 `json:"back_s"`
	Stops    int      `json:"stops"`
	Cautions int      `json:"cautions"`
	Word     string   `json:"word"`
	Why      string   `json:"why"`
	Fault    string   `json:"fault"` // why it cannot be played
}

func ifThere(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func sweepOf(s *source, r *sweep.Result) *sweepJSON {
	out := &sweepJSON{
		File: s.name, Robot: s.file.Robot.Name, Partial: r.Partial, Instants: r.Instants, Rate: r.Rate,
		Runs: r.Runs, Total: r.Total, Gaits: []gaitSweepJSON{}, Changes: []changeJSON{},
	}
	for i := range r.Gaits {
		g := &r.Gaits[i]
		out.Gaits = append(out.Gaits, gaitSweepJSON{
			g.Name, g.Command.Forward, g.Command.Side, g.Command.Turn, g.Command.Entry, g.Walks(), g.Word, g.Why,
			ifThere(g.Static), ifThere(g.Dynamic), ifThere(g.Slip), ifThere(g.Speed),
		})
	}
	for i := range r.Rows {
		row := &r.Rows[i]
		w := row.Worst()
		c := changeJSON{From: r.Gaits[row.From].Name, Worst: worstJSON{
			ifThere(w.Static), ifThere(w.Dynamic), ifThere(w.Phase), ifThere(w.Slip), ifThere(w.Speed),
			ifThere(w.Time), ifThere(w.Back), w.Bad, w.Word, w.Why,
		}}
		c.To, c.Move = asked(s.file, row)
		for k := range row.Cells {
			x := &row.Cells[k]
			c.Runs = append(c.Runs, runJSON{
				x.Phase, x.Run, ifThere(x.Static), ifThere(x.Dynamic), ifThere(x.At), ifThere(x.Slip), ifThere(x.Speed),
				ifThere(x.Time), ifThere(x.Back), x.Stops, x.Cautions, x.Word, x.Why, x.Fault,
			})
		}
		out.Changes = append(out.Changes, c)
	}
	return out
}

// asked gives the names of the gait, or of the move, that a row asks for.
func asked(f *workfile.File, row *sweep.Row) (gait, move string) {
	if row.To >= 0 {
		return f.Gaits[row.To].Name, ""
	}
	return "", f.Moves[row.Move].Name
}

// sweepCSV gives all runs, one a line; what is not known is an empty cell.
func sweepCSV(f *workfile.File, r *sweep.Result) ([]byte, error) {
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	row := []string{
		"from", "to", "move", "phase", "static_margin_m", "dynamic_margin_m", "dynamic_margin_at_s", "slip_m", "joint_speed_share",
		"in_force_s", "back_s", "stops", "cautions", "word", "why", "fault",
	}
	if err := out.Write(row); err != nil {
		return nil, err
	}
	var c cells
	for i := range r.Rows {
		n := &r.Rows[i]
		to, move := asked(f, n)
		for k := range n.Cells {
			x := &n.Cells[k]
			c.reset()
			c.text(r.Gaits[n.From].Name)
			c.text(to)
			c.text(move)
			c.add(x.Phase, x.Static, x.Dynamic, x.At, x.Slip, x.Speed, x.Time, x.Back)
			c.text(strconv.Itoa(x.Stops))
			c.text(strconv.Itoa(x.Cautions))
			c.text(x.Word)
			c.text(x.Why)
			c.text(x.Fault)
			row = c.row(row[:0])
			if err := out.Write(row); err != nil {
				return nil, err
			}
		}
	}
	out.Flush()
	return b.Bytes(), out.Error()
}
