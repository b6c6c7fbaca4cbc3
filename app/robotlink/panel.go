// SPDX-License-Identifier: MIT

package robotlink

import (
	"errors"
	"fmt"
	"image"
	"strings"
	"time"

	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/link"
	"gaitwright/link/follow"
)

var errOther = errors.New("the file is now of a robot with other channels: close the port and open it again")

// Panel is the page for the robot on a line. Ports must be set; the zero value
// of the rest is ready.
type Panel struct {
	Ports Ports
	// OpenLog and SaveLog ask for a file, nil where that cannot be.
	OpenLog, SaveLog func()

	wire    *wire
	refused error  // of the last act
	told    string // of the last recording
	names   []string
	listed  bool
	feet    uint16
	known   bool
	seen    Seen

	scroll      control.Scroll
	port        control.Menu
	name        string
	again       control.Button
	baud        control.Number
	bound       control.Number
	hold        control.Number
	open, shut  control.Button
	clear       control.Toggle
	ask, arm    control.Button
	stop, limpB control.Button
	override    control.Button
	logs        control.Button
	load, save  control.Button
	hide        control.Toggle
	forget      control.Button
	touch       control.Rows
	follow      control.Rows
	begun       bool
}

// Typing tells whether a field has the keys.
func (p *Panel) Typing(gtx layout.Context) bool {
	return p.baud.Focused(gtx) || p.bound.Focused(gtx) || p.hold.Focused(gtx)
}

func (p *Panel) begin() {
	if p.begun {
		return
	}
	p.begun = true
	p.baud = control.Number{Value: 115200, Min: 1200, Max: 4000000, Step: 1200}
	p.bound = control.Number{Value: 120, Min: 1, Max: 1000, Step: 10, Unit: "°/s"}
	p.hold = control.Number{Value: 5, Min: 0, Max: 60, Step: 1, Decimals: 1, Unit: "s"}
}

// list looks which ports there are.
func (p *Panel) list() {
	p.listed = true
	p.names, p.refused = nil, nil
	if p.Ports.List == nil {
		return
	}
	p.names, p.refused = p.Ports.List()
	for _, n := range p.names {
		if n == p.name {
			return
		}
	}
	p.name = ""
	if len(p.names) > 0 {
		p.name = p.names[len(p.names)-1] // what was plugged in last is often the last
	}
}

// Layout fills the constraints.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	p.begin()
	if !p.listed {
		p.list()
	}
	p.update(gtx, d, at)
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	p.refresh(d)
	var pinned, rows []layout.Widget
	switch {
	case p.wire == nil:
		rows = p.closed(th)
	case p.Live():
		pinned, rows = p.armed(th)
	default:
		pinned, rows = p.disarmed(th)
	}
	rows = append(rows, p.reports(th)...)
	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			if len(pinned) == 0 {
				return layout.Dimensions{}
			}
			d := beside(func(gtx layout.Context) layout.Dimensions {
				return layout.Inset{Top: look.Unit * 2, Bottom: look.Unit * 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					return control.Column(gtx, 1, pinned...)
				})
			})(gtx)
			draw.Rect(gtx.Ops, image.Rect(0, d.Size.Y-gtx.Dp(1), d.Size.X, d.Size.Y), th.Line)
			return d
		}),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			parts := []layout.Widget{layout.Spacer{Height: look.Unit * 2}.Layout}
			for _, w := range rows {
				parts = append(parts, beside(func(gtx layout.Context) layout.Dimensions {
					return layout.Inset{Bottom: look.Unit * 2}.Layout(gtx, w)
				}))
			}
			return p.scroll.Area(gtx, th, parts...)
		}),
	)
}

// beside leaves room on both sides.
func beside(w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Left: look.Unit * 2.5, Right: look.Unit * 2.5}.Layout(gtx, w)
	}
}

