// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"fmt"
	"io/fs"

	"gaitwright/assets"
	"gaitwright/motion/diskfile"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// fileArg is the workfile that a command works on.
type fileArg struct {
	File string `arg:"" optional:"" name:"FILE" help:"Workfile; the built-in demo when left out."`
}

// source is a workfile read and understood.
type source struct {
	name string // as given, "demo" for the demo
	text []byte
	file *workfile.File
}

// load reads the workfile.
func (a *fileArg) load() (*source, error) {
	s := &source{name: a.File}
	if a.File == "" {
		s.name, s.text = assets.DemoName, assets.Demo
	} else {
		text, err := readFile(a.File)
		if err != nil {
			return nil, err
		}
		s.text = text
	}
	var err error
	if s.file, err = workfile.Read(s.name, s.text); err != nil {
		return nil, err
	}
	return s, nil
}

// readFile reads at most a little more than a workfile may hold.
func readFile(path string) ([]byte, error) {
	text, err := diskfile.Load(path, workfile.MaxSize)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%w: give the path of a workfile, or make one with \"gaitwright new FILE\"", err)
	case err != nil:
		return nil, fmt.Errorf("cannot read the workfile: %w", err)
	}
	return text, nil
}

// rehearse plays and judges the workfile. Rate 0 is the workfile's own.
func (s *source) rehearse(e *env, rate float64) (*rehearsal.Rehearsal, error) {
	p := e.progress()
	p.stage("playing and reviewing " + s.name)
	defer p.done()
	r, err := rehearsal.Run(s.file, rehearsal.Options{Rate: rate})
	if err != nil {
		var problems workfile.Problems
		if errors.As(err, &problems) {
			return nil, err // names the file itself
		}
		return nil, fmt.Errorf("%s: %w", s.name, err)
	}
	return r, nil
}
