// SPDX-License-Identifier: MIT

package tour

import (
	"time"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/control"
)

// Step is one thing to try.
type Step struct {
	Title string
	Text  string
	Place string      // framed while it is tried, "" for none
	Watch string      // another place, which the card leaves free as well, "" for none
	Begin func()      // notes how things stand before, may be nil
	Done  func() bool // tells whether it was tried
}

// Tour is the state. Give it its steps before its first layout.
type Tour struct {
	Steps []Step

	on      bool
	offered bool // asks whether to take it
	at      int
	fresh   bool      // the step has not been seen by Update
	done    bool      // the step was tried
	since   time.Time // when that was noticed

	next, back, leave control.Button
	cover             control.Cover
}

// Event is what came of a frame.
type Event uint8

// The events.
const (
	Nothing  Event = iota
	Moved          // to another step, or begun
	Left           // before its end
	Finished       // after the last step
	Declined       // the offer
)

// pause is how long a step that was done stays, to be seen so.
const pause = 1500 * time.Millisecond

// On tells whether the tour shows a step.
func (t *Tour) On() bool { return t.on }

// Offered tells whether the tour asks to be taken.
func (t *Tour) Offered() bool { return t.offered }

// At is the step that shows, counted from 0.
func (t *Tour) At() int { return t.at }

// Done tells whether the step that shows was tried.
func (t *Tour) Done() bool { return t.on && t.done }

// Offer asks, once and aside, whether to take the tour.
func (t *Tour) Offer() { t.offered = !t.on && len(t.Steps) > 0 }

// Begin shows a step.
func (t *Tour) Begin(at int) {
	if len(t.Steps) == 0 {
		return
	}
	t.on, t.offered = true, false
	t.at, t.fresh, t.done = min(max(at, 0), len(t.Steps)-1), true, false
}

// Leave ends the tour where it is.
func (t *Tour) Leave() { t.on, t.offered = false, false }

// Place is the name of the place to frame, "" for none.
func (t *Tour) Place() string {
	if !t.on {
		return ""
	}
	return t.Steps[t.at].Place
}

// Watch is the name of another place that the card is to leave free, "" for
// none.
func (t *Tour) Watch() string {
	if !t.on {
		return ""
	}
	return t.Steps[t.at].Watch
}

// Update answers the card and notices what was tried. With still the tour
// waits for its button; else it goes on by itself a while after a step was
// tried.
func (t *Tour) Update(gtx layout.Context, still bool) Event {
	next, back, leave := t.next.Update(gtx), t.back.Update(gtx), t.leave.Update(gtx)
	switch {
	case t.offered && next:
		t.Begin(t.at)
		return Moved
	case t.offered && leave:
		t.offered = false
		return Declined
	case !t.on:
		return Nothing
	case leave:
		t.Leave()
		return Left
	case back && t.at > 0:
		t.Begin(t.at - 1)
		return Moved
	case next:
		return t.goOn()
	}
	s := &t.Steps[t.at]
	if t.fresh {
		t.fresh = false
		if s.Begin != nil {
			s.Begin()
		}
	}
	if !t.done && s.Done != nil && s.Done() {
		t.done, t.since = true, gtx.Now
		gtx.Execute(op.InvalidateCmd{})
	}
	if t.done && !still && t.at < len(t.Steps)-1 {
		due := t.since.Add(pause)
		if !gtx.Now.Before(due) {
			return t.goOn()
		}
		gtx.Execute(op.InvalidateCmd{At: due})
	}
	return Nothing
}

func (t *Tour) goOn() Event {
	if t.at+1 >= len(t.Steps) {
		t.on, t.at = false, 0
		return Finished
	}
	t.Begin(t.at + 1)
	return Moved
}
