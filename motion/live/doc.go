// SPDX-License-Identifier: MIT

// Package live lets the robot of a workfile walk as a person asks for it, now:
// a stride.Walker that goes on with the time, and what has been walked last,
// sampled, loaded and reviewed like any other motion.
//
//	w, err := live.New(built, live.Options{})
//	err = w.Ask(live.Want{Gait: 0, Forward: 0.5})
//	w.Advance(0.1)
//	r := w.Look()
//
// # What shows
//
// Look gives the last Span seconds and the next Ahead seconds, as they come if
// nothing else is asked; the time of its trajectory is 0 at the beginning of
// that stretch. What lies before is forgotten, so that a walk without end takes
// no more memory. Samples are at whole multiples of the sampling step of the
// walk's own clock: the same instant has the same numbers in every look.
//
// Findings that begin after the present are left out: what is asked next may
// change them. The future is looked at all the same, since what is under way at
// the present (a robot that rocks on an edge, a foot about to land) is judged
// by how it ends. What began before the stretch is judged by what shows of it,
// and heat by the stretch alone.
//
// # Commands
//
// A person asks for shares of the fastest command that the gait can walk in a
// direction (package pace), not for speeds: another gait walks the same share
// of its own. Shares beyond 1 are allowed, and the review says what comes of
// it.
package live
