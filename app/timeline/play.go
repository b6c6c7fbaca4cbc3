// SPDX-License-Identifier: MIT

package timeline

import (
	"math"
	"time"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/document"
)

// Limits of the playing speed, and the time between frames while playing.
const (
	slowest = 0.05
	fastest = 2.0
	frame   = time.Second / 60
)

// speeds are the playing speeds to choose from.
var speeds = [...]float64{0.05, 0.1, 0.25, 0.5, 1, 2}

// tick is how far a step goes, s. It is a round number rather than a sample,
// so that a step is the same at any sampling rate.
const tick = 0.01

// clock tells how much time has passed while playing.
type clock struct {
	running bool
	last    time.Time
}

// advance gives the time since the last call, s, zero for the first one after
// a halt.
func (c *clock) advance(now time.Time) float64 {
	dt := 0.0
	if c.running {
		dt = max(now.Sub(c.last).Seconds(), 0)
	}
	c.running, c.last = true, now
	return dt
}

// play moves the present time on by the clock and asks for the next frame.
func (p *Panel) play(gtx layout.Context, d *document.Document, at *document.Place) {
	if !at.Playing {
		p.clock = clock{}
		return
	}
	dt := p.clock.advance(gtx.Now)
	if p.grip != scrubbing && p.grip != barGrip { // a held cursor stays where it is held
		length := d.Result().Trajectory.Duration()
		t := at.Time + dt*speedOf(at)
		if t >= length {
			if at.Loop && length > 0 {
				t = math.Mod(t, length)
			} else {
				t, at.Playing = length, false
			}
		}
		if t != at.Time {
			at.GoTo(d, t)
		}
	}
	if at.Playing {
		gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(frame)})
	} else {
		p.clock = clock{}
	}
}

// speedOf gives the playing speed, 1 when none is set.
func speedOf(at *document.Place) float64 {
	if !(at.Speed > 0) {
		return 1
	}
	return max(slowest, min(at.Speed, fastest))
}

// TogglePlay plays, or pauses. At the end it plays from the start. Like the
// methods below it changes the place only: called outside Layout it needs a
// new frame.
func (p *Panel) TogglePlay(d *document.Document, at *document.Place) {
	if at.Playing {
		at.Playing = false
		return
	}
	if at.Time >= d.Result().Trajectory.Duration() {
		at.GoTo(d, 0)
	}
	at.Playing = true
}

// Step pauses and goes n steps of 1/100 s on, or back when n is negative. It
// lands on whole hundredths: from between two of them the first step is
// shorter.
func (p *Panel) Step(d *document.Document, at *document.Place, n int) {
	at.Playing = false
	const near = 1e-6 // of a step, where a time counts as whole
	k := at.Time / tick
	switch {
	case n > 0:
		k = math.Floor(k+near) + float64(n)
	case n < 0:
		k = math.Ceil(k-near) + float64(n)
	default:
		return
	}
	// Divided, since a multiple of 0.01 is not the nearest number to it.
	at.GoTo(d, k/math.Round(1/tick))
}

// Home goes to the start. Playing goes on.
func (p *Panel) Home(d *document.Document, at *document.Place) { at.GoTo(d, 0) }

// End pauses at the end.
func (p *Panel) End(d *document.Document, at *document.Place) {
	at.Playing = false
	at.GoTo(d, d.Result().Trajectory.Duration())
}

// Faster takes the next higher playing speed.
func (p *Panel) Faster(at *document.Place) {
	v := speedOf(at)
	for _, s := range speeds {
		if s > v*(1+1e-9) {
			at.Speed = s
			return
		}
	}
	at.Speed = fastest
}

// Slower takes the next lower playing speed.
func (p *Panel) Slower(at *document.Place) {
	v := speedOf(at)
	at.Speed = slowest
	for _, s := range speeds {
		if s < v*(1-1e-9) {
			at.Speed = s
		}
	}
}
