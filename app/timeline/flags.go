// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"math"
	"strconv"
	"strings"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/motion"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// flagged is a mark of a move as an entry plays it.
type flagged struct {
	move, mark int         // of the workfile
	name       string      // of the mark
	part       motion.Part // of the sequence
}

// time gives when a time of the move (ms) comes in this entry, s.
func (f *flagged) time(ms float64) float64 { return f.part.From + ms/1000/f.part.Speed }

// retiming is a mark of a move that is dragged in time. The later marks move
// along, or stay while Shift is down.
type retiming struct {
	flagged
	grip   document.Grip
	axis   axis // when it began: the motion's length changes under the hand
	press  float32
	moved  bool
	began  float64 // time of the mark in the move when it began, ms
	to     float64 // the time asked for, ms
	alone  bool
	thawed bool // the window showed all when it began, and shall again
}

// Steps of the arrow keys, ms.
const (
	markStep = 10
	markFine = 1
)

// flagAt gives the mark of the workfile that a mark of the motion is, none
// where something else than the file shows.
func (p *Panel) flagAt(i int, d *document.Document) (f flagged, ok bool) {
	if d.Showing() || i < 0 || i >= len(p.derived.marks) {
		return f, false
	}
	m, r := p.derived.marks[i], d.Result()
	const hair = 1e-9
	for k := range r.Trajectory.Parts {
		q := r.Trajectory.Parts[k]
		if q.Kind != "move" || m.At <= q.From+hair || m.At > q.To+hair || !(q.Speed > 0) || q.Index >= len(r.Built.Script.Seq) {
			continue
		}
		f = flagged{move: r.Built.Script.Seq[q.Index].Move, name: m.Name, part: q}
		f.mark = edit.MarkIndex(d.File(), f.move, f.name)
		return f, f.mark >= 0
	}
	return f, false
}

// holdFlag begins a drag of a mark.
func (p *Panel) holdFlag(i int, q f32.Point, d *document.Document) {
	f, ok := p.flagAt(i, d)
	if !ok {
		return
	}
	length := d.Result().Trajectory.Duration()
	at := d.File().Moves[f.move].Marks[f.mark].At
	p.grip = flagGrip
	p.chosen = i
	p.flag = retiming{flagged: f, axis: p.axis(length), press: q.X, began: at, to: at, thawed: p.window.all()}
	p.flag.grip.Take()
	if p.flag.thawed { // what shows stays while the hand is down
		p.window = window{0, length}
	}
}

// dragFlag moves the mark that is held.
func (p *Panel) dragFlag(gtx layout.Context, e pointer.Event) {
	s := &p.flag
	s.moved = s.moved || abs(e.Position.X-s.press) > float32(gtx.Dp(dragReach))
	if !s.moved {
		return
	}
	s.alone = e.Modifiers.Contain(key.ModShift)
	s.to = s.began + (s.axis.time(float64(e.Position.X))-s.axis.time(float64(s.press)))*s.part.Speed*1000
	s.grip.Ask()
}

// applyFlag takes what the drag asks for: once a frame, however many events
// came. The mark stops where another one or the longest move is in its way.
func (p *Panel) applyFlag(d *document.Document, at *document.Place) {
	s := &p.flag
	if s.grip.Due(d) {
		p.retime(d, at, &s.flagged, s.to, s.alone)
	} else if p.grip == flagGrip && !s.grip.Held() { // taken back under the hand
		p.endFlag()
	}
}

// retime puts a mark as near as it can come to a time, ms, and goes there.
func (p *Panel) retime(d *document.Document, at *document.Place, s *flagged, to float64, alone bool) {
	err := d.Drag("move a mark in time", func(f *workfile.File) {
		least, most := edit.RetimeRange(f, s.move, s.mark, !alone)
		v := max(least, min(math.Round(to), most))
		_ = edit.Retime(f, s.move, s.mark, v, !alone) // within the range: nothing to refuse
	})
	if err != nil {
		return
	}
	at.Playing = false
	at.GoTo(d, s.time(d.File().Moves[s.move].Marks[s.mark].At))
	p.derived.update(d)
}

// letGoFlag ends the drag and makes it one undo step.
func (p *Panel) letGoFlag(d *document.Document, at *document.Place) {
	if p.flag.grip.Held() {
		p.applyFlag(d, at)
		p.flag.grip.Let()
		d.Drop()
	}
	p.endFlag()
}

// cancelFlag takes the drag back.
func (p *Panel) cancelFlag(d *document.Document) {
	p.flag.grip.Cancel(d)
	p.endFlag()
}

func (p *Panel) endFlag() {
	if p.flag.thawed {
		p.flag.thawed = false
		p.window = window{}
	}
	if p.grip == flagGrip {
		p.grip = resting
	}
}

// flagKeys are the keys that the marks take while they have the focus, beside
// digits.
var flagKeys = [...]key.Name{
	key.NameLeftArrow, key.NameRightArrow, key.NameUpArrow, key.NameDownArrow, key.NameHome, key.NameEnd,
	key.NameReturn, key.NameEnter,
}

