// SPDX-License-Identifier: MIT

package sequence

import (
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// act is what a button does.
type act uint8

const (
	none act = iota
	double
	earlier
	later
	remove
	edits
)

// pushed gives the button that was pushed. A push leaves the keys with the
// field that is typed in: then that is left first, so that what it says is
// taken for the entry that it was typed for, and the button acts a frame
// later.
func (p *Panel) pushed(gtx layout.Context) act {
	now := p.due
	p.due = none
	for i, b := range [...]*control.Button{double: &p.double, earlier: &p.up, later: &p.down, remove: &p.remove, edits: &p.shape} {
		if b == nil || !b.Update(gtx) {
			continue
		}
		if !p.Typing(gtx) {
			now = act(i)
			continue
		}
		p.due = act(i)
		gtx.Execute(key.FocusCmd{Tag: b.Tag()})
		gtx.Execute(op.InvalidateCmd{})
	}
	return now
}

// update answers list, buttons and keys.
func (p *Panel) update(gtx layout.Context, d *document.Document, at *document.Place) {
	pick, enter := -1, false
	for {
		e, ok := p.rows.Update(gtx)
		if !ok {
			break
		}
		pick, enter = e.Index, enter || e.Open
	}
	kind := ""
	if i, ok := p.add.Update(gtx); ok && i < len(edit.Kinds()) {
		kind = edit.Kinds()[i]
	}
	for i, k := range edit.Kinds() {
		if p.first[i].Update(gtx) && len(d.File().Sequence) == 0 {
			kind = k
		}
	}
	do := p.pushed(gtx)
	p.typed(gtx, d, at)
	p.keys(gtx, d, at)
	switch {
	case kind != "":
		p.put(d, at, kind)
	case do == double:
		p.change(d, at, "duplicate an entry", p.chosen+1, func(f *workfile.File) { edit.DuplicateEntry(f, p.chosen) })
	case do == earlier:
		p.shift(d, at, -1)
	case do == later:
		p.shift(d, at, 1)
	case do == remove:
		p.drop(d, at)
	case pick >= 0 && pick < len(d.File().Sequence) && !p.carry.on:
		p.said = ""
		p.goTo(d, at, pick)
	}
	if (enter && pick == p.chosen || do == edits) && p.Open != nil && !p.carry.on && Opens(d.File(), p.chosen) {
		p.Open(p.chosen)
	}
	p.carrying(gtx, d, at)
}

// keys takes what the list does by key beside choosing.
func (p *Panel) keys(gtx layout.Context, d *document.Document, at *document.Place) {
	list := p.rows.Tag()
	filters := []event.Filter{
		key.Filter{Focus: list, Name: key.NameUpArrow, Required: key.ModAlt},
		key.Filter{Focus: list, Name: key.NameDownArrow, Required: key.ModAlt},
		key.Filter{Focus: list, Name: key.NameDeleteForward},
		key.Filter{Focus: list, Name: key.NameDeleteBackward},
	}
	if p.carry.on {
		filters = append(filters, key.Filter{Focus: list, Name: key.NameEscape})
	}
	for {
		ev, ok := gtx.Event(filters...)
		if !ok {
			return
		}
		e, ok := ev.(key.Event)
		if !ok || e.State != key.Press {
			continue
		}
		switch e.Name {
		case key.NameUpArrow:
			p.shift(d, at, -1)
		case key.NameDownArrow:
			p.shift(d, at, 1)
		case key.NameDeleteForward, key.NameDeleteBackward:
			p.drop(d, at)
		case key.NameEscape:
			p.carry.on = false
		}
	}
}

// put adds an entry of a kind after the chosen one.
func (p *Panel) put(d *document.Document, at *document.Place, kind string) {
	after := p.chosen
	if len(d.File().Sequence) == 0 {
		after = -1
	}
	e, err := edit.NewEntry(d.File(), kind, after, at.Move)
	if err != nil {
		p.said = document.Reason(err)
		return
	}
	p.change(d, at, "add a "+kind, after+1, func(f *workfile.File) { edit.AddEntry(f, after, e) })
}

// shift takes the chosen entry earlier or later.
func (p *Panel) shift(d *document.Document, at *document.Place, by int) {
	p.take(d, at, p.chosen, p.chosen+by)
}

// take moves an entry to another place.
func (p *Panel) take(d *document.Document, at *document.Place, from, to int) {
	if n := len(d.File().Sequence); from < 0 || to < 0 || from >= n || to >= n || from == to {
		return
	}
	label := "move an entry later"
	if to < from {
		label = "move an entry earlier"
	}
	p.change(d, at, label, to, func(f *workfile.File) { edit.MoveEntry(f, from, to) })
}

// drop deletes the chosen entry.
func (p *Panel) drop(d *document.Document, at *document.Place) {
	if len(d.File().Sequence) > 0 {
		p.change(d, at, "delete an entry", p.chosen, func(f *workfile.File) { edit.DeleteEntry(f, p.chosen) })
	}
}
