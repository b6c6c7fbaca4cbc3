// SPDX-License-Identifier: MIT

package app

import (
	"gaitwright/app/sequence"
	"gaitwright/motion/workfile/edit"
)

// openEntry shows what an entry of the sequence plays where that is shaped: the
// page of moves with its move, or that of walks with its gait, and the time at
// its beginning.
func (w *Workbench) openEntry(entry int) {
	f := w.doc.File()
	if w.doc.Showing() || !sequence.Opens(f, entry) {
		return
	}
	for _, p := range w.doc.Result().Trajectory.Parts {
		if p.Index == entry && (w.at.Time < p.From || w.at.Time >= p.To) {
			w.at.Playing = false
			w.at.GoTo(w.doc, p.From)
			break
		}
	}
	e := &f.Sequence[entry]
	if e.Kind != "move" {
		w.walk.Shape(w.doc, &w.at, edit.GaitIndex(f, e.Gait))
		w.turnTo(shapeWalk)
		return
	}
	for i := range f.Moves {
		if f.Moves[i].Name == e.Move && w.at.Move != i {
			w.at.Move, w.at.Track, w.at.Span = i, min(0, len(f.Moves[i].Feet)-1), 0
		}
	}
	w.legTrack()
	w.turnTo(shapeMove)
}

// legTrack takes the track of the chosen leg, where the move at hand has one.
func (w *Workbench) legTrack() {
	if w.at.Track < 0 {
		w.at.Choose(w.doc, w.at.Leg)
	}
}
