// SPDX-License-Identifier: MIT

package robotlink

import (
	"bytes"
	"math"
	"time"

	"gaitwright/app/document"
	"gaitwright/link"
	"gaitwright/motion/record"
)

// recording is what the robot reports while it is recorded.
type recording struct {
	on     bool
	text   bytes.Buffer
	writer *record.Writer
	rows   int
	played int     // of them, while the motion played
	latest float64 // time of the motion in the last of these, s
}

// mostRows bounds a recording: two hours at fifty looks a second.
const mostRows = 360_000

// leap is how far the present time moves within a frame before it was moved by
// hand, s.
const leap = 0.25

// beginLog begins a recording.
func (p *Panel) beginLog(w *wire) {
	w.log = recording{on: true, latest: math.Inf(-1)}
	w.log.writer = record.NewWriter(&w.log.text, w.doc.Result().Built)
	p.told = ""
}

// endLog ends a recording and holds it against the motion; why is told where
// the person did not end it.
func (p *Panel) endLog(w *wire, why string) {
	if !w.log.on {
		return
	}
	w.log.on = false
	p.told = why
	if w.log.played < 2 {
		p.told = "Nothing was recorded: the robot did not follow the motion as it played."
		return
	}
	p.Take(ofRobot, bytes.Clone(w.log.text.Bytes()), w.doc)
}

// record takes the robot's reports. A report that came between two frames
// belongs to the time of the motion between theirs. A motion that begins anew,
// or is moved back, ends the recording: a log is of one run.
func (p *Panel) record(w *wire, at *document.Place, now time.Time) {
	playing := w.played && at.Playing && w.view.State == link.Follow && at.Time >= w.last && at.Time-w.last < leap
	for i := range w.view.Seen {
		s := &w.view.Seen[i]
		p.feet, p.known = s.Switches, w.view.Info.Switches
		if !w.log.on {
			continue
		}
		when := math.NaN()
		if playing {
			when = at.Time
			if span := now.Sub(w.when); span > 0 {
				when = w.last + max(0, min(s.Came.Sub(w.when).Seconds()/span.Seconds(), 1))*(at.Time-w.last)
			}
		}
		switch {
		case when < w.log.latest: // false for NaN
			p.endLog(w, "The recording ended where the motion began anew.")
			continue
		case w.log.rows >= mostRows:
			p.endLog(w, "The recording ended: it is as long as it may be.")
			continue
		}
		if w.log.writer.Add(w.follow.Row(s, when, w.view.Info.Switches)) != nil {
			continue
		}
		w.log.rows++
		if when == when {
			w.log.played++
			w.log.latest = when
		}
	}
	if w.log.on && w.log.played > 0 && at.Playing && at.Time < w.log.latest-1e-3 {
		p.endLog(w, "The recording ended where the motion began anew.")
	}
}

// Seen is what a robot did, held against the motion.
type Seen struct {
	Name       string
	Record     *record.Record
	Comparison *record.Comparison
	Err        error

	text   []byte
	legs   []string // of the robot, as it was then
	reader reader
	doc    *document.Document
	serial int
}

// Take reads a log and holds it against the motion.
func (p *Panel) Take(name string, text []byte, d *document.Document) {
	p.seen = Seen{Name: name, text: text}
	p.seen.hold(d)
}

// Log gives the recording as it would be saved, nil for none.
func (p *Panel) Log() []byte { return p.seen.text }

// Seen gives what shows over the motion, nil for nothing. When the motion was
// changed since, it is held against the new one.
func (p *Panel) Seen(d *document.Document) *Seen {
	s := &p.seen
	p.refresh(d)
	if s.text == nil || s.doc != d || s.Err != nil || p.hide.Value || d.Showing() {
		return nil
	}
	return s
}

// refresh holds the log against the motion as it is now.
func (p *Panel) refresh(d *document.Document) {
	s := &p.seen
	if s.text != nil && (s.doc != d || s.serial != d.Serial()) && !d.Dragging() && !d.Showing() {
		s.hold(d)
	}
}

// hold reads the log, unless it would read the same as before, and compares.
func (s *Seen) hold(d *document.Document) {
	r := d.Result()
	s.doc, s.serial = d, d.Serial()
	if now := readerOf(r.Built); s.Record == nil || !now.same(&s.reader) {
		s.Record, s.Err = record.Read(bytes.NewReader(s.text), r.Built)
		s.reader = now
		s.legs = s.reader.legs
	}
	s.Comparison = nil
	if s.Record != nil {
		s.Comparison, s.Err = record.Compare(s.Record, r.Trajectory, math.NaN())
	}
}
