// SPDX-License-Identifier: MIT

// Package changes is the map of every change of a file, on a card: a row for
// each gait that becomes another one or goes into a move, a column for each
// instant of its cycle at which that is asked for. It is worked out by
// motion/sweep beside the frames, and a cell of it can be chosen to be looked
// at.
package changes

import (
	"context"
	"errors"
	"fmt"
	"image"
	"time"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/sweep"
	"gaitwright/motion/workfile"
)

// Instants of a cycle where nothing is said: a quarter of the command line's,
// so that it takes a second or two.
const Instants = 25

// Answer is how a frame of the card ended.
type Answer uint8

// The answers.
const (
	Open   Answer = iota // it stays
	Left                 // without choosing
	Chosen               // a cell was chosen to be looked at
)

// Map is the state of the card. What was worked out stays for as long as the
// file is the same. The zero value is ready.
type Map struct {
	Instants int // of a cycle; 0: Instants

	file   *workfile.File
	wake   func()
	work   *work         // nil when nothing is under way
	ended  chan struct{} // of the last work
	result *sweep.Result // nil before it is there
	err    error         // why there is none
	fault  error         // why a cell cannot be looked at

	row, column int // chosen
	grid        grid
	ok, no      control.Button
}

// Open prepares the card for a document and gives what takes the keys first.
// wake asks for a frame from another goroutine, and may be nil.
func (m *Map) Open(d *document.Document, wake func()) (first any) {
	m.wake, m.fault = wake, nil
	m.grid.over, m.grid.reveal = false, true
	m.follow(d)
	return &m.grid
}

// Close ends what is under way. A map that is complete stays.
func (m *Map) Close() {
	if m.work != nil {
		m.work.cancel()
		m.work, m.file = nil, nil
	}
}

// follow begins anew when the document's file is another one than before. A
// file is never written once it is the document's, so its address tells.
func (m *Map) follow(d *document.Document) {
	if m.file == d.File() {
		return
	}
	m.Close()
	m.file, m.result, m.err, m.fault = d.File(), nil, nil, nil
	m.row, m.column = 0, 0
	m.grid.scroll, m.grid.over, m.grid.down = 0, false, false
	n := m.Instants
	if n == 0 {
		n = Instants
	}
	m.work = begin(m.file, n, m.wake)
	m.ended = m.work.ended
}

// Ended gives a channel that is closed when the last work begun has ended and
// has no goroutine left; nil when there was none.
func (m *Map) Ended() <-chan struct{} { return m.ended }

// Running tells whether something is under way.
func (m *Map) Running() bool { return m.work != nil }

// Result is the map of the open file, nil before it is complete.
func (m *Map) Result() *sweep.Result { return m.result }

// Chosen gives the chosen cell and the name of its row.
func (m *Map) Chosen() (name string, c sweep.Cell, ok bool) {
	if m.result == nil || m.row >= len(m.result.Rows) || m.column >= len(m.result.Rows[m.row].Cells) {
		return "", c, false
	}
	r := &m.result.Rows[m.row]
	return r.Name, r.Cells[m.column], true
}

// Fail says on the card why a cell cannot be looked at.
func (m *Map) Fail(err error) { m.fault = err }

// poll is the time between two looks at the progress.
const poll = 50 * time.Millisecond

// collect takes what was worked out, when it is there.
func (m *Map) collect(gtx layout.Context) {
	if m.work == nil {
		return
	}
	select {
	case o := <-m.work.out:
		m.work.cancel()
		m.work = nil
		if m.err = o.err; o.err == nil {
			m.result = o.result
		}
		if errors.Is(o.err, context.Canceled) {
			m.file = nil
		}
		gtx.Execute(op.InvalidateCmd{})
	default:
		gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(poll)})
	}
}

// Layout draws the map on an open card.
func (m *Map) Layout(gtx layout.Context, th *look.Theme, card *control.Modal, d *document.Document) Answer {
	m.follow(d)
	m.collect(gtx)
	if m.no.Update(gtx) {
		return Left
	}
	took := m.take(gtx)
	_, _, can := m.Chosen()
	answer := Open
	if can && (m.ok.Update(gtx) || took) {
		answer = Chosen // drawn all the same: the card may have to say why not
	}
	c := control.Card(th, card, "Every change, at every moment")
	c.Fits = true // the map scrolls by itself
	c.Width = 1180
	no := "Close"
	if m.Running() {
		no = "Stop and close"
	}
	c.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return m.body(gtx, th) },
		control.Push(th, &m.no, no).Layout,
		control.Push(th, &m.ok, "Show this change").As(control.Primary).When(can).WithHint("Enter, or a click on the cell").Layout,
	)
	return answer
}

