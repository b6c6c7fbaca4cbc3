// SPDX-License-Identifier: MIT

// Command gaitwright shapes, checks and exports the motions of walking
// robots.
//
//	gaitwright [FILE]            open the window
//	gaitwright check [FILE]      say whether the motion may run on the robot
//	gaitwright trace [FILE]      write the sampled motion as CSV
//	gaitwright describe [FILE]   write the robot and its sequence as JSON
//	gaitwright export [FILE]     write the moves as tables for the firmware
//	gaitwright size [FILE]       say what tables take of a microcontroller
//	gaitwright picture [FILE]    draw the window into a PNG
//	gaitwright sweep [FILE]      try every change of gait, and every move, at many instants of a walk
//	gaitwright gaits [FILE]      write the known gaits for the robot's legs
//	gaitwright weigh FILE        work the body's mass and centre out from scales under the feet
//	gaitwright sheet [FILE]      write the check sheet of the servos
//	gaitwright link [FILE]       let a robot on a serial port follow the motion
//	gaitwright compare FILE LOG  hold what the robot reported against the motion
//	gaitwright new FILE          write a commented starting workfile
//
// Without FILE every other command works on the built-in demo. The exit status is 0
// when all went well, 1 when the review has a finding of level stop (check,
// export, sweep), 2 when the command line or a file cannot be used, and 130 when
// a sweep was interrupted.
package main

import (
	"context"
	"image"
	"io"
	"os"
	"os/signal"
	"time"

	"gaitwright/link/port"
)

// env is what the program has from outside.
type env struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	terminal       bool // somebody watches stderr
	now            func() time.Time

	// interrupted gives a context that ends when the person wants to end what
	// goes on; nil: that cannot be.
	interrupted func(context.Context) (context.Context, context.CancelFunc)

	// port opens a serial port, ports lists those that there are.
	port  func(name string, baud int) (io.ReadWriteCloser, error)
	ports func() ([]string, error)

	// window opens the window on a workfile and returns when it is closed.
	// The file name is "" for the demo.
	window func(file string, src []byte, e *env) error
	// picture draws the window as it would look at a time (s).
	picture func(file string, src []byte, at float64, size image.Point) (image.Image, error)
}

func main() {
	os.Exit(run(os.Args[1:], &env{
		stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr, terminal: isTerminal(os.Stderr), now: time.Now,
		interrupted: func(ctx context.Context) (context.Context, context.CancelFunc) {
			return signal.NotifyContext(ctx, os.Interrupt)
		},
		port: port.Open, ports: port.List,
		window: openWindow, picture: drawPicture,
	}))
}

// isTerminal tells whether f is a character device other than the null
// device.
func isTerminal(f *os.File) bool {
	s, err := f.Stat()
	if err != nil || s.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(s, null)
}
