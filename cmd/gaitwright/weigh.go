// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"gaitwright/motion/diskfile"
	"gaitwright/motion/weigh"
	"gaitwright/motion/workfile"
)

// scaleFlag is what the scale under a foot shows.
type scaleFlag struct {
	leg   string
	grams float64
}

// UnmarshalText reads LEG=GRAMS. What a scale may show is for weigh to judge.
func (s *scaleFlag) UnmarshalText(text []byte) error {
	i := strings.LastIndex(string(text), "=")
	if i < 1 {
		return fmt.Errorf("%q is no reading: give the leg and what its scale shows in grams, such as LF=412", text)
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(string(text[i+1:])), 64)
	if err != nil {
		return fmt.Errorf("%q is no reading: behind %q goes what the scale shows in grams, such as 412", text, text[:i+1])
	}
	s.leg, s.grams = string(text[:i]), v
	return nil
}

type weighCmd struct {
	File     string      `arg:"" name:"FILE" help:"Workfile to take the legs from and to write body_mass_g and body_centre_mm into."`
	Scale    []scaleFlag `required:"" sep:"none" placeholder:"LEG=GRAMS" help:"What the scale under a foot shows; once for each leg, 0 for a foot that is lifted just clear."`
	Tilted   []scaleFlag `sep:"none" placeholder:"LEG=GRAMS" help:"The same with the robot on a tilted board, the scales lying on the board: gives the height too. Once for each leg."`
	Pitch    float64     `name:"tilt-pitch" placeholder:"DEG" help:"Tilt of the board, nose down; nose up is --tilt-pitch=-10."`
	Roll     float64     `name:"tilt-roll" placeholder:"DEG" help:"Tilt of the board, right side down."`
	OnlyTell bool        `name:"only-tell" help:"Tell what follows from the readings and leave FILE as it is."`
}

// Help tells how to weigh.
func (c *weighCmd) Help() string {
	return `The robot stands in its stand pose on level ground: body level at stand_height_mm, every foot on its standing point, ` +
		`each on a scale of its own that was set to zero. Servos hold the pose only while they are powered: keep hands clear.` + "\n\n" +
		`For the height weigh once more in the same pose on a board tilted by 3 to 30 degrees about one axis.`
}

// Run works mass and centre of the body out and writes them.
func (c *weighCmd) Run(e *env) error {
	a := fileArg{File: c.File}
	s, err := a.load()
	if err != nil {
		return err
	}
	built, err := s.file.Build()
	if err != nil {
		return err
	}
	tilt, err := c.tilt()
	if err != nil {
		return err
	}
	r, err := weigh.Work(built, readings(c.Scale), tilt)
	if err != nil {
		return c.refused(err)
	}
	next := s.file.Clone()
	r.Apply(next)
	if err := next.Check(); err != nil {
		return fmt.Errorf("%s stays as it is, the readings do not give a body that it can hold:\n%w", c.File, err)
	}
	text, err := next.EncodeKeeping(s.text)
	if err != nil {
		return err
	}
	if !c.OnlyTell {
		if err := diskfile.Save(c.File, text); err != nil {
			return err
		}
	}
	c.tell(e.stdout, r, s.file, next)
	if c.OnlyTell {
		fmt.Fprintf(e.stdout, "%s stays as it is.\n", c.File)
		return nil
	}
	fmt.Fprintf(e.stdout, "%s is written.\n", c.File)
	return nil
}

// tilt gives the second weighing, nil for none.
func (c *weighCmd) tilt() (*weigh.Tilt, error) {
	for _, a := range [...]float64{c.Pitch, c.Roll} {
		if math.IsNaN(a) || math.IsInf(a, 0) {
			return nil, errors.New("the tilt of the board is no number: give it in degrees, from 3° to 30°")
		}
	}
	leaning := c.Pitch != 0 || c.Roll != 0
	switch {
	case len(c.Tilted) > 0 && !leaning:
		return nil, errors.New("--tilted needs the tilt of the board: give --tilt-pitch or --tilt-roll, in degrees")
	case len(c.Tilted) == 0 && leaning:
		return nil, errors.New("a tilt needs what the scales show on the tilted board: give --tilted LEG=GRAMS for each leg")
	case !leaning:
		return nil, nil
	}
	return &weigh.Tilt{Pitch: c.Pitch * math.Pi / 180, Roll: c.Roll * math.Pi / 180, Readings: readings(c.Tilted)}, nil
}

func readings(all []scaleFlag) []weigh.Reading {
	var out []weigh.Reading
	for _, s := range all {
		out = append(out, weigh.Reading{Leg: s.leg, Mass: s.grams / 1000})
	}
	return out
}

// refused names the option that a fault is about.
func (c *weighCmd) refused(err error) error {
	var f *weigh.Fault
	if !errors.As(err, &f) {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	place := "--scale"
	if f.Tilted {
		place = "--tilted"
	}
	if f.Leg != "" {
		place += " " + f.Leg
	}
	return fmt.Errorf("%s: %s: %s", c.File, place, f.Text)
}

// tell prints the sum and the body before and after.
func (c *weighCmd) tell(w io.Writer, r *weigh.Result, before, after *workfile.File) {
	fmt.Fprintf(w, "total    %s on %s\n", weigh.Grams(r.Total), strings.Join(r.Stance, " "))
	fmt.Fprintf(w, "links    %s\nservos   %s\n", weigh.Grams(r.Links), weigh.Grams(r.Servos))
	if r.Payload > 0 {
		fmt.Fprintf(w, "payload  %s\n", weigh.Grams(r.Payload))
	}
	for _, b := range []struct {
		word string
		f    *workfile.File
	}{{"before", before}, {"now", after}} {
		x := b.f.Robot.BodyCentre
		fmt.Fprintf(w, "body     %-6s body_mass_g = %s, body_centre_mm = [%s, %s, %s]\n", b.word,
			decimal(b.f.Robot.BodyMass), decimal(x[0]), decimal(x[1]), decimal(x[2]))
	}
	fmt.Fprintln(w, r.Sure())
	for _, n := range r.Notes(before) {
		fmt.Fprintln(w, n)
	}
}

// decimal gives a number as the workfile has it.
func decimal(v float64) string { return strconv.FormatFloat(v+0, 'f', -1, 64) }
