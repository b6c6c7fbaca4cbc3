// SPDX-License-Identifier: MIT

// Package robotlink is where a robot on a serial port is connected, armed in
// two acts, and made to follow what the window shows; and where what it reports
// is held against the motion.
package robotlink

import (
	"io"
	"time"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/document"
	"gaitwright/link"
	"gaitwright/link/follow"
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
	clock   func() time.Time
	session *link.Session
	follow  *follow.Follower
	doc     *document.Document
	serial  int // rehearsal that follow is of
	view    link.View
	err     error   // why the line is gone, or the motion cannot be followed
	last    float64 // time of the motion that was sent last, s
	when    time.Time
	played  bool    // the robot followed the motion as it played then
	bound   float64 // deg/s
	waits   bool    // the motion waits for the servos

	log recording
}

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
	w := &wire{name: name, clock: clock, when: clock(), follow: f, doc: d, serial: d.Serial(), bound: p.bound.Value}
	w.session = link.Start(port, link.Config{
		Channels: len(f.Lines), Speed: f.Speed(w.bound),
		Hold: time.Duration(p.hold.Value * float64(time.Second)),
	}, clock)
	w.do(func(h *link.Host, _ time.Time) error { h.Watch(20 * time.Millisecond); return nil })
	p.wire = w
	p.clear.Value, p.known, p.told = false, false, ""
}

// Close ends the connection; a robot that may move is stopped first, and a
// recording is ended.
func (p *Panel) Close() {
	w := p.wire
	if w == nil {
		return
	}
	p.wire = nil
	w.session.Close()
	p.endLog(w, "")
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

// awake is how often a robot on the line is looked at.
const awake = 50 * time.Millisecond

// Update takes what came from the robot and tells it where to be, and asks for
// a next frame. Call it once a frame, before what draws the present time.
func (p *Panel) Update(gtx layout.Context, d *document.Document, at *document.Place) {
	w := p.wire
	if w == nil {
		return
	}
	if w.doc != d { // another robot
		p.Close()
		return
	}
	gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(awake)})
	now := w.clock()
	w.view, w.err = w.session.View()
	if w.err == nil && w.serial != d.Serial() {
		w.serial = d.Serial()
		f, err := follow.New(d.Result())
		if err == nil && !f.Fits(w.follow) {
			err = errOther
		}
		if err != nil {
			p.Stop()
			w.err = err
		} else {
			w.follow = f
		}
	}
	if w.waits = w.view.Behind > follow.Late && p.Live(); w.waits && at.Playing {
		at.Time = w.last // the robot is not there yet
	}
	p.record(w, at, now)
	w.last, w.when, w.played = at.Time, now, at.Playing && w.view.State == link.Follow
	if w.err != nil {
		p.endLog(w, "The recording ended with the connection.")
		return
	}
	pose := w.follow.Pose(at.Time, at.Held)
	w.do(func(h *link.Host, _ time.Time) error { return h.Aim(pose) })
}
