// SPDX-License-Identifier: MIT

package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"gaitwright/motion/rehearsal"
)

// rateFlag is a rate of sampling.
type rateFlag float64

// UnmarshalText refuses what is not a rate.
func (r *rateFlag) UnmarshalText(text []byte) error {
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return fmt.Errorf("%q is no rate: give a number of samples a second greater than 0, such as 50", text)
	}
	*r = rateFlag(v)
	return nil
}

type traceCmd struct {
	fileArg `embed:""`
	Rate    rateFlag `placeholder:"HZ" help:"Rows a second; the workfile's review rate when left out."`
	Out     string   `placeholder:"F.csv" help:"File to write; standard output when left out."`
}

// Run samples the workfile and writes what came of it.
func (c *traceCmd) Run(e *env) error {
	if err := spared(c.Out, "--out", c.File); err != nil {
		return err
	}
	s, err := c.load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, float64(c.Rate))
	if err != nil {
		return err
	}
	p := e.progress()
	if c.Out == "" {
		p.w = nil // rows and progress would share the screen
	}
	p.stage("writing " + c.Out)
	defer p.done()
	write := func(w io.Writer) error { return writeTrace(w, r, p) }
	if c.Out != "" {
		return save(c.Out, write)
	}
	if err := buffered(e.stdout, write); err != nil {
		return fmt.Errorf("cannot write the trace: %w", err)
	}
	return nil
}

// writeTrace writes what was rehearsed as CSV (RFC 4180 quoting): a header,
// then a row a sample. Numbers are the shortest that read back the same; one
// that is not defined, such as the margin with no foot on the ground, is an
// empty cell. So are current, torques and forces where the robot cannot follow
// the drawn path, those of swinging legs too, as they hang on a body that goes
// elsewhere. Torques are what the servo exerts, positive along the positive
// angle, without gear losses; forces act on the foot, in world axes.
func writeTrace(w io.Writer, r *rehearsal.Rehearsal, p *progress) error {
	robot, t, d := &r.Built.Robot, r.Trajectory, r.Loads
	out := csv.NewWriter(w)
	row := []string{
		"t_s", "entry", "body_x_m", "body_y_m", "body_z_m", "body_roll_rad", "body_pitch_rad", "body_yaw_rad",
		"com_x_m", "com_y_m", "com_z_m", "static_margin_m",
	}
	for i := range robot.Legs {
		for _, column := range [...]string{"coxa_rad", "femur_rad", "tibia_rad", "foot_x_m", "foot_y_m", "foot_z_m", "planted", "reached"} {
			row = append(row, robot.Legs[i].Name+"_"+column)
		}
	}
	row = append(row, "zmp_x_m", "zmp_y_m", "dynamic_margin_m", "energy_margin_m", "supply_current_a")
	for i := range robot.Legs {
		for _, column := range [...]string{
			"coxa_vel_rad_s", "femur_vel_rad_s", "tibia_vel_rad_s", "coxa_torque_nm", "femur_torque_nm", "tibia_torque_nm",
			"force_x_n", "force_y_n", "force_z_n",
		} {
			row = append(row, robot.Legs[i].Name+"_"+column)
		}
	}
	if err := out.Write(row); err != nil {
		return err
	}
	var c cells
	for k := range t.N {
		c.reset()
		c.add(t.Time(k))
		entry := ""
		if i := t.PartAt(t.Time(k)); i >= 0 {
			entry = t.Parts[i].Name
		}
		c.text(entry)
		c.add(t.Body[k*6 : k*6+6]...)
		c.add(t.COM[k*3 : k*3+3]...)
		c.add(t.Margin[k])
		for i := range t.Legs {
			o := k*t.Legs + i
			c.add(t.Q[o*3 : o*3+3]...)
			c.add(t.Foot[o*3 : o*3+3]...)
			c.flag(t.Planted[o])
			c.flag(t.Reached(k, i))
		}
		c.add(d.ZMP[k*3 : k*3+2]...)
		c.add(d.Dynamic[k], d.Energy[k])
		c.add(d.Current[k])
		for i := range t.Legs {
			o := (k*t.Legs + i) * 3
			c.known(t.Reached(k, i), t.V[o:o+3]...)
			c.add(d.Torque[o : o+3]...)
			c.add(d.Force[o : o+3]...)
		}
		row = c.row(row[:0])
		if err := out.Write(row); err != nil {
			return err
		}
		if k%1024 == 0 {
			p.part(k, t.N)
		}
	}
	out.Flush()
	return out.Error()
}

// cells gathers the cells of a row in one buffer.
type cells struct {
	buf []byte
	end []int
}

func (c *cells) reset() { c.buf, c.end = c.buf[:0], c.end[:0] }

func (c *cells) add(values ...float64) {
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			c.buf = strconv.AppendFloat(c.buf, v, 'g', -1, 64)
		}
		c.end = append(c.end, len(c.buf))
	}
}

// known adds values, or as many empty cells where they are not known.
func (c *cells) known(ok bool, values ...float64) {
	if ok {
		c.add(values...)
		return
	}
	for range values {
		c.text("")
	}
}

func (c *cells) text(s string) {
	c.buf = append(c.buf, s...)
	c.end = append(c.end, len(c.buf))
}

func (c *cells) flag(set bool) {
	if set {
		c.text("1")
	} else {
		c.text("0")
	}
}

func (c *cells) row(to []string) []string {
	all, from := string(c.buf), 0
	for _, end := range c.end {
		to = append(to, all[from:end])
		from = end
	}
	return to
}
