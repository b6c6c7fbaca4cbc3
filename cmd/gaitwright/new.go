// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"unicode"

	"gaitwright/assets"
	"gaitwright/motion/newrobot"
	"gaitwright/motion/workfile"
)

type newCmd struct {
	File  string     `arg:"" name:"FILE" help:"Workfile to write; it must not exist yet."`
	Legs  *int       `help:"Number of legs: the workfile is made of this and of the next three." placeholder:"N"`
	Body  lengthsArg `help:"Length and width of the body in mm, such as 200,100." placeholder:"MM,MM"`
	Links lengthsArg `help:"Lengths of coxa, femur and tibia in mm, such as 40,75,115." placeholder:"MM,MM,MM"`
	Servo *string    `help:"Class of servo, such as standard-20." placeholder:"CLASS"`
}

// lengthsArg is a list of lengths, mm.
type lengthsArg []float64

// UnmarshalText reads lengths with commas between them.
func (l *lengthsArg) UnmarshalText(text []byte) error {
	*l = nil
	for _, s := range strings.Split(string(text), ",") {
		var v float64
		if _, err := fmt.Sscanf(strings.TrimSpace(s)+"\n", "%g\n", &v); err != nil {
			return fmt.Errorf("%q is no length in mm", s)
		}
		*l = append(*l, v)
	}
	return nil
}

// Run writes the starting workfile, or that of a robot of four answers, never
// over another file.
func (c *newCmd) Run(e *env) error {
	check := "gaitwright check " + shellWord(c.File)
	text, next := assets.New, "Put your robot's numbers in, then: "+check
	if c.Legs != nil || c.Body != nil || c.Links != nil || c.Servo != nil {
		r, err := c.make()
		if err != nil {
			return err
		}
		if text, err = r.File.Encode(); err != nil {
			return err
		}
		switch {
		case r.Why != "":
			next = "It stands, but no gait can be walked: " + r.Why + "."
		case !r.Walks:
			next = "A first walk does not pass the review: " + check + " tells why."
		}
	}
	f, err := os.OpenFile(c.File, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already and stays as it is: choose another name", c.File)
	}
	if err != nil {
		return fmt.Errorf("cannot write the workfile: %w", err)
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(c.File) // half a workfile helps nobody
		return fmt.Errorf("cannot write the workfile: %w", err)
	}
	fmt.Fprintf(e.stdout, "%s is written. %s\n", c.File, next)
	return nil
}

// make makes a robot of the options; what is left out is a robot of the size
// that is often built.
func (c *newCmd) make() (*newrobot.Robot, error) {
	legs := 6
	if c.Legs != nil {
		legs = *c.Legs
	}
	a := newrobot.Usual(legs)
	if c.Body != nil {
		if len(c.Body) != 2 {
			return nil, fmt.Errorf("--body needs two lengths, such as 200,100; it has %d", len(c.Body))
		}
		a.Length, a.Width = c.Body[0], c.Body[1]
	}
	if c.Links != nil {
		if len(c.Links) != 3 {
			return nil, fmt.Errorf("--links needs three lengths, such as 40,75,115; it has %d", len(c.Links))
		}
		a.Coxa, a.Femur, a.Tibia = c.Links[0], c.Links[1], c.Links[2]
	}
	servo := "standard-20"
	if c.Servo != nil {
		servo = *c.Servo
	}
	var names []string
	for _, s := range workfile.Classes() {
		names = append(names, s.Name)
		if s.Name == servo {
			a.ServoName, a.Servo = s.Name, s.Servo
			return newrobot.Make(a)
		}
	}
	return nil, fmt.Errorf("there is no class of servo called %q; there are %s", servo, strings.Join(names, ", "))
}

// shellWord writes a path as it can be typed after a command.
func shellWord(path string) string {
	if strings.HasPrefix(path, "-") {
		path = "./" + path // not an option
	}
	if strings.ContainsFunc(path, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune(`_-+.,:@~/\`, r)
	}) {
		return strconv.Quote(path)
	}
	return path
}
