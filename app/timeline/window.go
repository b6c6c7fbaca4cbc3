// SPDX-License-Identifier: MIT

package timeline

import "math"

// leastWindow is the shortest time that zooming in leaves visible, s.
const leastWindow = 0.02

// window is the stretch of time that shows. The zero value shows all.
type window struct {
	from, to float64 // s
}

// bounds gives the visible stretch of a motion, s. It is never empty.
func (w window) bounds(duration float64) (from, to float64) {
	if !(w.to > w.from) {
		if !(duration > 0) {
			return 0, 1
		}
		return 0, duration
	}
	return w.from, w.to
}

// all tells whether the whole motion shows.
func (w window) all() bool { return !(w.to > w.from) }

// set shows a stretch, kept within the motion; one that holds all of it
// follows the motion's length from then on.
func (w *window) set(from, to, duration float64) {
	span := max(to-from, leastWindow)
	if !(span < duration) {
		*w = window{}
		return
	}
	from = max(0, min(from, duration-span))
	*w = window{from, from + span}
}

// zoom magnifies by factor about time t, which keeps its place.
func (w *window) zoom(factor, t, duration float64) {
	if !(factor > 0) || math.IsInf(factor, 0) || t-t != 0 {
		return
	}
	from, to := w.bounds(duration)
	span := max((to-from)/factor, leastWindow)
	share := (t - from) / (to - from)
	from = t - share*span
	w.set(from, from+span, duration)
}

// pan moves the stretch by dt, s.
func (w *window) pan(dt, duration float64) {
	if w.all() || dt-dt != 0 {
		return
	}
	w.set(w.from+dt, w.to+dt, duration)
}

// reveal moves the stretch as little as shows time t, but by room, a share of
// its length, more.
func (w *window) reveal(t, room, duration float64) {
	if w.all() {
		return
	}
	span := w.to - w.from
	switch {
	case t < w.from:
		w.set(t-room*span, t-room*span+span, duration)
	case t > w.to:
		w.set(t+room*span-span, t+room*span, duration)
	}
}

// tidy brings the stretch back into a motion that has become shorter.
func (w *window) tidy(duration float64) {
	if !w.all() && (w.to > duration || w.to-w.from >= duration) {
		w.set(w.from, w.to, duration)
	}
}

// axis maps visible time to pixels.
type axis struct {
	from, to float64 // s
	x0, x1   int     // px
}

// px gives the pixel of a time, not rounded.
func (a axis) px(t float64) float64 {
	return float64(a.x0) + (t-a.from)/(a.to-a.from)*float64(a.x1-a.x0)
}

// time gives the time of a pixel, s.
func (a axis) time(x float64) float64 {
	if a.x1 <= a.x0 {
		return a.from
	}
	return a.from + (x-float64(a.x0))/float64(a.x1-a.x0)*(a.to-a.from)
}

// column gives the pixel of a time, kept on the axis.
func (a axis) column(t float64) int {
	return int(math.Round(max(float64(a.x0), min(a.px(t), float64(a.x1)))))
}

// shows tells whether time t is on the axis.
func (a axis) shows(t float64) bool { return t >= a.from-1e-9 && t <= a.to+1e-9 }
