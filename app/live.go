// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"math"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/document"
	"gaitwright/motion/live"
	"gaitwright/motion/review"
)

// liveWalk is the mode in which the robot walks as the person presses. The
// window then shows what has been walked last in place of the file's motion.
type liveWalk struct {
	walk *live.Walk // nil when the mode is off
	seen *live.Seen
	want live.Want
	rest document.Place // where the person looked before

	last    time.Time   // of the walk's clock; zero when it stood still
	due     time.Time   // of the next look
	pending chan looked // what is worked out beside the frames, nil for nothing
	held    bool        // the time stands still, to look around
	set     float64     // the present as the last frame left it, s
	fresh   bool        // no frame since it began

	panel livePanel
}

type looked struct {
	seen *live.Seen
	err  error
}

// Times and steps of live walking.
const (
	lookEvery = 100 * time.Millisecond // between two looks
	longest   = 100 * time.Millisecond // that a frame counts for: the robot waits for a slow machine
	liveFrame = time.Second / 60
	shareStep = 0.1   // of a press, share of the fastest
	riseStep  = 0.005 // m
	mostRise  = 0.030 // m
)

// liveOn tells whether the robot walks as the person presses.
func (w *Workbench) liveOn() bool { return w.live.walk != nil }

// toggleLive begins live walking, or ends it.
func (w *Workbench) toggleLive() {
	if w.liveOn() {
		w.endLive()
		return
	}
	w.endTrial()
	w.doc.Drop()
	r := w.doc.Result()
	if len(r.Built.Gaits) == 0 {
		w.notice.fail(fmt.Errorf("no gait to walk in: add one to the workfile"))
		w.shapes.Value = w.shaped
		return
	}
	walk, err := live.New(r.Built, live.Options{OnStand: w.doc.OnStand()})
	var seen *live.Seen
	if err == nil {
		seen, err = walk.Look()
	}
	if err != nil {
		w.notice.fail(err)
		w.shapes.Value = w.shaped
		return
	}
	m := &w.live
	*m = liveWalk{walk: walk, want: live.Want{Gait: -1, Forward: 0.4}, rest: w.at, fresh: true, panel: m.panel}
	w.at.Held, w.at.Finding, w.at.Loop = nil, -1, false
	w.shapes.Value = walkLive
	w.view.NoKeys = true
	w.time.ShowAll()
	w.showLive(seen)
	w.at.Tidy(w.doc)
}

// endLive shows the file's motion again.
func (w *Workbench) endLive() {
	if !w.liveOn() {
		return
	}
	w.doc.Show(nil)
	w.at = w.live.rest
	w.at.Playing = false
	w.live = liveWalk{panel: w.live.panel}
	w.shapes.Value = w.shaped
	w.view.NoKeys = false
	w.at.Tidy(w.doc)
}

// showLive takes a look over. What the person chose stays chosen, if it is
// still there.
func (w *Workbench) showLive(s *live.Seen) {
	var was review.Finding
	if all := w.doc.Result().Findings; w.at.Finding >= 0 && w.at.Finding < len(all) {
		was = all[w.at.Finding]
	}
	w.live.seen = s
	w.doc.Show(s.Rehearsal)
	w.at.Finding = -1
	for i, f := range s.Findings {
		if was.Word != "" && f.Word == was.Word && f.Leg == was.Leg && f.Joint == was.Joint {
			w.at.Finding = i
			break
		}
	}
}

// tick lets the walk go on with the time of the frames.
func (w *Workbench) tick(gtx layout.Context) {
	m := &w.live
	if !w.liveOn() {
		return
	}
	if m.fresh {
		m.fresh = false
		w.at.Playing = false
		gtx.Execute(key.FocusCmd{}) // the arrow keys steer now
	}
	if w.at.Playing || w.at.Time != m.set && !m.last.IsZero() {
		m.held = true // the person went to another instant
	}
	w.collectLive()
	if m.held || w.modal.open() {
		m.last = time.Time{}
		if m.pending != nil {
			gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(liveFrame)})
		}
		return
	}
	if !m.last.IsZero() {
		m.walk.Advance(min(gtx.Now.Sub(m.last), longest).Seconds())
	}
	m.last = gtx.Now
	if m.pending == nil && !gtx.Now.Before(m.due) {
		m.due = gtx.Now.Add(lookEvery)
		work := m.walk.Prepare()
		done := make(chan looked, 1)
		m.pending = done
		go func() {
			s, err := work()
			done <- looked{s, err}
		}()
	}
	w.at.Playing = false
	w.at.Time = m.walk.Now() - m.seen.From
	w.at.Tidy(w.doc)
	m.set = w.at.Time
	gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(liveFrame)})
}

