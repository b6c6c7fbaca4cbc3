// SPDX-License-Identifier: MIT

package control

import (
	"slices"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
)

// area is a part of the window that the keys go to as a whole: those of the
// order's parts that lie in it, from, up to but not including to.
type area struct {
	name     string
	from, to int
}

// Area lays w out as an area with a name, among which the keys can go round.
func Area(gtx layout.Context, name string, w layout.Widget) layout.Dimensions {
	o := orderOf(gtx)
	if o == nil {
		return w(gtx)
	}
	from := len(o.now)
	d := w(gtx)
	o.areas = append(o.areas, area{name, from, len(o.now)})
	return d
}

// Look notes in which area the focus is. Call it at the end of each frame.
func (o *Order) Look(gtx layout.Context) {
	for _, a := range o.areas {
		for _, t := range o.now[a.from:a.to] {
			if gtx.Focused(t) {
				if o.left == nil {
					o.left = map[string]event.Tag{}
				}
				o.in, o.left[a.name] = a.name, t // the outermost comes last
			}
		}
	}
}

// Within names the area that had the focus last, "" for none.
func (o *Order) Within() string { return o.in }

// Turn gives the keys to the next area, or with by −1 to the one before: to the
// part of it that had them last, else to the first one. Areas without a part
// that takes the keys are left out, and names says which count.
func (o *Order) Turn(gtx layout.Context, by int, names ...string) {
	var all []area
	for _, n := range names {
		for _, a := range o.areas {
			if a.name == n && a.to > a.from {
				all = append(all, a)
				break
			}
		}
	}
	if len(all) == 0 {
		return
	}
	at := slices.IndexFunc(all, func(a area) bool { return a.name == o.in })
	switch {
	case at >= 0:
		at += by
	case by > 0:
		at = 0
	default:
		at = len(all) - 1
	}
	a := all[(at+len(all))%len(all)]
	to := o.now[a.from]
	if t, ok := o.left[a.name]; ok && slices.Contains(o.now[a.from:a.to], t) {
		to = t
	}
	o.in = a.name
	o.Focus(gtx, to)
}

// First gives the first part of an area that is no field for text, which would
// take the letters of shortcuts; else its first part, and nil for none.
func (o *Order) First(name string) event.Tag {
	for _, a := range o.areas {
		if a.name != name || a.to == a.from {
			continue
		}
		for _, t := range o.now[a.from:a.to] {
			if !isField(t) {
				return t
			}
		}
		return o.now[a.from]
	}
	return nil
}

// Focus gives the keys to a part that was laid out in this frame, and brings it
// into view. It tells whether there is such a part.
func (o *Order) Focus(gtx layout.Context, tag event.Tag) bool {
	if tag == nil || !slices.Contains(o.now, tag) {
		return false
	}
	o.to = tag
	gtx.Execute(key.FocusCmd{Tag: tag})
	gtx.Execute(op.InvalidateCmd{})
	return true
}
