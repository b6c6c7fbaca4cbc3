// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"io/fs"
	"strconv"
	"strings"
)

type windowCmd struct {
	fileArg `embed:""`
}

// Run opens the window.
func (c *windowCmd) Run(e *env) error {
	s, err := c.load()
	if errors.Is(err, fs.ErrNotExist) { // most likely a command with a slip in it
		return fmt.Errorf("%w (the commands are check, trace, describe, export, size, sheet, link, compare, picture, sweep, gaits, weigh and new)", err)
	}
	if err != nil {
		return err
	}
	return e.window(c.File, s.text, e)
}

// sizeFlag is the size of a picture, px.
type sizeFlag struct{ image.Point }

// maxSide is the longest side of a picture, px.
const maxSide = 8192

// UnmarshalText reads WIDTHxHEIGHT.
func (s *sizeFlag) UnmarshalText(text []byte) error {
	w, h, ok := strings.Cut(string(text), "x")
	x, errX := strconv.Atoi(w)
	y, errY := strconv.Atoi(h)
	if !ok || errX != nil || errY != nil || x < 1 || y < 1 || x > maxSide || y > maxSide {
		return fmt.Errorf("%q is no size: give width and height in pixels, 1 to %d, such as 1280x800", text, maxSide)
	}
	s.Point = image.Pt(x, y)
	return nil
}

type pictureCmd struct {
	fileArg `embed:""`
	At      float64  `default:"0" placeholder:"SECONDS" help:"Instant to show; the start when left out."`
	Size    sizeFlag `default:"1280x800" placeholder:"WxH" help:"Size of the picture, px (${default})."`
	Out     string   `required:"" placeholder:"F.png" help:"File to write."`
}

// Run draws the window into a file.
func (c *pictureCmd) Run(e *env) error {
	if err := spared(c.Out, "--out", c.File); err != nil {
		return err
	}
	s, err := c.load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, 0)
	if err != nil {
		return err
	}
	if d := r.Plan.Duration; !(c.At >= 0 && c.At <= d) {
		return fmt.Errorf("--at %g lies outside the sequence: give a time from 0 to %.3f s", c.At, d)
	}
	p := e.progress()
	p.stage("drawing")
	img, err := e.picture(c.File, s.text, c.At, c.Size.Point)
	p.done()
	if err != nil {
		return err
	}
	return save(c.Out, func(w io.Writer) error { return png.Encode(w, img) })
}