// update does what was pressed since the last frame.
func (p *Panel) update(gtx layout.Context, d *document.Document, at *document.Place) {
	if i, ok := p.port.Update(gtx); ok && i < len(p.names) {
		p.name = p.names[i]
	}
	p.baud.Update(gtx)
	p.bound.Update(gtx)
	p.hold.Update(gtx)
	p.clear.Update(gtx)
	if p.again.Update(gtx) {
		p.list()
	}
	if p.open.Update(gtx) && p.wire == nil && p.name != "" {
		p.connect(d, p.name, int(p.baud.Value))
	}
	if p.load.Update(gtx) && p.OpenLog != nil {
		p.OpenLog()
	}
	if p.save.Update(gtx) && p.SaveLog != nil {
		p.SaveLog()
	}
	if p.forget.Update(gtx) {
		p.seen, p.told = Seen{}, ""
	}
	p.hide.Update(gtx)
	p.rowsUpdate(gtx, d, at)
	if p.wire == nil {
		return
	}
	if p.shut.Update(gtx) {
		p.Close()
		p.listed = false
		return
	}
	tell := func(err error) {
		if err != nil {
			p.refused = err
		} else {
			p.refused = nil
		}
	}
	if p.ask.Update(gtx) {
		at.Playing = false
		tell(p.wire.do(func(h *link.Host, now time.Time) error { return h.Ask(now) }))
	}
	if p.arm.Update(gtx) {
		tell(p.wire.do(func(h *link.Host, now time.Time) error { return h.Arm(now) }))
	}
	if p.stop.Update(gtx) {
		at.Playing = false
		p.Stop()
	}
	if p.limpB.Update(gtx) {
		at.Playing = false
		p.limp()
	}
	if p.override.Update(gtx) {
		tell(p.wire.do(func(h *link.Host, _ time.Time) error { h.Override(); return nil }))
	}
	if p.logs.Update(gtx) {
		if p.wire.log.on {
			p.endLog(p.wire, "")
		} else {
			p.beginLog(p.wire)
		}
	}
}

const named unit.Dp = 96 // width of the names

func line(th *look.Theme, name string, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions { return control.Line(gtx, th, name, named, w) }
}

// pair lays two lines of a form beside each other, or below each other where
// there is little room.
func pair(a, b layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		if gtx.Constraints.Max.X < gtx.Dp(2*(named+95)) {
			return control.Column(gtx, 1, a, b)
		}
		return layout.Flex{}.Layout(gtx, layout.Flexed(1, a), layout.Flexed(1, b))
	}
}

// said shows why the last act was refused.
func (p *Panel) said(th *look.Theme, rows []layout.Widget) []layout.Widget {
	if p.refused == nil {
		return rows
	}
	return append(rows, control.Remark(th, look.Warning, th.Stop.Ink, control.Sentence(strings.TrimPrefix(p.refused.Error(), "link: "))))
}

// closed shows how to open a port.
func (p *Panel) closed(th *look.Theme) []layout.Widget {
	rows := []layout.Widget{func(gtx layout.Context) layout.Dimensions { return control.Header(gtx, th, "Robot on a line") },
		control.NotePara(th, "A controller with the receiving side (gait_link, in the table's folder or from “gaitwright export --with-player”) follows what this window shows: the pose at the present time, a leg that you move by hand on the stand, or the motion as it plays.")}
	var items []control.MenuItem
	for _, n := range p.names {
		items = append(items, control.MenuItem{Text: n, On: n == p.name})
	}
	where := control.Para(th, "none")
	if len(p.names) == 0 {
		rows = append(rows, control.Remark(th, look.Info, th.Accent.Ink, "No serial port is there. Plug the controller in, then look again."))
	} else {
		where = control.Natural(control.Drop(th, &p.port, p.name, items...).Layout)
	}
	number := func(n *control.Number, label string) layout.Widget {
		a := control.Amount(th, n, label)
		a.Brief = true
		return a.Layout
	}
	rows = append(rows,
		pair(line(th, "port", where), line(th, "bit/s", number(&p.baud, "speed of the port"))),
		pair(line(th, "joints at most", number(&p.bound, "greatest speed of a joint")),
			line(th, "then limp after", number(&p.hold, "time that the robot holds when the line is silent"))),
		func(gtx layout.Context) layout.Dimensions {
			return control.Bar(gtx, 2,
				control.Push(th, &p.open, "Open the port").As(control.Primary).When(p.name != "").Layout,
				control.Push(th, &p.again, "Look again").WithHint("Look which ports there are").Layout)
		},
	)
	return p.said(th, rows)
}

// head says where the line goes and what the robot does.
func (p *Panel) head(th *look.Theme) []layout.Widget {
	w := p.wire
	rows := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
		return control.Header(gtx, th, w.name, control.Push(th, &p.shut, "Close the port").Layout)
	}}
	switch {
	case w.err != nil:
		return append(rows, control.Remark(th, look.Warning, th.Stop.Ink, control.Sentence(strings.TrimPrefix(w.err.Error(), "link: "))))
	case !w.view.There:
		return append(rows, control.Remark(th, look.Info, th.Accent.Ink, "No robot answers yet. Does the firmware run, and is the speed of the port right?"))
	}
	sign, tone := look.Info, &th.Accent
	if w.view.State.Live() {
		sign, tone = look.Warning, &th.Caution
	}
	rows = append(rows, control.Remark(th, sign, tone.Ink, "The robot: "+w.view.State.String()+"."))
	if s := w.view.Fault.String(); s != "" {
		rows = append(rows, control.Remark(th, look.Warning, th.Stop.Ink, control.Sentence(s)))
	}
	return rows
}