// takeFlagKeys answers the keys while the marks have the focus: up and down
// choose one, left and right move it in time, a typed time puts it there.
func (p *Panel) takeFlagKeys(gtx layout.Context, d *document.Document, at *document.Place) {
	filters := []event.Filter{key.FocusFilter{Target: &p.marks}}
	for _, n := range flagKeys {
		filters = append(filters, key.Filter{Focus: &p.marks, Name: n, Optional: key.ModShift | key.ModShortcut})
	}
	for _, r := range "0123456789." {
		filters = append(filters, key.Filter{Focus: &p.marks, Name: key.Name(r)})
	}
	if p.typed != "" {
		filters = append(filters, key.Filter{Focus: &p.marks, Name: key.NameDeleteBackward}, key.Filter{Focus: &p.marks, Name: key.NameEscape})
	}
	for {
		ev, ok := gtx.Event(filters...)
		if !ok {
			break
		}
		switch e := ev.(type) {
		case key.FocusEvent:
			p.typed = ""
			if e.Focus {
				p.chooseFlag(at)
			}
		case key.Event:
			if e.State == key.Press {
				p.flagKey(e, d, at)
				gtx.Execute(op.InvalidateCmd{}) // for the keys that a typed time takes
			}
		}
	}
}

// chooseFlag takes the last mark up to the present time.
func (p *Panel) chooseFlag(at *document.Place) {
	p.chosen = 0
	for i, m := range p.derived.marks {
		if m.At <= at.Time+1e-6 {
			p.chosen = i
		}
	}
}

func (p *Panel) flagKey(e key.Event, d *document.Document, at *document.Place) {
	n := len(p.derived.marks)
	if n == 0 {
		return
	}
	p.chosen = max(0, min(p.chosen, n-1))
	look := func(i int) {
		p.typed = ""
		p.chosen = max(0, min(i, n-1))
		at.Playing = false
		at.GoTo(d, p.derived.marks[p.chosen].At)
	}
	step := 0.0
	switch e.Name {
	case key.NameUpArrow:
		look(p.chosen - 1)
	case key.NameDownArrow:
		look(p.chosen + 1)
	case key.NameHome:
		look(0)
	case key.NameEnd:
		look(n - 1)
	case key.NameLeftArrow:
		step = -1
	case key.NameRightArrow:
		step = 1
	case key.NameDeleteBackward:
		p.typed = p.typed[:max(0, len(p.typed)-1)]
	case key.NameEscape:
		p.typed = ""
	case key.NameReturn, key.NameEnter:
		v, err := strconv.ParseFloat(p.typed, 64)
		if p.typed == "" || err != nil {
			look(p.chosen)
			break
		}
		p.typed = ""
		if f, ok := p.flagAt(p.chosen, d); ok {
			if now := d.File().Moves[f.move].Marks[f.mark].At; v != now {
				p.retime(d, at, &f, v, e.Modifiers.Contain(key.ModShortcut))
				d.Drop()
			}
		}
	default:
		if len(p.typed) < 9 && !(e.Name == "." && strings.Contains(p.typed, ".")) {
			p.typed += string(e.Name)
		}
	}
	if step == 0 {
		return
	}
	f, ok := p.flagAt(p.chosen, d)
	if !ok {
		return
	}
	by := float64(markStep)
	if e.Modifiers.Contain(key.ModShift) {
		by = markFine
	}
	p.typed = ""
	p.retime(d, at, &f, d.File().Moves[f.move].Marks[f.mark].At+step*by, e.Modifiers.Contain(key.ModShortcut))
	d.Drop()
}

// flagLane makes the marks a stop of the Tab key, with a border round the one
// that has the keys.
func (w *painter) flagLane() {
	marks := w.derived.marks
	if len(marks) == 0 || !w.gtx.Enabled() {
		return
	}
	g, gtx, th := &w.lanes, w.gtx, w.th
	box := g.marks
	box.Min.X = g.x0 - gtx.Dp(edge)
	area := clip.Rect(box).Push(gtx.Ops)
	event.Op(gtx.Ops, &w.marks)
	control.Reachable(gtx, &w.marks)
	w.chosen = max(0, min(w.chosen, len(marks)-1))
	semantic.LabelOp("marks in time").Add(gtx.Ops)
	semantic.DescriptionOp(w.flagWords(w.chosen)).Add(gtx.Ops)
	area.Pop()
	if !gtx.Focused(&w.marks) {
		return
	}
	for i := range w.spots {
		if s := w.spots[i]; s.kind == markSpot && s.index == w.chosen {
			draw.Frame(gtx.Ops, s.box.Intersect(image.Rectangle{Max: g.size}), max(gtx.Dp(2), 1), th.Focus)
		}
	}
}

// flagWords says what a mark is and where it stands in its move.
func (w *painter) flagWords(i int) string {
	m := w.derived.marks[i]
	f, ok := w.flagAt(i, w.d)
	if !ok {
		return m.Name + ", " + draw.Number(m.At, 3) + " s"
	}
	ms := w.d.File().Moves[f.move].Marks[f.mark].At
	return m.Name + ", " + draw.Number(m.At, 3) + " s, at " + draw.Number(ms, 0) + " ms of " + w.d.File().Moves[f.move].Name
}

// tellFlag says in words where the mark under the pointer, the one held, or the
// one with the keys stands, and reports whether there was something to say.
func (w *painter) tellFlag() bool {
	i, tail := -1, ""
	switch {
	case w.grip == flagGrip && w.flag.moved:
		i, tail = w.chosen, "; later marks move along, with Shift they stay"
		if w.flag.alone {
			tail = "; later marks stay"
		}
	case w.typed != "" && w.gtx.Focused(&w.marks):
		i = w.chosen
	case w.gtx.Focused(&w.marks) && !w.over:
		i, tail = w.chosen, " (← → 10 ms, with Shift 1 ms, or type ms)"
	}
	for _, s := range w.spots {
		if s.kind != markSpot || s.index != i {
			continue
		}
		text := w.flagWords(i) + tail
		if w.typed != "" && w.grip != flagGrip {
			text = w.derived.marks[i].Name + " to " + w.typed + " ms of the move: Enter takes it"
		}
		w.card(s, text)
		return true
	}
	return false
}
