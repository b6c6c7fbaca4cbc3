// SPDX-License-Identifier: MIT

package machine

import (
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// unlike knows in which numbers a leg differs from the others, for the file as
// it was rehearsed last.
type unlike struct {
	doc    *document.Document
	serial int
	leg    int
	of     map[edit.LegNumber]bool
}

// is tells whether another leg has another value for a number.
func (u *unlike) is(d *document.Document, leg int, n edit.LegNumber) bool {
	if u.doc != d || u.serial != d.Serial() || u.leg != leg || u.of == nil {
		*u = unlike{d, d.Serial(), leg, map[edit.LegNumber]bool{}}
	}
	v, ok := u.of[n]
	if !ok {
		v = edit.LegsDiffer(d.File(), leg, n)
		u.of[n] = v
	}
	return v
}

// forAll is a sign beside a number of a leg that other legs have otherwise,
// which gives it to all of them; nil where they have the same, and for what
// each leg has of its own: where it sits and stands.
func (p *Panel) forAll(gtx layout.Context, form *sheet, d *document.Document, leg int, n edit.LegNumber, a amount) layout.Widget {
	switch n.Key {
	case "mount_mm", "heading_deg", "stand_mm":
		return nil
	}
	l := d.File().Legs[leg].Name
	b := p.push("all " + l + " " + a.name)
	if b.Update(gtx) {
		p.took(d.Change("use the "+a.name+" for all legs", func(f *workfile.File) { edit.CopyLegValue(f, leg, n) }))
	}
	if !p.unlike.is(d, leg, n) {
		return nil
	}
	what := a.name
	if n.Key == "range_deg" {
		what = "range" // both ends of it go along
	}
	return func(gtx layout.Context) layout.Dimensions {
		s := control.Sign(form.th, b, look.ToAll, "Another leg has another "+what+": use that of "+l+" for all legs")
		s.Small = true
		return layout.Inset{Top: 3}.Layout(gtx, s.Layout)
	}
}
