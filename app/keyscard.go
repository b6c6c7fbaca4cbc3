// SPDX-License-Identifier: MIT

package app

import (
	"image"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/look"
)

// keysCard lists every key: those of the actions, from their table, and those
// that parts of the window take while they have the keys.
type keysCard struct {
	scroll control.Scroll
	list   []keyRow
}

// keyRow is a line of the list: a heading, or a key and what it does.
type keyRow struct {
	head      string
	key, does string
}

// allKeys opens the list.
func (w *Workbench) allKeys() {
	m := &w.modal
	m.kind, m.keys = keysModal, keysCard{list: w.keyRows()}
	m.card.Open(m.no.Tag())
}

// keyRows makes the list.
func (w *Workbench) keyRows() []keyRow {
	rows := []keyRow{{head: "In the whole window"}}
	later := map[mode][]keyRow{}
	for i := range w.acts {
		a := &w.acts[i]
		if a.say == "" {
			continue
		}
		r := keyRow{key: a.say, does: capital(a.words)}
		if a.special() {
			later[a.mode] = append(later[a.mode], r)
			continue
		}
		rows = append(rows, r)
	}
	rows = append(rows, keyRow{key: "Tab, Shift+Tab", does: "The next part that takes the keys, the one before"},
		keyRow{key: "Enter, Space", does: "Use what has the keys"},
		keyRow{key: "Esc", does: "Take a drag back, leave a card, end a mode"})
	for _, g := range [...]struct {
		of   mode
		head string
	}{
		{whileLive, "While walking live"}, {whileDriving, "While a leg is driven on the stand"},
		{whileTrying, "While a change is tried"}, {whileFlipped, "While a snapshot shows"},
	} {
		if len(later[g.of]) > 0 {
			rows = append(append(rows, keyRow{head: g.head}), later[g.of]...)
		}
	}
	return append(rows, partKeys()...)
}

// partKeys are those that a part of the window takes itself.
func partKeys() []keyRow {
	return []keyRow{
		{head: "On a plate of the page “move”"},
		{key: "arrows", does: "Move the chosen point by 1 mm or 1°, with Shift a tenth"},
		{key: "Page Up, Page Down", does: "The point before, the next one"},
		{key: "S", does: "Make the bend smooth, or a corner"},
		{key: "R", does: "What a dragged point catches on"},
		{key: "Enter", does: "Show this plate alone, or all"},
		{head: "On a mark of the timeline"},
		{key: "←, →", does: "10 ms earlier, later; with Shift 1 ms, with Ctrl later marks stay"},
		{key: "digits, Enter", does: "Put the mark at that time"},
		{head: "In the sequence"},
		{key: "Alt+↑, Alt+↓", does: "Move the entry"},
		{key: "Delete", does: "Take the entry out"},
		{head: "In the strips"},
		{key: "↑, ↓", does: "The strip above, below"},
		{key: "Enter, Shift+Enter", does: "Open or fold it, go to its worst instant"},
		{head: "In a field for a number"},
		{key: "↑, ↓", does: "A step more, less; with Shift ten"},
		{key: "Enter, Esc", does: "Take what is typed, leave it as it was"},
	}
}

// Sizes of the card.
const (
	keysWidth  unit.Dp = 560
	keyColumn  unit.Dp = 168
	keysHeight unit.Dp = 440
)

func (m *modal) layoutKeys(gtx layout.Context, w *Workbench) {
	if m.no.Update(gtx) {
		m.close()
		return
	}
	turnBy(gtx, &m.keys.scroll)
	th := w.th
	card := control.Card(th, &m.card, "All keys")
	card.Width, card.Fits = keysWidth, true
	card.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min.Y = 0
		gtx.Constraints.Max.Y = min(gtx.Constraints.Max.Y, gtx.Dp(keysHeight))
		var rows []layout.Widget
		for i, r := range m.keys.list {
			rows = append(rows, func(gtx layout.Context) layout.Dimensions {
				if r.head != "" {
					top := look.Unit * 3
					if i == 0 {
						top = 0
					}
					return layout.Inset{Top: top, Bottom: look.Unit}.Layout(gtx, th.Strong(r.head).Layout)
				}
				return layout.Inset{Bottom: look.Unit / 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
						layout.Rigid(func(gtx layout.Context) layout.Dimensions {
							gtx.Constraints = layout.Exact(image.Pt(min(gtx.Dp(keyColumn), gtx.Constraints.Max.X/2), 0))
							gtx.Constraints.Max.Y = 1 << 16
							return th.Plain(r.key).Layout(gtx)
						}),
						layout.Flexed(1, control.QuietPara(th, r.does)))
				})
			})
		}
		return m.keys.scroll.Area(gtx, th, rows...)
	}, control.Push(th, &m.no, "Close").As(control.Primary).Layout)
}