// channels tells what the robot said of itself, and what the line damaged.
func (p *Panel) channels(th *look.Theme) layout.Widget {
	w := p.wire
	said := fmt.Sprintf("%d channels, at most %s µs a millisecond of its own; joints turn at most %s °/s.", w.view.Info.Channels,
		draw.Number(w.view.Info.Speed/1000, 1), draw.Number(w.bound, 0))
	if n := w.view.Dropped + w.view.Bad; n > 0 {
		said += fmt.Sprintf(" Damaged on the line: %d there, %d here.", w.view.Dropped, w.view.Bad)
	}
	return control.NotePara(th, said)
}

// disarmed shows the cautions and the two acts.
func (p *Panel) disarmed(th *look.Theme) (pinned, rows []layout.Widget) {
	w := p.wire
	pinned = p.head(th)
	if w.err != nil || !w.view.There {
		return p.said(th, pinned), nil
	}
	blocked := w.blocked()
	if blocked != "" {
		pinned = append(pinned, control.Remark(th, look.Halt, th.Stop.Ink, "The review stops the pose at the present time: "+ended(blocked)), p.allTheSame(th))
	}
	return p.said(th, pinned), append(rows, p.cautions(th),
		func(gtx layout.Context) layout.Dimensions {
			return control.Bar(gtx, 2,
				control.Check(th, &p.clear, "all of this is so").Layout,
				control.Push(th, &p.ask, "1. Ask the robot").When(p.clear.Value && !w.view.Ready).Layout,
				control.Push(th, &p.arm, "2. Arm").As(control.Primary).When(w.view.Ready && p.clear.Value && blocked == "").Layout)
		},
		control.NotePara(th, "The robot answers with a key that is good for ten seconds. Armed, its joints wake one after another and go slowly to the pose that shows."),
		p.channels(th),
	)
}

// cautions lists them, close together: all are to be seen at once.
func (p *Panel) cautions(th *look.Theme) layout.Widget {
	var rows []layout.Widget
	for _, s := range follow.Cautions() {
		rows = append(rows, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Warning, 13, th.Caution.Ink) }),
				layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
					l := th.Label(look.Small+1, th.Text, s)
					l.MaxLines = 0
					return l.Layout(gtx)
				}))
		})
	}
	return func(gtx layout.Context) layout.Dimensions { return control.Column(gtx, 1, rows...) }
}

// allTheSame sends a pose that the review stops.
func (p *Panel) allTheSame(th *look.Theme) layout.Widget {
	return control.Natural(control.Push(th, &p.override, "Send this pose all the same").WithHint("Only this pose, until another time is chosen").Layout)
}

// armed shows the way to stop, first; it stays in view.
func (p *Panel) armed(th *look.Theme) (pinned, rows []layout.Widget) {
	w := p.wire
	pinned = []layout.Widget{func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
			layout.Flexed(2, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min = image.Pt(gtx.Constraints.Max.X, gtx.Dp(44))
				return control.Push(th, &p.stop, "Stop the robot (Esc)").WithGlyph(look.Halt).As(control.Primary).Layout(gtx)
			}),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min = image.Pt(gtx.Constraints.Max.X, gtx.Dp(44))
				return control.Push(th, &p.limpB, "Cut the pulses").WithHint("The joints go limp: a standing robot falls").Layout(gtx)
			}))
	}}
	pinned = append(pinned, p.head(th)...)
	if w.view.Blocked != "" {
		pinned = append(pinned, control.Remark(th, look.Halt, th.Stop.Ink, "Held back: the review stops this pose: "+ended(w.view.Blocked)), p.allTheSame(th))
	}
	said := "It follows the present time: drag it in the timeline, or play."
	if w.waits {
		said = "It is on its way: the motion waits for it."
	}
	return p.said(th, append(pinned, control.NotePara(th, said))), []layout.Widget{p.channels(th)}
}

// blocked says why the pose that shows is not sent.
func (w *wire) blocked() (why string) {
	w.do(func(h *link.Host, _ time.Time) error { why = h.Blocked(); return nil })
	return why
}

// ended ends a sentence once.
func ended(s string) string { return strings.TrimSuffix(s, ".") + "." }