// body is the card between title and buttons.
func (m *Map) body(gtx layout.Context, th *look.Theme) layout.Dimensions {
	gap := layout.Rigid(layout.Spacer{Height: 8}.Layout)
	note := func(s string) layout.FlexChild {
		l := th.Note(s)
		l.MaxLines = 2
		return layout.Rigid(l.Layout)
	}
	n := m.Instants
	if n == 0 {
		n = Instants
	}
	if m.result != nil {
		m.grid.derive(m.result)
		n = m.result.Instants
	}
	all := []layout.FlexChild{
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return m.state(gtx, th) }),
		note(fmt.Sprintf("Each change asked for at %s of the old gait's cycle, played on the ground and reviewed. "+
			"The command \"gaitwright sweep\" tries %d.", count(n, "instant"), sweep.Instants)),
		gap,
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.Y = 0
			return m.canvas(gtx, th)
		}),
	}
	if m.result != nil && len(m.result.Rows) > 0 {
		all = append(all, gap, layout.Rigid(func(gtx layout.Context) layout.Dimensions { return m.legend(gtx, th) }),
			gap, layout.Rigid(func(gtx layout.Context) layout.Dimensions { return m.reading(gtx, th) }))
	}
	if m.result != nil {
		const most = 3
		lost := unwalked(m.result)
		for i, s := range lost {
			if i == most {
				s = fmt.Sprintf("and %d more", len(lost)-most)
			}
			if i <= most {
				all = append(all, note(s))
			}
		}
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx, all...)
}

// state says how far it is, or what was found.
func (m *Map) state(gtx layout.Context, th *look.Theme) layout.Dimensions {
	line := func(g look.Glyph, tone *look.Tone, s string) layout.Dimensions {
		return layout.Inset{Bottom: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			l := th.Strong(s)
			l.Color, l.MaxLines = tone.Ink, 3
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, g, 16, tone.Ink) }),
				look.Gap(1.5), layout.Flexed(1, l.Layout))
		})
	}
	switch {
	case m.fault != nil:
		return line(look.Warning, &th.Caution, "This change cannot be shown: "+m.fault.Error())
	case m.result != nil:
		s, bad := verdict(m.result)
		if bad {
			return line(look.Halt, &th.Stop, s)
		}
		if len(m.result.Rows) == 0 {
			return line(look.Info, &th.Accent, s)
		}
		return line(look.Tick, &th.Fine, s)
	case m.err != nil:
		return line(look.Warning, &th.Caution, "No map: "+m.err.Error())
	}
	s := "Looking at each gait by itself …"
	if m.work != nil {
		if total := m.work.total.Load(); total > 0 {
			s = fmt.Sprintf("%d of %s tried …", m.work.done.Load(), count(int(total), "change"))
		}
	}
	return line(look.Info, &th.Accent, s)
}

// reading says what the cell under the pointer, or else the chosen one, is.
func (m *Map) reading(gtx layout.Context, th *look.Theme) layout.Dimensions {
	row, column := m.row, m.column
	if m.grid.over {
		row, column = m.grid.at[0], m.grid.at[1]
	}
	r := &m.result.Rows[row]
	c := &r.Cells[column]
	facts := Facts(c)
	sign, ink := look.Tick, th.Fine.Ink
	switch {
	case c.Bad():
		sign, ink = look.Halt, th.Stop.Ink
	case c.Cautions > 0:
		sign, ink = look.Warning, th.Caution.Ink
	}
	said := th.Plain(Said(c))
	parts := []layout.FlexChild{}
	for _, f := range facts {
		parts = append(parts, layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Right: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				name := th.Note(f.Name)
				name.MaxLines = 2
				return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
					layout.Rigid(th.Plain(f.Value).Layout), layout.Rigid(func(gtx layout.Context) layout.Dimensions {
						// As high for every cell, so that nothing moves under the pointer.
						dim := name.Layout(gtx)
						dim.Size.Y = max(dim.Size.Y, gtx.Dp(28))
						return dim
					}))
			})
		}))
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(th.Strong(Title(r.Name, c)).Layout), look.Gap(3),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, sign, 14, ink) }),
				look.Gap(1), layout.Flexed(1, said.Layout))
		}),
		look.Gap(1),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return layout.Flex{}.Layout(gtx, parts...) }),
	)
}

// progress draws how far it is.
func (m *Map) progress(gtx layout.Context, th *look.Theme) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(8))
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, size.Y/2, th.Line)
	if m.work != nil {
		if total := int(m.work.total.Load()); total > 0 {
			size.X = max(size.Y, size.X*int(m.work.done.Load())/total)
			draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, size.Y/2, th.Accent.Fill)
		}
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, size.Y)}
}
