// SPDX-License-Identifier: MIT

package main

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/kin/servo"
	"gaitwright/motion/rehearsal"
)

type describeCmd struct {
	fileArg `embed:""`
}

// The shape of the JSON of describe. The masses of servos are in the parts
// that they are screwed to, so that the parts sum up to the whole.
type (
	describeJSON struct {
		Robot    robotJSON   `json:"robot"`
		Sequence []entryJSON `json:"sequence"`
		Duration float64     `json:"duration_s"`
	}
	robotJSON struct {
		Name     string     `json:"name"`
		Mass     float64    `json:"mass_kg"`
		Gravity  float64    `json:"gravity_m_s2"`
		Friction float64    `json:"friction"`
		Supply   supplyJSON `json:"supply"`
		Body     bodyJSON   `json:"body"`
		Legs     []legJSON  `json:"legs"`
	}
	supplyJSON struct {
		Voltage *float64 `json:"voltage_v"`       // null: servos of different voltages, each fed with its own
		Limit   *float64 `json:"current_limit_a"` // null: not known
	}
	bodyJSON struct {
		Mass    float64       `json:"mass_kg"`
		COM     [3]float64    `json:"com_m"`
		Inertia [3][3]float64 `json:"inertia_kg_m2"`
	}
	legJSON struct {
		Name       string     `json:"name"`
		Mirror     string     `json:"mirror"`
		Mount      [3]float64 `json:"mount_m"`
		Heading    float64    `json:"heading_rad"`
		Coxa       float64    `json:"coxa_m"`
		Femur      float64    `json:"femur_m"`
		Tibia      float64    `json:"tibia_m"`
		Lateral    float64    `json:"lateral_m"`
		Vertical   float64    `json:"vertical_m"`
		FootRadius float64    `json:"foot_radius_m"`
		Limits     limitsJSON `json:"limits_rad"`
		Links      []linkJSON `json:"links"`
		Servos     servosJSON `json:"servos"`
	}
	servosJSON struct {
		Coxa  servoJSON `json:"coxa"`
		Femur servoJSON `json:"femur"`
		Tibia servoJSON `json:"tibia"`
	}
	servoJSON struct { // at the supply's voltage, before derating
		Stall  float64 `json:"stall_torque_nm"`
		NoLoad float64 `json:"no_load_speed_rad_s"`
	}
	limitsJSON struct {
		Coxa  [2]float64 `json:"coxa"`
		Femur [2]float64 `json:"femur"`
		Tibia [2]float64 `json:"tibia"`
	}
	linkJSON struct {
		Name    string        `json:"name"`
		Mass    float64       `json:"mass_kg"`
		COM     [3]float64    `json:"com_m"`
		Inertia [3][3]float64 `json:"inertia_kg_m2"` // about COM, in the link's own axes
	}
	entryJSON struct {
		Entry string  `json:"entry"`
		Kind  string  `json:"kind"`
		From  float64 `json:"from_s"`
		To    float64 `json:"to_s"`
	}
)

// Run writes the description.
func (c *describeCmd) Run(e *env) error {
	s, err := c.load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, 0)
	if err != nil {
		return err
	}
	if err := writeJSON(e.stdout, describe(r)); err != nil {
		return fmt.Errorf("cannot write the description: %w", err)
	}
	return nil
}

func describe(r *rehearsal.Rehearsal) *describeJSON {
	robot := &r.Built.Robot
	m := mass.Lump(robot)
	d := &describeJSON{
		Robot: robotJSON{
			Name: robot.Name, Mass: m.Total, Gravity: robot.Gravity, Friction: robot.Friction,
			Supply: supplyJSON{Voltage: known(robot.Supply.Voltage), Limit: known(robot.Supply.Limit)},
			Body:   bodyJSON{Mass: m.Body.Mass, COM: triple(m.Body.COM), Inertia: square(m.Body.Inertia)},
		},
		Sequence: []entryJSON{}, Duration: r.Plan.Duration,
	}
	for i := range robot.Legs {
		l := &robot.Legs[i]
		leg := legJSON{
			Name: l.Name, Mirror: legName(robot, l.Mirror), Mount: triple(l.PBH), Heading: l.Heading,
			Coxa: l.Length[kin.Coxa], Femur: l.Length[kin.Femur], Tibia: l.Length[kin.Tibia],
			Lateral: l.Lateral, Vertical: l.Vertical, FootRadius: l.FootRadius,
			Limits: limitsJSON{pair(l.Limits[kin.Coxa]), pair(l.Limits[kin.Femur]), pair(l.Limits[kin.Tibia])},
		}
		for j, k := range m.Legs[i] {
			leg.Links = append(leg.Links, linkJSON{Name: kin.JointName(j), Mass: k.Mass, COM: triple(k.COM), Inertia: square(k.Inertia)})
		}
		for j, to := range [...]*servoJSON{&leg.Servos.Coxa, &leg.Servos.Femur, &leg.Servos.Tibia} {
			line := servo.At(&l.Servos[j], robot.Supply.Voltage)
			*to = servoJSON{Stall: line.Stall, NoLoad: line.NoLoad}
		}
		d.Robot.Legs = append(d.Robot.Legs, leg)
	}
	for _, p := range r.Plan.Parts {
		d.Sequence = append(d.Sequence, entryJSON{Entry: p.Name, Kind: p.Kind, From: p.From, To: p.To})
	}
	return d
}

func triple(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

// square gives an inertia matrix by rows.
func square(i kin.Inertia) [3][3]float64 {
	r := i.Rows()
	return [3][3]float64{[3]float64(r[:3]), [3]float64(r[3:6]), [3]float64(r[6:])}
}

// known gives a number that is null where it is 0, not known.
func known(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

func pair(r kin.Range) [2]float64 { return [2]float64{r.Lo, r.Hi} }
