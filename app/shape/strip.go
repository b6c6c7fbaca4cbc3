// SPDX-License-Identifier: MIT

package shape

import (
	"fmt"
	"image"
	"math"

	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/workfile/edit"
)

// strip is the chosen track in time: a bar a span, as wide as the span is long,
// with the name of the mark on which it ends. As one stop of the Tab key it
// moves by the arrow keys; Delete takes the chosen span out.
type strip struct {
	bars []int // px at which the bars end, of the last frame
	tags []*byte
	tips map[int]*control.Tip // of the spans whose name is cut
}

const stripHeight unit.Dp = 22

// update answers the pointer and the keys; it tells whether the chosen span is
// to be deleted.
func (s *strip) update(gtx layout.Context, p *Panel, d *document.Document, at *document.Place) (remove bool) {
	for {
		ev, ok := gtx.Event(
			pointer.Filter{Target: s, Kinds: pointer.Press},
			key.FocusFilter{Target: s},
			key.Filter{Focus: s, Name: key.NameLeftArrow}, key.Filter{Focus: s, Name: key.NameRightArrow},
			key.Filter{Focus: s, Name: key.NameHome}, key.Filter{Focus: s, Name: key.NameEnd},
			key.Filter{Focus: s, Name: key.NameDeleteForward}, key.Filter{Focus: s, Name: key.NameDeleteBackward},
		)
		if !ok {
			return remove
		}
		n, _ := spans(d, at)
		switch e := ev.(type) {
		case pointer.Event:
			gtx.Execute(key.FocusCmd{Tag: s})
			for i, x := range s.bars {
				if int(e.Position.X) < x && i < n {
					p.chooseSpan(d, at, i)
					break
				}
			}
		case key.Event:
			if e.State != key.Press || n == 0 {
				continue
			}
			to := at.Span
			switch e.Name {
			case key.NameLeftArrow:
				to--
			case key.NameRightArrow:
				to++
			case key.NameHome:
				to = 0
			case key.NameEnd:
				to = n - 1
			default:
				remove = true
				continue
			}
			if to = max(0, min(to, n-1)); to != at.Span {
				p.chooseSpan(d, at, to)
			}
		}
	}
}

func (s *strip) layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	m := &d.File().Moves[at.Move]
	n, to := spans(d, at)
	size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(stripHeight))
	box := image.Rectangle{Max: size}
	defer clip.UniformRRect(box, gtx.Dp(look.Corner)).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, s)
	control.Reachable(gtx, s)
	semantic.LabelOp(spanWords(at, n, to)).Add(gtx.Ops)
	semantic.DescriptionOp("the spans of the track in time").Add(gtx.Ops)
	pointer.CursorPointer.Add(gtx.Ops)
	draw.Rect(gtx.Ops, box, th.Canvas)
	length := edit.MoveLength(m)
	if length <= 0 {
		return layout.Dimensions{Size: size}
	}
	px := func(ms float64) int { return int(math.Round(ms / length * float64(size.X))) }
	s.bars = s.bars[:0]
	for len(s.tags) < n {
		s.tags = append(s.tags, new(byte))
	}
	for i := range n {
		from, end, _ := edit.SpanTimes(d.File(), edit.Spot{Move: at.Move, Track: at.Track, Span: i})
		s.bars = append(s.bars, px(end))
		s.bar(gtx, th, d, at, i, image.Rect(px(from), 0, px(end), size.Y), end-from)
	}
	if ms, _, ok := moment(d, at); ok {
		x := min(px(ms), size.X-1)
		wide := max(gtx.Dp(1.5), 1)
		draw.Rect(gtx.Ops, image.Rect(x-wide/2, 0, x-wide/2+wide, size.Y), th.Text)
	}
	draw.Frame(gtx.Ops, box, max(1, gtx.Dp(1)), look.Mix(th.Line, th.Edge, 0.45))
	if gtx.Focused(s) {
		draw.Frame(gtx.Ops, box, max(2, gtx.Dp(2)), th.Focus)
	}
	return layout.Dimensions{Size: size}
}

