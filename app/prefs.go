// SPDX-License-Identifier: MIT

package app

import (
	"time"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/settings"
)

// prefer changes what is remembered from one start to the next.
func (w *Workbench) prefer(change func(*settings.Settings)) {
	was := w.prefs
	change(&w.prefs)
	w.unkept = w.unkept || w.prefs != was
	w.keepAt = time.Time{} // counted anew
}

// keepAfter is how long what is remembered has to rest before it is written,
// so that a drag writes once.
const keepAfter = 400 * time.Millisecond

// keepPrefs writes what is remembered once it has rested.
func (w *Workbench) keepPrefs(gtx layout.Context) {
	if !w.unkept {
		return
	}
	if w.keepAt.IsZero() {
		w.keepAt = gtx.Now.Add(keepAfter)
	}
	if gtx.Now.Before(w.keepAt) {
		gtx.Execute(op.InvalidateCmd{At: w.keepAt})
		return
	}
	w.keepPrefsNow()
}

// keepPrefsNow writes what is remembered, as before the window closes.
func (w *Workbench) keepPrefsNow() {
	if !w.unkept {
		return
	}
	w.unkept = false
	if w.cfg.Remember == nil {
		return
	}
	if err := w.cfg.Remember(w.prefs); err != nil {
		w.notice.fail(err)
	}
}

// Settings is what the window remembers, as it stands now.
func (w *Workbench) Settings() settings.Settings { return w.prefs }

// turnLook changes between the light and the dark look.
func (w *Workbench) turnLook() {
	w.th = look.New(!w.th.Dark)
	w.prefer(func(s *settings.Settings) { s.Light = !w.th.Dark })
}

// scales are the sizes of everything on screen to choose from, as multiples of
// the display's own.
var scales = [...]float64{1, 1.25, 1.5, 1.75, 2, 2.5, 3}

// scale is the one in force.
func (w *Workbench) scale() float64 {
	if s := w.prefs.Scale; s >= settings.LeastScale && s <= settings.MostScale {
		return s
	}
	return 1
}

// scaled gives the context in which the window is laid out.
func (w *Workbench) scaled(gtx layout.Context) layout.Context {
	s := float32(w.scale())
	gtx.Metric.PxPerDp, gtx.Metric.PxPerSp = gtx.Metric.PxPerDp*s, gtx.Metric.PxPerSp*s
	if gtx.Metric.PxPerDp == 0 { // a zero metric counts as 1
		gtx.Metric.PxPerDp, gtx.Metric.PxPerSp = s, s
	}
	return gtx
}

// resize takes the next scale up or down, or with 0 the usual one.
func (w *Workbench) resize(by int) {
	now, to := w.scale(), 1.0
	switch {
	case by > 0:
		to = now
		for i := len(scales) - 1; i >= 0; i-- {
			if scales[i] > now {
				to = scales[i]
			}
		}
	case by < 0:
		for _, s := range scales {
			if s < now {
				to = s
			}
		}
	}
	w.prefer(func(s *settings.Settings) {
		if s.Scale = to; to == 1 {
			s.Scale = 0 // the display's own
		}
	})
	if to == 1 {
		w.notice.say("Drawn at the usual size")
		return
	}
	w.notice.say("Drawn at " + draw.Number(to, 2) + " times the usual size")
}

// lessMotion switches reduced motion: then nothing moves but what was asked to.
func (w *Workbench) lessMotion() {
	w.prefer(func(s *settings.Settings) { s.ReducedMotion = !s.ReducedMotion })
	if w.prefs.ReducedMotion {
		w.at.Loop = false
		w.notice.say("Nothing moves by itself: playing ends at the end, and the tour waits for you")
		return
	}
	w.at.Loop = true
	w.notice.say("Playing begins again at its end")
}
