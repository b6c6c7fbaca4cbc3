// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"gaitwright/link/port"
)

// commands is the grammar of the command line.
type commands struct {
	Window   windowCmd   `cmd:"" default:"withargs" hidden:"" help:"Open the window."`
	Check    checkCmd    `cmd:"" help:"Say whether the motion may run on the robot, and what stops it."`
	Trace    traceCmd    `cmd:"" help:"Write the sampled motion as CSV."`
	Describe describeCmd `cmd:"" help:"Write the robot and its sequence as JSON, in SI units."`
	Export   exportCmd   `cmd:"" help:"Write the moves of the sequence as tables for the firmware."`
	Size     sizeCmd     `cmd:"" help:"Say what tables for the player take of common microcontrollers."`
	Picture  pictureCmd  `cmd:"" help:"Draw the window at an instant into a PNG file."`
	Sweep    sweepCmd    `cmd:"" help:"Try every change of gait, and every move, at many instants of a walk, and review each."`
	Gaits    gaitsCmd    `cmd:"" help:"Write the known gaits for the robot's legs, ready for its workfile."`
	Weigh    weighCmd    `cmd:"" help:"Work out the body's mass and centre from scales under the feet, and write them into FILE."`
	Sheet    sheetCmd    `cmd:"" help:"Write a check sheet: the pulse of each servo at some angles."`
	Link     linkCmd     `cmd:"" help:"Let a robot on a serial port follow the motion, armed in two steps."`
	Compare  compareCmd  `cmd:"" help:"Hold what the robot reported against the motion as drawn."`
	New      newCmd      `cmd:"" help:"Write a commented starting workfile."`
}

const about = `Shapes, checks and exports the motions of walking robots.

Without a command it opens the window on FILE. Without FILE every command that may go without one works on the built-in demo. ` +
	`Exit status: 0 all went well, 1 a finding forbids running the motion on the robot, 2 the command line or a file cannot be used, 130 interrupted.`

// The exit statuses.
const (
	exitFine        = 0
	exitStop        = 1
	exitUnable      = 2
	exitInterrupted = 130 // 128 and the number of SIGINT, as shells have it
)

// errStop is returned by a command that has said what stops the motion.
var errStop = errors.New("a finding forbids running this on the robot")

// run does what args ask for and returns the exit status.
func run(args []string, e *env) int {
	var grammar commands
	helped := false
	parser, err := kong.New(&grammar,
		kong.Name("gaitwright"), kong.Description(about),
		kong.Vars{"baud": strconv.Itoa(port.Baud)}, kong.Writers(e.stdout, e.stderr), kong.Exit(func(int) { helped = true }),
		kong.ConfigureHelp(kong.HelpOptions{WrapUpperBound: 100}),
	)
	if err != nil {
		panic("gaitwright: " + err.Error()) // the grammar above is wrong
	}
	ctx, err := parser.Parse(args)
	if helped {
		return exitFine
	}
	if err != nil {
		e.complain(fmt.Errorf("%w (\"gaitwright --help\" lists the commands and their options)", err))
		return exitUnable
	}
	err = ctx.Run(e)
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, errStop):
		return exitStop
	case errors.Is(err, errInterrupted):
		return exitInterrupted
	}
	e.complain(err)
	return exitUnable
}

// complain writes an error to stderr; one of several lines goes below a
// heading, since each line names its place.
func (e *env) complain(err error) {
	text := err.Error()
	if strings.Contains(text, "\n") {
		fmt.Fprintf(e.stderr, "gaitwright:\n%s\n", text)
		return
	}
	fmt.Fprintf(e.stderr, "gaitwright: %s\n", text)
}
