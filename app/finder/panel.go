// SPDX-License-Identifier: MIT

package finder

import (
	"fmt"
	"image"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
	"gioui.org/widget/material"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Panel is the state of the search. Open it before its first layout.
type Panel struct {
	items  []Item
	shown  []int // indices of items, the best first
	typed  string
	ranked bool

	field control.Text
	rows  control.Rows

	aboutHeight unit.Dp
}

// Open takes the things to find and forgets what was typed. It returns the tag
// that is to have the keys.
func (p *Panel) Open(items []Item) any {
	*p = Panel{items: items}
	return p.field.Tag()
}

// Typed is what stands in the field.
func (p *Panel) Typed() string { return p.typed }

// Found gives the items that fit, the best first.
func (p *Panel) Found() []Item {
	out := make([]Item, len(p.shown))
	for i, n := range p.shown {
		out[i] = p.items[n]
	}
	return out
}

// rank looks again when something else is typed.
func (p *Panel) rank() {
	if t := p.field.Typed(); !p.ranked || t != p.typed {
		p.typed, p.ranked = t, true
		p.shown = Rank(p.items, t)
		p.rows.Choose(-1)
		if len(p.shown) > 0 {
			p.rows.Choose(0)
		}
	}
}

// update takes the keys. It returns the item to do, if one was taken, and
// whether the search was left.
func (p *Panel) update(gtx layout.Context) (take *Item, left bool) {
	tag := p.field.Tag()
	const page = 8
	for {
		ev, ok := gtx.Event(
			key.Filter{Name: key.NameEscape},
			key.Filter{Focus: tag, Name: key.NameUpArrow}, key.Filter{Focus: tag, Name: key.NameDownArrow},
			key.Filter{Focus: tag, Name: key.NamePageUp}, key.Filter{Focus: tag, Name: key.NamePageDown},
			key.Filter{Focus: tag, Name: key.NameReturn}, key.Filter{Focus: tag, Name: key.NameEnter},
		)
		if !ok {
			break
		}
		e, isKey := ev.(key.Event)
		if !isKey || e.State != key.Press {
			continue
		}
		p.rank() // by what was typed before this key
		switch e.Name {
		case key.NameEscape:
			return nil, true
		case key.NameUpArrow:
			p.step(-1)
		case key.NameDownArrow:
			p.step(1)
		case key.NamePageUp:
			p.step(-page)
		case key.NamePageDown:
			p.step(page)
		default:
			if i, ok := p.rows.Chosen(); ok {
				return p.taken(i), false
			}
		}
	}
	p.field.Update(gtx)
	p.rank()
	for {
		e, ok := p.rows.Update(gtx)
		if !ok {
			return take, false
		}
		if e.Open || e.Pointer {
			take = p.taken(e.Index)
		}
	}
}

// taken gives a row's item if it can be done now.
func (p *Panel) taken(row int) *Item {
	if row < 0 || row >= len(p.shown) {
		return nil
	}
	if it := &p.items[p.shown[row]]; it.Why == "" && it.Do != nil {
		return it
	}
	return nil
}

func (p *Panel) step(by int) {
	if len(p.shown) == 0 {
		return
	}
	i, ok := p.rows.Chosen()
	if !ok {
		i = 0
	}
	p.rows.Choose(min(max(i+by, 0), len(p.shown)-1))
}

// Sizes of the card.
const (
	cardWidth unit.Dp = 560
	kindWidth unit.Dp = 72
	mostRows          = 11

	lowRoom unit.Dp = 420 // of the window: then there is less room for words
)

// Layout draws the card over the window and answers it. It returns the item to
// do, if one was taken, and whether the search was left.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, m *control.Modal) (take *Item, left bool) {
	take, left = p.update(gtx)
	card := control.Card(th, m, "Find")
	card.Width, card.Top, card.Fits = cardWidth, true, true
	p.aboutHeight = look.Unit * 16
	if gtx.Constraints.Max.Y < gtx.Dp(lowRoom) {
		p.aboutHeight = look.Unit * 11
	}
	card.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				f := control.Words(th, &p.field, "find an action, a place or a term")
				f.Hint = "an action, a place, a finding, a term"
				return f.Layout(gtx)
			}),
			look.Gap(2),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions { return p.list(gtx, th) }),
			look.Gap(2),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return p.about(gtx, th) }),
		)
	})
	return take, left
}

// list draws the rows.
func (p *Panel) list(gtx layout.Context, th *look.Theme) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, min(mostRows*gtx.Dp(look.Row), gtx.Constraints.Max.Y))
	gtx.Constraints = layout.Exact(size)
	l := control.Listing(th, &p.rows, "what fits")
	l.Empty = "Nothing fits. Try another word, or fewer."
	l.Name = func(i int) string { return p.items[p.shown[i]].Name }
	return l.Layout(gtx, len(p.shown), func(gtx layout.Context, i int) layout.Dimensions {
		return row(gtx, th, &p.items[p.shown[i]])
	})
}

// row draws one item: what it is, its name, and its shortcut or why not.
func row(gtx layout.Context, th *look.Theme, it *Item) layout.Dimensions {
	size := gtx.Constraints.Max
	ink, note := th.Text, it.Keys
	if it.Why != "" {
		ink, note = th.Dim, it.Why
	}
	// All are centred in height by their own.
	put := func(x, room int, right bool, l material.LabelStyle) int {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(max(room, 0), size.Y)}
		m := op.Record(gtx.Ops)
		d := l.Layout(g)
		call := m.Stop()
		if right {
			x -= d.Size.X
		}
		defer op.Offset(image.Pt(x, (size.Y-d.Size.Y)/2)).Push(gtx.Ops).Pop()
		call.Add(gtx.Ops)
		return d.Size.X
	}
	gap := gtx.Dp(look.Unit * 2)
	from := min(gtx.Dp(kindWidth), size.X/4)
	put(0, from-gap, false, th.Label(look.Small, th.Dim, it.Kind))
	width := put(size.X, size.X/2, true, th.Label(look.Small, th.Dim, note))
	put(from, size.X-from-width-gap, false, th.Label(look.Body, ink, it.Name))
	return layout.Dimensions{Size: size}
}

// about says what the chosen item is. It always has the same height, so that
// the card does not jump.
func (p *Panel) about(gtx layout.Context, th *look.Theme) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, min(gtx.Dp(p.aboutHeight), gtx.Constraints.Max.Y))
	text := ""
	if i, ok := p.rows.Chosen(); ok && i < len(p.shown) {
		it := &p.items[p.shown[i]]
		text = it.Hint
		if it.Why != "" {
			text = fmt.Sprintf("Not now: %s. %s", it.Why, it.Hint)
		}
	}
	draw.Rect(gtx.Ops, image.Rect(0, 0, size.X, max(gtx.Dp(1), 1)), th.Line)
	g := gtx
	g.Constraints = layout.Constraints{Max: size}
	layout.Inset{Top: look.Unit * 2}.Layout(g, func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Body, th.Text, text)
		l.MaxLines = 3
		return l.Layout(gtx)
	})
	return layout.Dimensions{Size: size}
}
