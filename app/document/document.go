// SPDX-License-Identifier: MIT

// Package document is what the window edits: a workfile with undo and redo,
// and its rehearsal, made again after every change. Views read it and change
// it only through Change and Drag, so that each change is one undo step and
// nothing is judged twice.
package document

import (
	"bytes"
	"errors"
	"runtime"

	"gaitwright/motion/diskfile"
	"gaitwright/motion/load"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// dragRate is the sampling rate while something is dragged, Hz: coarse enough
// to answer within a frame. Letting go samples at the workfile's own rate.
const dragRate = 100

// Document is an open workfile. Make one with New or Open.
type Document struct {
	Path string // where it is saved, "" for never saved

	file   *workfile.File
	text   []byte // as last read or saved, for the comments in it
	saved  *workfile.File
	undo   []step
	redo   []step
	drag   *drag
	result *rehearsal.Rehearsal
	recall [2]load.Recall          // of rehearsals in full, and of coarse ones
	last   [2]*rehearsal.Rehearsal // from which the next takes over what is as it was, likewise
	coarse bool
	stand  bool
	serial int
	err    error

	shown *rehearsal.Rehearsal // in place of result, nil for none
	as    *workfile.File       // that it is of, nil for file
}

// step is a change: what it was called and what it changed.
type step struct {
	label string
	delta delta
}

// drag is a drag that is under way: what it is called and the file before it.
type drag struct {
	label string
	file  *workfile.File
}

// Open reads a workfile from its text and rehearses it. path may be "" for
// text that is no file on disk.
func Open(path, name string, text []byte) (*Document, error) {
	f, err := workfile.Read(name, text)
	if err != nil {
		return nil, err
	}
	d := &Document{Path: path, file: f, text: bytes.Clone(text), saved: f}
	if err := d.rehearse(f, 0); err != nil {
		return nil, err
	}
	return d, nil
}

// File is the workfile as it stands, or the one that ShowAs put in its place.
// Read only.
func (d *Document) File() *workfile.File {
	if d.as != nil {
		return d.as
	}
	return d.file
}

// Result is the rehearsal of File, or of the last file that could be
// rehearsed; or else what Show put in its place.
func (d *Document) Result() *rehearsal.Rehearsal {
	if d.shown != nil {
		return d.shown
	}
	return d.result
}

// Show lets all views show another rehearsal of the same robot in place of the
// file's, nil for the file's again. While it lasts the file cannot be changed.
func (d *Document) Show(r *rehearsal.Rehearsal) {
	if errors.Is(d.err, ErrShowing) {
		d.err = nil
	}
	d.shown, d.as = r, nil
	d.serial++
}

// Showing tells whether something else than the file's rehearsal shows.
func (d *Document) Showing() bool { return d.shown != nil }

// ErrShowing is why a change is refused while something else shows.
var ErrShowing = errors.New("document: another motion shows in place of the file: go back to the file, then change it")

// Coarse tells whether Result is sampled coarsely, as while dragging.
func (d *Document) Coarse() bool { return d.coarse }

// Serial counts rehearsals: views that keep something derived compare it.
func (d *Document) Serial() int { return d.serial }

// Err is why the last change was refused, nil after one that was taken.
func (d *Document) Err() error { return d.err }

// Dirty tells whether there is something to save.
func (d *Document) Dirty() bool { return d.file != d.saved && !d.file.Equal(d.saved) }

// OnStand tells whether the robot hangs on a stand.
func (d *Document) OnStand() bool { return d.stand }

// SetOnStand hangs the robot on a stand, or puts it back on the ground.
func (d *Document) SetOnStand(on bool) {
	if d.refuses() {
		return
	}
	if d.stand != on {
		d.stand = on
		d.err = d.rehearse(d.file, 0)
	}
}

// Change edits a copy of the file and takes it as one undo step. What cannot
// be played is refused: the file stays as it was and the reason is given.
func (d *Document) Change(label string, edit func(*workfile.File)) error {
	if d.refuses() {
		return d.err
	}
	d.Drop()
	next := d.file.Clone()
	edit(next)
	if next.Equal(d.file) {
		return nil
	}
	if d.err = d.rehearse(next, 0); d.err != nil {
		return d.err
	}
	d.push(label, d.file, next)
	d.file = next
	return nil
}

// Drag edits a copy of the file as it was when the drag began and shows it,
// sampled coarsely. Many calls make one undo step, closed by Drop.
func (d *Document) Drag(label string, edit func(*workfile.File)) error {
	if d.refuses() {
		return d.err
	}
	if d.drag == nil {
		d.drag = &drag{label, d.file}
	}
	next := d.drag.file.Clone()
	edit(next)
	if d.err = d.rehearse(next, dragRate); d.err != nil {
		return d.err
	}
	d.file = next
	return nil
}

// Refine samples a drag that is under way in full, for when the pointer rests.
func (d *Document) Refine() {
	if d.drag != nil && d.coarse {
		d.err = d.rehearse(d.file, 0)
	}
}

// Dragging tells whether a drag is under way.
func (d *Document) Dragging() bool { return d.drag != nil }

// Drop ends a drag, samples in full and makes it one undo step. Without a drag
// it does nothing.
func (d *Document) Drop() {
	if d.drag == nil {
		return
	}
	s := *d.drag
	d.drag = nil
	if d.file != s.file && !d.file.Equal(s.file) {
		d.push(s.label, s.file, d.file)
	}
	if d.coarse || d.err != nil {
		d.err = d.rehearse(d.file, 0)
	}
}

// Cancel ends a drag and puts back what was there before it.
func (d *Document) Cancel() {
	if d.drag == nil {
		return
	}
	d.file = d.drag.file
	d.drag = nil
	d.err = d.rehearse(d.file, 0)
}

// refuses tells, and notes, that the file cannot be changed now.
func (d *Document) refuses() bool {
	if d.shown != nil {
		d.err = ErrShowing
	}
	return d.shown != nil
}

// push notes that a change turned one file into another.
func (d *Document) push(label string, from, to *workfile.File) {
	d.undo = append(d.undo, step{label, between(from, to)})
	d.redo = nil
}

// CanUndo gives the name of the change that Undo would take back.
func (d *Document) CanUndo() (label string, ok bool) { return top(d.undo) }

// CanRedo gives the name of the change that Redo would make again.
func (d *Document) CanRedo() (label string, ok bool) { return top(d.redo) }

func top(s []step) (string, bool) {
	if len(s) == 0 {
		return "", false
	}
	return s[len(s)-1].label, true
}

// Undo takes back the last change; a drag under way is taken back first.
func (d *Document) Undo() {
	if d.refuses() {
		return
	}
	if d.drag != nil {
		d.Cancel()
		return
	}
	d.travel(&d.undo, &d.redo, true)
}

// Redo makes the last change that was undone again.
func (d *Document) Redo() {
	if d.refuses() {
		return
	}
	d.Drop()
	d.travel(&d.redo, &d.undo, false)
}

func (d *Document) travel(from, to *[]step, back bool) {
	n := len(*from)
	if n == 0 {
		return
	}
	s := (*from)[n-1]
	(*from)[n-1] = step{} // lets go of what the step held
	*from = (*from)[:n-1]
	*to = append(*to, s)
	d.file = s.delta.apply(d.file, back)
	d.err = d.rehearse(d.file, 0)
}

// Text is the file as it would be saved, with the comments of the text that
// it was read from.
func (d *Document) Text() ([]byte, error) { return d.file.EncodeKeeping(d.text) }

// Save writes the file to path, atomically.
func (d *Document) Save(path string) error {
	d.Drop()
	text, err := d.Text()
	if err != nil {
		return err
	}
	if err := diskfile.Save(path, text); err != nil {
		return err
	}
	d.Path, d.text, d.saved = path, text, d.file
	return nil
}

// rehearse plays f and keeps the result; on an error the last one stays.
func (d *Document) rehearse(f *workfile.File, rate float64) error {
	kind := 0
	if rate != 0 { // other samples, asked for in turn with those in full
		kind = 1
	}
	o := rehearsal.Options{
		Rate: rate, OnStand: d.stand, Recall: &d.recall[kind], Workers: runtime.GOMAXPROCS(0),
		Before:  d.last[kind],
		Consume: rate != 0, // nobody keeps a coarse one past the next
	}
	r, err := rehearsal.Run(f, o)
	if err != nil {
		return err
	}
	d.last[kind] = r
	d.result, d.coarse = r, rate != 0
	d.serial++
	return nil
}
