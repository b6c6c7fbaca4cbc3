// SPDX-License-Identifier: MIT

// Package robotlink is where a robot on a serial port is connected, armed in
// two acts, and made to follow what the window shows; and where what it reports
// is held against the motion.
package robotlink

import (
	"bytes"
	"io"
	"math"
	"time"

	"gaitwright/app/document"
	"gaitwright/link"
	"gaitwright/link/follow"
	"gaitwright/motion/record"
)

// Ports is how serial ports are found and opened.
type Ports struct {
	Open  func(name string, baud int) (io.ReadWriteCloser, error)
	List  func() ([]string, error)
	Clock func() time.Time
}

// wire is the connection under way.
type wire struct {
	name    string
	session *link.Session
	follow  *follow.Follower
	doc     *document.Document
	serial  int // rehearsal that follow is of
	view    link.View
	err     error   // why the line is gone, or the motion cannot be followed
	last    float64 // time of the motion that was sent last, s
	bound   float64 // deg/s
	waits   bool    // the motion waits for the servos

	logging bool
	log     bytes.Buffer
	writer  *record.Writer
	rows    int
}

// mostRows bounds a recording: two hours at fifty looks a second.
const mostRows = 360_000

// connect opens a port and begins a session on it.
func (p *Panel) connect(d *document.Document, name string, baud int) {
	f, err := follow.New(d.Result())
	if err != nil {
		p.refused = err
		return
	}
	port, err := p.Ports.Open(name, baud)
	if err != nil {
		p.refused = err
		return
	}
	p.refused = nil
	clock := p.Ports.Clock
	if clock == nil {
		clock = time.Now
	}
	w := &wire{name: name, follow: f, doc: d, serial: d.Serial(), bound: p.bound.Value}
	w.session = link.Start(port, link.Config{
		Channels: len(f.Lines), Speed: f.Speed(w.bound),
		Hold: time.Duration(p.hold.Value * float64(time.Second)),
	}, clock)
	w.do(func(h *link.Host, _ time.Time) error { h.Watch(20 * time.Millisecond); return nil })
	p.wire = w
	p.clear.Value = false
}

// Close ends the connection; a robot that may move is stopped first.
func (p *Panel) Close() {
	if p.wire == nil {
		return
	}
	p.endLog(p.wire.doc)
	p.wire.session.Close()
	p.wire = nil
}

// Connected tells whether a port is open.
func (p *Panel) Connected() bool { return p.wire != nil }

// Live tells whether the robot moves, or may at any moment.
func (p *Panel) Live() bool { return p.wire != nil && p.wire.err == nil && p.wire.view.State.Live() }

// Stop lets the robot stand still at once.
func (p *Panel) Stop() {
	if p.wire != nil {
		p.wire.do(func(h *link.Host, now time.Time) error { h.Stop(now); return nil })
	}
}

// limp cuts the pulses.
func (p *Panel) limp() {
	p.wire.do(func(h *link.Host, now time.Time) error { h.Limp(now); return nil })
}

// do asks something of the host; what it refuses is shown.
func (w *wire) do(f func(h *link.Host, now time.Time) error) error {
	return w.session.Do(f)
}

// Update takes what came from the robot and tells it where to be. Call it once
// a frame, before what draws the present time.
func (p *Panel) Update(d *document.Document, at *document.Place) {
	w := p.wire
	if w == nil {
		return
	}
	if w.doc != d { // another robot
		p.Close()
		return
	}
	w.view, w.err = w.session.View()
	p.record(d, at)
	if w.err != nil {
		return
	}
	if w.serial != d.Serial() {
		w.serial = d.Serial()
		f, err := follow.New(d.Result())
		if err == nil && !f.Fits(w.follow) {
			err = errOther
		}
		if err != nil {
			p.Stop()
			w.err = err
			return
		}
		w.follow = f
	}
	if w.waits = w.view.Behind > follow.Late && p.Live(); w.waits && at.Playing {
		at.Time = w.last // the robot is not there yet
	}
	w.last = at.Time
	pose := w.follow.Pose(at.Time, at.Held)
	w.do(func(h *link.Host, _ time.Time) error { return h.Aim(pose) })
}

// record takes the robot's reports.
func (p *Panel) record(d *document.Document, at *document.Place) {
	w := p.wire
	for i := range w.view.Seen {
		s := &w.view.Seen[i]
		p.feet, p.known = s.Switches, w.view.Info.Switches
		if !w.logging || w.rows >= mostRows {
			continue
		}
		when := math.NaN()
		if at.Playing && w.view.State == link.Follow {
			when = at.Time
		}
		if w.writer.Add(w.follow.Row(s, when, w.view.Info.Switches)) == nil {
			w.rows++
		}
	}
}

// beginLog begins a recording.
func (p *Panel) beginLog(d *document.Document) {
	w := p.wire
	w.log.Reset()
	w.writer = record.NewWriter(&w.log, d.Result().Built)
	w.logging, w.rows = true, 0
}

// endLog ends a recording and holds it against the motion.
func (p *Panel) endLog(d *document.Document) {
	w := p.wire
	if !w.logging {
		return
	}
	w.logging = false
	p.take("the recording", bytes.Clone(w.log.Bytes()), d)
}

// take reads a log and holds it against the motion.
func (p *Panel) take(name string, text []byte, d *document.Document) {
	p.seen = Seen{Name: name, text: text, doc: d, serial: d.Serial()}
	rec, err := record.Read(bytes.NewReader(text), d.Result().Built)
	if err == nil {
		p.seen.Record = rec
		p.seen.Comparison, err = record.Compare(rec, d.Result().Trajectory, math.NaN())
	}
	p.seen.Err = err
}

// Take reads a log from a file.
func (p *Panel) Take(name string, text []byte, d *document.Document) { p.take(name, text, d) }

// Log gives the recording as it would be saved, nil for none.
func (p *Panel) Log() []byte { return p.seen.text }

// Seen is what a robot did, held against the motion.
type Seen struct {
	Name       string
	Record     *record.Record
	Comparison *record.Comparison
	Err        error

	text   []byte
	doc    *document.Document
	serial int
}

// Seen gives what shows over the motion, nil for nothing. When the motion was
// changed since, it is held against the new one.
func (p *Panel) Seen(d *document.Document) *Seen {
	s := &p.seen
	if s.text == nil || s.doc != d {
		return nil
	}
	if s.serial != d.Serial() && !d.Dragging() && !d.Showing() {
		p.take(s.Name, s.text, d)
	}
	if s.Err != nil || p.hide.Value {
		return nil
	}
	return s
}
