// SPDX-License-Identifier: MIT

package control

import (
	"maps"
	"slices"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/widget"
)

// Order is the order of a window's parts, by which Tab leads from one field to
// the next. Gio has an order of its own, but does not hear a Tab that comes in
// the same frame as a letter before it: the next number would then join the
// last one. So a field takes Tab itself where another field lies beside it, and
// leaves it to Gio elsewhere. The zero value is empty.
type Order struct {
	last, now []event.Tag                // of the last frame, and of this one so far
	beside    map[event.Tag][2]event.Tag // fields behind and before a field, nil for none, as of the last frame
	typed     event.Tag                  // field with text that is no value yet
	to        event.Tag                  // where Tab led to, until it is laid out

	areas []area               // of this frame so far, see Area
	in    string               // the one that had the focus last
	left  map[string]event.Tag // what had it there
}

// orderKey is where a context has the order.
const orderKey = "gaitwright/app/control.Order"

// In begins a frame: the parts laid out in the context join the order.
func (o *Order) In(gtx layout.Context) layout.Context {
	if !slices.Equal(o.last, o.now) || o.beside == nil {
		o.last = append(o.last[:0], o.now...)
		all := o.Tags()
		o.beside = map[event.Tag][2]event.Tag{}
		for i, t := range all {
			if !isField(t) {
				continue
			}
			var b [2]event.Tag
			for k, j := range [...]int{(i + 1) % len(all), (i + len(all) - 1) % len(all)} {
				if j != i && isField(all[j]) {
					b[k] = all[j]
				}
			}
			o.beside[t] = b
		}
	}
	o.now, o.areas = o.now[:0], o.areas[:0]
	return with(gtx, orderKey, o)
}

func isField(t event.Tag) bool {
	_, ok := t.(*widget.Editor)
	return ok
}

// Tags lists the parts of the frame so far in order. What was laid out more than
// once, to see what fits, counts where it was last.
func (o *Order) Tags() []event.Tag {
	at := make(map[event.Tag]int, len(o.now))
	for i, t := range o.now {
		at[t] = i
	}
	var all []event.Tag
	for i, t := range o.now {
		if at[t] == i {
			all = append(all, t)
		}
	}
	return all
}

// with gives a context with one more value.
func with(gtx layout.Context, key string, v any) layout.Context {
	all := maps.Clone(gtx.Values)
	if all == nil {
		all = map[string]any{}
	}
	all[key] = v
	gtx.Values = all
	return gtx
}

// Reachable notes a part that Tab leads to. Call it where the part's area is
// laid out.
func Reachable(gtx layout.Context, tag event.Tag) {
	o := orderOf(gtx)
	if o == nil || !gtx.Enabled() {
		return
	}
	o.now = append(o.now, tag)
	if o.to == tag {
		o.to = nil
		if in, ok := gtx.Values[scrollKey].(part); ok {
			in.of.reveal = in.i + 1
			gtx.Execute(op.InvalidateCmd{})
		}
	}
}

// note tells whether something is typed in a field that is no value yet.
func (o *Order) note(field event.Tag, typed bool) {
	switch {
	case o == nil:
	case typed:
		o.typed = field
	case o.typed == field:
		o.typed = nil
	}
}

// typing tells whether a person is writing in a field.
func typing(gtx layout.Context) bool {
	o := orderOf(gtx)
	return o != nil && o.typed != nil && gtx.Focused(o.typed)
}

// press is called while a part is pressed by the pointer. A field in which
// something is typed loses the keys to it, so that the text becomes the value
// before the part acts: that may show another value in the field.
func press(gtx layout.Context, tag event.Tag) {
	if o := orderOf(gtx); o != nil && o.typed != nil && gtx.Focused(o.typed) {
		gtx.Execute(key.FocusCmd{Tag: tag})
	}
}

func orderOf(gtx layout.Context) *Order {
	o, _ := gtx.Values[orderKey].(*Order)
	return o
}

// tabs gives the filters of the Tab keys that a field takes itself.
func (o *Order) tabs(field event.Tag) []event.Filter {
	if o == nil {
		return nil
	}
	var all []event.Filter
	b := o.beside[field]
	if b[0] != nil {
		all = append(all, key.Filter{Focus: field, Name: key.NameTab})
	}
	if b[1] != nil {
		all = append(all, key.Filter{Focus: field, Name: key.NameTab, Required: key.ModShift})
	}
	return all
}

// leave gives the keys to the field beside another one.
func (o *Order) leave(gtx layout.Context, field event.Tag, back bool) {
	k := 0
	if back {
		k = 1
	}
	if o.to = o.beside[field][k]; o.to != nil {
		gtx.Execute(key.FocusCmd{Tag: o.to})
		gtx.Execute(op.InvalidateCmd{})
	}
}
