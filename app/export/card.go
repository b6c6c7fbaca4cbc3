// SPDX-License-Identifier: MIT

// Package export is the card by which a motion goes to the firmware: what is
// written and how, what it takes of the microcontroller, what could hurt
// somebody, and the command line that does the same. What is chosen is worked
// out beside the frames, so that what is shown is what is written.
package export

import (
	"io"
	"os"
	"path/filepath"
	"strings"

	"gioui.org/io/clipboard"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

// Answer is how a frame of the card ended.
type Answer uint8

// The answers.
const (
	Open    Answer = iota // it stays
	Left                  // without writing
	Written               // Wrote tells what
	ToStop                // the person wants to see what stops the motion
)

// Card is the state of the card. What was chosen stays when it is opened
// again; the folder goes with the file. The zero value is ready.
type Card struct {
	walks  bool // the sequence walks
	begun  bool
	doc    *document.Document
	path   string // of the document when it was opened last
	given  Given
	file   string // for the command line, "" for the demo
	saved  bool   // the file on the disk is what shows
	stops  []review.Finding
	blows  []string // moves that strike
	goable bool     // the stops are in the window's list
	wake   func()

	what, format, pace, kind, between control.Choice
	rate, us, mm                      control.Number
	pwmRate, pwmClock                 control.Number
	stepMost, stepRange, stepCentre   control.Number
	player, packed, despite           control.Toggle
	part                              control.Menu
	parts                             [2]string // chosen for the player and AVRs, and for plain C
	folder                            control.Text
	more, copied, show, ok, no        control.Button
	open                              bool // more choices show
	wasCopied                         string

	work    *work
	of      Choices  // that outcome is of
	outcome *Outcome // the last one, nil before the first
	there   int      // files of it that are in the folder already
	looked  string   // the folder that was looked into
	pushed  bool     // the button, in the last frame
	wanted  bool     // to be written as soon as it is worked out
	paths   []string
	err     error // of writing
}

// Open prepares the card for a document that is called name and gives what
// takes the keys first. demo tells that it is the built-in one, wake asks for
// a frame from another goroutine; it may be nil.
func (c *Card) Open(d *document.Document, name string, demo bool, wake func()) any {
	c.Close()
	if !c.begun {
		c.begun = true
		c.take(Usual())
	}
	f, r := d.File(), d.Result()
	if c.doc != d || c.path != d.Path {
		c.folder.Value = folderFor(d.Path)
		c.what.Value = int(Moves)
		if !plays(f, sequence.Move) && plays(f, sequence.Walk) {
			c.what.Value = int(MovesAndWalks)
		}
	}
	c.walks = plays(f, sequence.Walk) || plays(f, sequence.Change)
	c.doc, c.path, c.wake = d, d.Path, wake
	c.despite.Value, c.err, c.pushed, c.wanted, c.wasCopied = false, nil, false, false, ""
	c.outcome, c.paths = nil, nil
	c.given = Given{Rehearsal: r, Name: name, Text: d.Base()}
	c.file, c.saved = d.Path, !d.Dirty() && (demo || d.Path != "")
	if p, err := filepath.Abs(d.Path); err == nil && d.Path != "" {
		c.file = p // so that the command works from every folder
	}
	if d.Dirty() {
		c.given.Text, c.err = d.Text()
	}
	c.stops = nil
	for _, f := range r.Grounded() { // a stand changes nothing about what may run
		if f.Level == review.Stop {
			c.stops = append(c.stops, f)
		}
	}
	c.goable = review.Stops(r.Findings) > 0
	c.blows = strikes(f)
	return &c.what
}

// take shows choices.
func (c *Card) take(u Choices) {
	c.what.Value, c.format.Value, c.pace.Value = int(u.What), int(u.Format), 0
	c.rate = control.Number{Value: u.Rate, Min: 1, Max: 1000, Step: 10, Decimals: 1, Unit: "Hz"}
	c.us = control.Number{Value: u.WithinUs, Min: 0, Max: 1000, Step: 0.5, Decimals: 1, Unit: "µs"}
	c.mm = control.Number{Value: u.WithinMM, Min: 0, Max: 100, Step: 0.1, Decimals: 2, Unit: "mm"}
	c.kind.Value, c.between.Value = int(u.Kind), int(u.Between)
	c.pwmRate = control.Number{Value: u.PWM.Rate, Min: 1, Max: 2000, Step: 10, Decimals: 1, Unit: "Hz"}
	c.pwmClock = control.Number{Value: u.PWM.Oscillator / 1e6, Min: 0.1, Max: 100, Step: 0.1, Decimals: 3, Unit: "MHz"}
	c.stepMost = control.Number{Value: float64(u.Steps.Most), Min: 1, Max: 8191, Step: 1}
	c.stepRange = control.Number{Value: u.Steps.Range, Min: 1, Max: 36000, Step: 10, Decimals: 1, Unit: "°"}
	c.stepCentre = control.Number{Value: float64(u.Steps.Centre), Min: 0, Max: 8191, Step: 1}
	c.player.Value = u.WithPlayer
	c.parts = [2]string{u.Part, "rp2040"}
}

func folderFor(path string) string {
	folder := "tables"
	if path != "" {
		folder = filepath.Join(filepath.Dir(path), "tables")
	}
	if p, err := filepath.Abs(folder); err == nil {
		return p // said in full, so that it is found again
	}
	return folder
}

func plays(f *workfile.File, kind sequence.Kind) bool {
	for i := range f.Sequence {
		if f.Sequence[i].Kind == kind.String() {
			return true
		}
	}
	return false
}

// Close lets go of what is being worked out.
func (c *Card) Close() {
	if c.work != nil {
		c.work.cancel()
		c.work = nil
	}
	c.given, c.outcome, c.stops = Given{}, nil, nil
}

// Wrote gives the paths of the last export and the number of its tables.
func (c *Card) Wrote() (paths []string, tables int, folder string) {
	if c.outcome == nil {
		return nil, 0, c.folder.Value
	}
	return c.paths, len(c.outcome.Rows), c.folder.Value
}

// Ready tells whether what is chosen has been worked out, or cannot be.
func (c *Card) Ready() bool {
	return c.fault() != nil || c.outcome != nil && c.of == c.choices()
}

// Err is why the last writing failed, nil when it did not.
func (c *Card) Err() error { return c.err }

// partKind is which of the two parts the format takes.
func (c *Card) partKind() int {
	if Format(c.format.Value) == C {
		return 1
	}
	return 0
}

// choices gives what the card says now.
func (c *Card) choices() Choices {
	v := Choices{
		What: What(c.what.Value), Format: Format(c.format.Value),
		Rate: c.rate.Value, Lowest: c.pace.Value == 1, WithinUs: c.us.Value, WithinMM: c.mm.Value,
		Between: table.Interpolation(c.between.Value), Packed: c.packed.Value,
		Kind:  table.Kind(c.kind.Value),
		PWM:   table.PWM{Rate: c.pwmRate.Value, Oscillator: c.pwmClock.Value * 1e6},
		Steps: table.Steps{Most: int(c.stepMost.Value), Range: c.stepRange.Value, Centre: int(c.stepCentre.Value)},
		Part:  c.parts[c.partKind()], WithPlayer: c.player.Value,
	}
	if v.Format == AVR && !v.holds(v.Part) {
		v.Part = Usual().Part // the menu says so
	}
	return v.InForce()
}

// update takes what was chosen, and has it worked out.
func (c *Card) update(gtx layout.Context) {
	changed := false
	for _, x := range [...]*control.Choice{&c.what, &c.format, &c.pace, &c.kind, &c.between} {
		changed = x.Update(gtx) || changed
	}
	for _, n := range c.numbers() {
		changed = n.Update(gtx) || changed
	}
	for _, t := range [...]*control.Toggle{&c.player, &c.packed} {
		changed = t.Update(gtx) || changed
	}
	c.despite.Update(gtx)
	if i, ok := c.part.Update(gtx); ok {
		c.parts[c.partKind()] = c.partNames()[i]
		changed = true
	}
	changed = c.folder.Update(gtx) || changed
	if c.more.Update(gtx) {
		c.open = !c.open
	}
	if changed {
		c.err, c.wanted = nil, false
	}
	if c.copied.Update(gtx) {
		if s, ok := c.command(); ok {
			c.wasCopied = s
			gtx.Execute(clipboard.WriteCmd{Type: "application/text", Data: io.NopCloser(strings.NewReader(s))})
		}
	}
	if k := c.work; k != nil {
		select {
		case o := <-k.out:
			k.cancel()
			c.work, c.of, c.outcome, c.looked = nil, k.of, o, ""
		default:
		}
	}
	if now := c.choices(); c.fault() == nil {
		if c.work != nil && c.work.of != now {
			c.work.cancel()
			c.work = nil
		}
		if c.work == nil && !(c.outcome != nil && c.of == now) {
			c.work = begin(c.given, now, c.wake)
		}
	}
	if c.outcome != nil && c.looked != c.folder.Value {
		c.looked, c.there = c.folder.Value, 0
		for _, f := range c.outcome.Files {
			if _, err := os.Lstat(filepath.Join(c.looked, filepath.FromSlash(f.Name))); err == nil {
				c.there++
			}
		}
	}
}

// numbers lists the fields in force.
func (c *Card) numbers() []*control.Number {
	all := []*control.Number{&c.rate}
	if !Format(c.format.Value).Played() {
		return all
	}
	if c.pace.Value == 1 {
		all = []*control.Number{&c.us, &c.mm}
	}
	switch table.Kind(c.kind.Value) {
	case table.PWMCount:
		all = append(all, &c.pwmRate, &c.pwmClock)
	case table.ServoStep:
		all = append(all, &c.stepMost, &c.stepRange, &c.stepCentre)
	}
	return all
}

// fault says which typed text is not in force, nil for none.
func (c *Card) fault() error {
	for _, n := range c.numbers() {
		if err := n.Err(); err != nil {
			return err
		}
	}
	return nil
}

// allowed tells that nothing forbids writing, or that the person said to.
func (c *Card) allowed() bool { return len(c.stops) == 0 || c.despite.Value }

// Layout draws an open card.
func (c *Card) Layout(gtx layout.Context, th *look.Theme, card *control.Modal) Answer {
	c.update(gtx)
	if c.no.Update(gtx) {
		return Left
	}
	if c.show.Update(gtx) {
		return ToStop
	}
	can := c.allowed() && c.fault() == nil && !(c.Ready() && c.outcome.Err != nil)
	if c.pushed {
		c.pushed, c.wanted = false, true
	}
	if c.ok.Update(gtx) && can {
		c.pushed = true // a field that has the keys is left first, so that what was typed counts
		gtx.Execute(key.FocusCmd{Tag: c.ok.Tag()})
		gtx.Execute(op.InvalidateCmd{})
	}
	if c.wanted && c.Ready() {
		c.wanted = false
		if can && c.write() {
			return Written
		}
	}
	m := control.Card(th, card, "Table for the firmware")
	m.Width = cardWidth
	m.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return c.body(gtx, th) },
		control.Push(th, &c.no, "Cancel").Layout,
		control.Push(th, &c.ok, "Write the table").As(control.Primary).When(can).Layout,
	)
	return Open
}

// write writes what was worked out, all of it or nothing.
func (c *Card) write() bool {
	if c.folder.Value = strings.TrimSpace(c.folder.Value); c.folder.Value == "" {
		c.err = errFolder
		return false
	}
	c.paths, c.err = table.Write(c.folder.Value, c.outcome.Files)
	c.looked = ""
	return c.err == nil
}