// collectLive takes what was worked out, when it is there.
func (w *Workbench) collectLive() {
	m := &w.live
	select {
	case l := <-m.pending: // never when there is none
		m.pending = nil
		if l.err != nil {
			w.notice.fail(l.err)
			w.endLive()
			return
		}
		by := 0.0
		if m.seen != nil {
			by = l.seen.From - m.seen.From
		}
		w.showLive(l.seen)
		if m.held { // stay at the instant
			w.at.Time = max(0, w.at.Time-by)
			w.at.Tidy(w.doc)
			m.set = w.at.Time
		}
	default:
	}
}

// order asks the walk for what change makes of the last request.
func (w *Workbench) order(change func(q *live.Want)) {
	m := &w.live
	if !w.liveOn() {
		return
	}
	q := m.want
	change(&q)
	share := func(v float64) float64 { return max(-1, min(1, math.Round(v/shareStep)*shareStep)) }
	q.Forward, q.Side, q.Turn = share(q.Forward), share(q.Side), share(q.Turn)
	q.Rise = max(-mostRise, min(mostRise, math.Round(q.Rise/riseStep)*riseStep))
	m.held, m.due = false, time.Time{}
	if err := m.walk.Ask(q); err != nil {
		w.notice.fail(err)
		return
	}
	m.want = q
}

// steer is an order that starts the robot when it stands: in the gait that it
// walked in last, or the first.
func (w *Workbench) steer(forward, side, turn float64) func() {
	return func() {
		w.order(func(q *live.Want) {
			if q.Gait < 0 {
				q.Gait = w.live.panel.gait
			}
			q.Forward += forward * shareStep
			q.Side += side * shareStep
			q.Turn += turn * shareStep
		})
	}
}

// inGait is the order to walk in a gait.
func (w *Workbench) inGait(i int) func() {
	return func() {
		if i < len(w.doc.Result().Built.Gaits) {
			w.live.panel.gait = i
			w.order(func(q *live.Want) { q.Gait = i })
		}
	}
}

func (w *Workbench) rise(by float64) func() {
	return func() { w.order(func(q *live.Want) { q.Rise += by }) }
}

// liveActions are what a person can do while walking live.
func (w *Workbench) liveActions() []action {
	a := []action{
		{id: "forward", words: "forward", say: "↑", do: w.steer(1, 0, 0), keys: []key.Filter{{Name: key.NameUpArrow}}},
		{id: "back", words: "back", say: "↓", do: w.steer(-1, 0, 0), keys: []key.Filter{{Name: key.NameDownArrow}}},
		{id: "left", words: "to the left", say: "←", do: w.steer(0, 1, 0), keys: []key.Filter{{Name: key.NameLeftArrow}}},
		{id: "right", words: "to the right", say: "→", do: w.steer(0, -1, 0), keys: []key.Filter{{Name: key.NameRightArrow}}},
		{id: "turn left", words: "turn left", say: "Q", do: w.steer(0, 0, 1), keys: []key.Filter{{Name: "Q"}}},
		{id: "turn right", words: "turn right", say: "E", do: w.steer(0, 0, -1), keys: []key.Filter{{Name: "E"}}},
		{id: "raise", words: "raise the body", say: "Page Up", do: w.rise(riseStep), keys: []key.Filter{{Name: key.NamePageUp}}},
		{id: "lower", words: "lower the body", say: "Page Down", do: w.rise(-riseStep), keys: []key.Filter{{Name: key.NamePageDown}}},
		{id: "on the spot", words: "step on the spot", say: "M", keys: []key.Filter{{Name: "M"}},
			do: func() { w.order(func(q *live.Want) { q.Forward, q.Side, q.Turn = 0, 0, 0 }) }},
		{id: "halt", words: "stop", say: "0", keys: []key.Filter{{Name: "0"}},
			do: func() { w.order(func(q *live.Want) { q.Gait = -1 }) }},
		{id: "hold time", words: "hold the time", say: "Space", keys: []key.Filter{{Name: key.NameSpace}},
			do: func() { w.live.held = !w.live.held }},
		{id: "end live", words: "end", say: "Esc", do: w.endLive, keys: []key.Filter{{Name: key.NameEscape}}},
	}
	for i := range 9 {
		n := fmt.Sprint(i + 1)
		a = append(a, action{id: "gait " + n, words: "walk in gait " + n, say: n, do: w.inGait(i), keys: []key.Filter{{Name: key.Name(n)}}})
	}
	for i := range a {
		a[i].mode, a[i].plain, a[i].can = whileLive, true, always
	}
	return a
}
