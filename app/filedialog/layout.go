// SPDX-License-Identifier: MIT

package filedialog

import (
	"image"
	"path/filepath"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Layout draws the dialog over the whole room given, when it is open.
func (b *Browser) Layout(gtx layout.Context, th *look.Theme) layout.Dimensions {
	b.act(gtx)
	if !b.IsOpen() {
		return layout.Dimensions{Size: gtx.Constraints.Max}
	}
	title, verb := "Open a file", "Open"
	if b.request.Save {
		title, verb = "Save as", "Save"
	}
	_, chosen := b.rows.Chosen()
	ready := chosen || b.request.Save || b.path.Typed() != b.dir

	card := control.Card(th, &b.card, title)
	card.Fits = true // the list of files scrolls by itself
	card.Width = 640
	under := b.ask.Under(gtx)
	card.Layout(under, func(gtx layout.Context) layout.Dimensions { return b.body(gtx, th) },
		control.Push(th, &b.cancel, "Go back").As(control.Quiet).Layout,
		control.Push(th, &b.accept, verb).As(control.Primary).When(ready).Layout,
	)
	if b.card.Update(under) {
		b.finish(Answer{Err: ErrDeclined})
	}
	if b.ask.IsOpen() {
		control.Card(th, &b.ask, "Replace “"+filepath.Base(b.replace)+"”?").WithGlyph(look.Warning, &th.Caution).Layout(gtx,
			th.Para("A file of this name exists in "+b.dir+". Its contents will be lost.").Layout,
			control.Push(th, &b.no, "Keep it").Layout,
			control.Push(th, &b.yes, "Replace").As(control.Primary).Layout,
		)
		if b.ask.Update(gtx) {
			b.ask.Close()
		}
	}
	return layout.Dimensions{Size: gtx.Constraints.Max}
}

func (b *Browser) body(gtx layout.Context, th *look.Theme) layout.Dimensions {
	parts := []layout.FlexChild{
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return b.places(gtx, th) }),
		look.Gap(2),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return b.listing(gtx, th) }),
		look.Gap(2),
	}
	if b.request.Save {
		parts = append(parts, layout.Rigid(func(gtx layout.Context) layout.Dimensions { return b.naming(gtx, th) }), look.Gap(2))
	}
	parts = append(parts, layout.Rigid(func(gtx layout.Context) layout.Dimensions { return b.kinds(gtx, th) }))
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx, parts...)
}

// places is the path with its buttons.
func (b *Browser) places(gtx layout.Context, th *look.Theme) layout.Dimensions {
	gtx.Constraints.Min.Y = 0
	return layout.Flex{Alignment: layout.Start, Gap: gtx.Dp(look.Unit)}.Layout(gtx,
		layout.Rigid(control.Natural(control.Sign(th, &b.home, look.Home, "Home folder").Layout)),
		layout.Rigid(control.Natural(control.Sign(th, &b.parent, look.Parent, "Folder above").When(filepath.Dir(b.dir) != b.dir).Layout)),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			f := control.Words(th, &b.path, "Folder")
			if !b.request.Save {
				f.Label = "Folder or file"
			}
			return f.Layout(gtx)
		}),
	)
}

// listing is the folder's rows, or why there are none.
func (b *Browser) listing(gtx layout.Context, th *look.Theme) layout.Dimensions {
	rows := 11
	size := image.Pt(gtx.Constraints.Max.X, rows*gtx.Dp(look.Row))
	// Leave room for what stands below in a low window.
	below := gtx.Dp(look.Control)*2 + gtx.Dp(look.Unit)*30
	size.Y = max(min(size.Y, gtx.Constraints.Max.Y-below), 3*gtx.Dp(look.Row))
	frame := image.Rectangle{Max: size}
	draw.Rect(gtx.Ops, frame, th.Field)
	gtx.Constraints = layout.Exact(size)
	line := max(gtx.Dp(unit.Dp(1)), 1)
	if b.err != nil {
		g := gtx
		g.Constraints.Min = image.Point{}
		look.Inset(4).Layout(g, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Warning, 16, th.Caution.Ink) }),
				layout.Flexed(1, th.Para(b.err.Error()).Layout),
			)
		})
		draw.Frame(gtx.Ops, frame, line, th.Line)
		return layout.Dimensions{Size: size}
	}
	s := control.Listing(th, &b.rows, "Files")
	s.Empty = "Nothing here that matches"
	s.Layout(gtx, len(b.items), func(gtx layout.Context, i int) layout.Dimensions {
		it := b.items[i]
		e := control.Entry{Theme: th, Glyph: look.Paper, Text: it.name, Note: ""}
		if it.folder {
			e.Glyph, e.Tone = look.Folder, &th.Accent
		} else {
			e.Note = inWords(it.size)
		}
		return e.Layout(gtx)
	})
	draw.Frame(gtx.Ops, frame, line, th.Line)
	return layout.Dimensions{Size: size}
}

// naming is the name to save under, with where it will go.
func (b *Browser) naming(gtx layout.Context, th *look.Theme) layout.Dimensions {
	return layout.Flex{Axis: layout.Vertical, Gap: gtx.Dp(look.Unit)}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return control.Line(gtx, th, "Name", 64, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				return control.Words(th, &b.name, "Name").Layout(gtx)
			})
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			p, err := b.target(b.name.Typed())
			note := th.Note("writes " + p)
			switch {
			case b.nameErr != nil:
				note = th.Label(look.Small, th.Stop.Ink, b.nameErr.Error())
			case err != nil:
				note = th.Note(err.Error())
			}
			return layout.Inset{Left: 64}.Layout(gtx, note.Layout)
		}),
	)
}

// kinds is which files show.
func (b *Browser) kinds(gtx layout.Context, th *look.Theme) layout.Dimensions {
	f := b.request.Filter
	return control.Bar(gtx, 3,
		func(gtx layout.Context) layout.Dimensions {
			if len(f.Ext) == 0 {
				return layout.Dimensions{}
			}
			name := f.Name
			if name == "" {
				name = "Matching files"
			}
			return control.Pick(th, &b.kind, control.Options(name, "All files")...).Layout(gtx)
		},
		control.Check(th, &b.hidden, "Hidden files").Layout,
	)
}