// bar draws one span. A foot that stands has a thick line below, as in the
// timeline; one on its way has none.
func (s *strip) bar(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, i int, box image.Rectangle, ms float64) {
	m := &d.File().Moves[at.Move]
	name, stands := "", false
	if at.Track < 0 {
		name = m.Body[i].To
	} else {
		sp := &m.Feet[at.Track].Spans[i]
		name, stands = sp.To, sp.Hold == "planted"
	}
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.RadioButton.Add(gtx.Ops)
	semantic.LabelOp(fmt.Sprintf("span to “%s”", name)).Add(gtx.Ops)
	semantic.SelectedOp(i == at.Span).Add(gtx.Ops)
	event.Op(gtx.Ops, s.tags[i])
	for { // asking for presses makes it known as something to click
		if _, ok := gtx.Event(pointer.Filter{Target: s.tags[i], Kinds: pointer.Press}); !ok {
			break
		}
	}
	ink := th.Dim
	if i == at.Span {
		draw.Rect(gtx.Ops, box, th.Accent.Wash)
		ink = th.Accent.Ink
	} else {
		draw.Rect(gtx.Ops, box, look.Mix(th.Canvas, th.Text, 0.05+0.05*float64(i%2)))
	}
	if stands {
		draw.Rect(gtx.Ops, image.Rect(box.Min.X, box.Max.Y-gtx.Dp(4), box.Max.X, box.Max.Y), look.Mix(th.Canvas, th.RobotFar, 0.82))
	}
	if i == at.Span {
		draw.Rect(gtx.Ops, image.Rect(box.Min.X, box.Max.Y-gtx.Dp(2), box.Max.X, box.Max.Y), th.Accent.Ink)
	}
	if i > 0 {
		draw.Rect(gtx.Ops, image.Rect(box.Min.X, 0, box.Min.X+max(1, gtx.Dp(1)), box.Max.Y), th.Line)
	}
	pad := gtx.Dp(look.Unit)
	room := box.Dx() - 2*pad
	l := th.Label(look.Small, ink, name)
	if i == at.Span {
		l.Font.Weight = font.Bold
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(1<<14, box.Dy())}
	whole := op.Record(gtx.Ops)
	wide := l.Layout(g).Size.X
	whole.Stop()
	if wide > room {
		s.cut(gtx, th, i, box, fmt.Sprintf("Span %d, to “%s”, %s ms", i+1, name, draw.Number(ms, 0)))
	}
	if room < gtx.Dp(8) || wide > room && room < gtx.Dp(20) {
		return
	}
	g.Constraints.Max.X = room
	rec := op.Record(gtx.Ops)
	dim := l.Layout(g)
	call := rec.Stop()
	o := op.Offset(image.Pt(box.Min.X+pad, (box.Dy()-gtx.Dp(2)-dim.Size.Y)/2)).Push(gtx.Ops)
	call.Add(gtx.Ops)
	o.Pop()
}

// cut has a span whose name does not fit say it under the pointer.
func (s *strip) cut(gtx layout.Context, th *look.Theme, i int, box image.Rectangle, words string) {
	if s.tips == nil {
		s.tips = map[int]*control.Tip{}
	}
	if s.tips[i] == nil {
		s.tips[i] = new(control.Tip)
	}
	defer op.Offset(box.Min).Push(gtx.Ops).Pop()
	s.tips[i].Layout(gtx, th, words, func(gtx layout.Context) layout.Dimensions { return layout.Dimensions{Size: box.Size()} })
}

// spanWords says which span is chosen.
func spanWords(at *document.Place, n int, to string) string {
	if n == 0 {
		return "no span"
	}
	return fmt.Sprintf("span %d of %d, to “%s”", at.Span+1, n, to)
}
