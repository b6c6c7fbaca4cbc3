// SPDX-License-Identifier: MIT

package walk

import (
	"gaitwright/app/document"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// place is which gait is shaped, and which entry of the sequence walks with it.
type place struct {
	entry   int // -1: none
	gait    int
	changes bool // it takes its command from the walk before
}

// fixed tells that there is no command of its own to change.
func (w place) fixed() bool { return w.changes || w.entry < 0 }

// there tells whether a place still is in the file.
func (w place) there(f *workfile.File) bool {
	return w.gait >= 0 && w.gait < len(f.Gaits) && w.entry < len(f.Sequence)
}

// at gives the place of an entry, not ok where it does not walk.
func placeOf(f *workfile.File, entry int) (w place, ok bool) {
	if entry < 0 || entry >= len(f.Sequence) || !edit.Walks(&f.Sequence[entry]) {
		return w, false
	}
	e := &f.Sequence[entry]
	g := edit.GaitIndex(f, e.Gait)
	return place{entry, g, e.Kind == "change"}, g >= 0
}

// present gives the entry at the present time.
func present(d *document.Document, at *document.Place) int {
	t := d.Result().Trajectory
	if i := t.PartAt(at.Time); i >= 0 {
		return t.Parts[i].Index
	}
	return -1
}

// follow shapes the walk at the present time again once the time has moved
// into one.
func (p *Panel) follow(d *document.Document, at *document.Place) {
	if p.seen.doc != d {
		p.alone, p.said, p.news, p.asked = "", "", "", nothing
		return
	}
	if p.seen.serial == d.Serial() && p.seen.time != at.Time {
		p.said, p.news = "", ""
		if _, ok := placeOf(d.File(), present(d, at)); ok {
			p.alone = ""
		}
	}
}

// find gives what is shaped: the gait that the person chose, or else that of
// the walk at the present time, of the first walk, or the first gait.
func (p *Panel) find(d *document.Document, at *document.Place) (place, bool) {
	f := d.File()
	now, playing := placeOf(f, present(d, at))
	g := edit.GaitIndex(f, p.alone)
	if playing && (g < 0 || now.gait == g) {
		return now, true
	}
	for i := range f.Sequence {
		if w, ok := placeOf(f, i); ok && (g < 0 || w.gait == g) {
			return w, true
		}
	}
	if g < 0 && len(f.Gaits) > 0 {
		g = 0
	}
	return place{entry: -1, gait: g}, g >= 0
}

// Shape takes the gait with index g, and the time into a walk with it.
func (p *Panel) Shape(d *document.Document, at *document.Place, g int) { p.shape(d, at, g) }

// shape takes a gait, and the time into the first walk with it.
func (p *Panel) shape(d *document.Document, at *document.Place, g int) {
	f := d.File()
	if g < 0 || g >= len(f.Gaits) {
		return
	}
	p.alone, p.said, p.news = f.Gaits[g].Name, "", ""
	at.Playing = false // it would lead on to the gait of the next walk
	if now, ok := placeOf(f, present(d, at)); ok && now.gait == g {
		return
	}
	for _, part := range d.Result().Trajectory.Parts {
		if w, ok := placeOf(f, part.Index); ok && w.gait == g {
			at.GoTo(d, part.From)
			return
		}
	}
}
