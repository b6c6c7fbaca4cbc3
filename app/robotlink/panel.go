// SPDX-License-Identifier: MIT

package robotlink

import (
	"errors"
	"fmt"
	"image"
	"math"
	"strings"
	"time"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
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
	refused error // of the last act
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
	if p.wire != nil {
		gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(50 * time.Millisecond)}) // the robot reports as often
	}
	var rows []layout.Widget
	switch {
	case p.wire == nil:
		rows = p.closed(th)
	case p.Live():
		rows = p.armed(th)
	default:
		rows = p.disarmed(th)
	}
	rows = append(rows, p.reports(th, d)...)
	return p.scroll.Area(gtx, th, func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Left: look.Unit * 2.5, Right: look.Unit * 2.5, Top: look.Unit * 2, Bottom: look.Unit * 2.5}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			return control.Column(gtx, 2, rows...)
		})
	})
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
		p.seen = Seen{}
	}
	p.hide.Update(gtx)
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
		if p.wire.logging {
			p.endLog(d)
		} else {
			p.beginLog(d)
		}
	}
}

const named unit.Dp = 96 // width of the names

func line(th *look.Theme, name string, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions { return control.Line(gtx, th, name, named, w) }
}

func para(th *look.Theme, s string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions { return th.Para(s).Layout(gtx) }
}

func note(th *look.Theme, s string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		l := th.Note(s)
		l.MaxLines = 0
		return l.Layout(gtx)
	}
}

// signed is a sentence behind a sign.
func signed(th *look.Theme, g look.Glyph, tone *look.Tone, s string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, g, 16, tone.Ink) }),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				l := th.Para(s)
				l.Color = tone.Ink
				return l.Layout(gtx)
			}),
		)
	}
}

// said shows why the last act was refused.
func (p *Panel) said(th *look.Theme, rows []layout.Widget) []layout.Widget {
	if p.refused == nil {
		return rows
	}
	return append(rows, signed(th, look.Warning, &th.Stop, sentence(strings.TrimPrefix(p.refused.Error(), "link: "))))
}

// closed shows how to open a port.
func (p *Panel) closed(th *look.Theme) []layout.Widget {
	rows := []layout.Widget{func(gtx layout.Context) layout.Dimensions { return control.Header(gtx, th, "Robot on a line") },
		para(th, "A controller with the receiving side (gait_link, in the table's folder or from “gaitwright export --with-player”) follows what this window shows: the pose at the present time, a leg that you move by hand on the stand, or the motion as it plays.")}
	var items []control.MenuItem
	for _, n := range p.names {
		items = append(items, control.MenuItem{Text: n, On: n == p.name})
	}
	if len(p.names) == 0 {
		rows = append(rows, signed(th, look.Info, &th.Accent, "No serial port is there. Plug the controller in, then look again."))
	} else {
		rows = append(rows, line(th, "port", control.Natural(control.Drop(th, &p.port, p.name, items...).Layout)))
	}
	number := func(n *control.Number, label string) layout.Widget {
		a := control.Amount(th, n, label)
		a.Brief = true
		return a.Layout
	}
	rows = append(rows,
		line(th, "bit/s", number(&p.baud, "speed of the port")),
		line(th, "joints at most", number(&p.bound, "greatest speed of a joint")),
		line(th, "then limp after", number(&p.hold, "time that the robot holds when the line is silent")),
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
		return append(rows, signed(th, look.Warning, &th.Stop, sentence(strings.TrimPrefix(w.err.Error(), "link: "))))
	case !w.view.There:
		return append(rows, signed(th, look.Info, &th.Accent, "No robot answers yet. Does the firmware run, and is the speed of the port right?"))
	}
	sign, tone := look.Info, &th.Accent
	if w.view.State.Live() {
		sign, tone = look.Warning, &th.Caution
	}
	rows = append(rows, signed(th, sign, tone, "The robot: "+w.view.State.String()+"."))
	if s := w.view.Fault.String(); s != "" {
		rows = append(rows, signed(th, look.Warning, &th.Stop, sentence(s)))
	}
	lost := fmt.Sprintf("%d channels, at most %s µs a millisecond of its own; joints turn at most %s °/s.", w.view.Info.Channels,
		draw.Number(w.view.Info.Speed/1000, 1), draw.Number(w.bound, 0))
	if n := w.view.Dropped + w.view.Bad; n > 0 {
		lost += fmt.Sprintf(" Damaged on the line: %d there, %d here.", w.view.Dropped, w.view.Bad)
	}
	return append(rows, note(th, lost))
}

// disarmed shows the cautions and the two acts.
func (p *Panel) disarmed(th *look.Theme) []layout.Widget {
	w := p.wire
	rows := p.head(th)
	if w.err != nil || !w.view.There {
		return p.said(th, rows)
	}
	for _, s := range follow.Cautions() {
		rows = append(rows, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Warning, 13, th.Caution.Ink) }),
				layout.Flexed(1, note(th, s)))
		})
	}
	blocked := w.blocked()
	if blocked != "" {
		rows = append(rows, signed(th, look.Halt, &th.Stop, "The review stops the pose at the present time: "+blocked+"."),
			control.Natural(control.Push(th, &p.override, "Send this pose all the same").WithHint("Only this pose, until another time is chosen").Layout))
	}
	rows = append(rows,
		control.Natural(control.Check(th, &p.clear, "all of this is so").Layout),
		func(gtx layout.Context) layout.Dimensions {
			arm := control.Push(th, &p.arm, "2. Arm").As(control.Primary).When(w.view.Ready && p.clear.Value && blocked == "")
			return control.Bar(gtx, 2,
				control.Push(th, &p.ask, "1. Ask the robot").When(p.clear.Value && !w.view.Ready).Layout, arm.Layout)
		},
		note(th, "The robot answers with a key that is good for ten seconds. Armed, its joints wake one after another and go slowly to the pose that shows."),
	)
	return p.said(th, rows)
}

// blocked says why the pose that shows is not sent.
func (w *wire) blocked() (why string) {
	w.do(func(h *link.Host, _ time.Time) error { why = h.Blocked(); return nil })
	return why
}

// armed shows the way to stop, first.
func (p *Panel) armed(th *look.Theme) []layout.Widget {
	w := p.wire
	rows := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
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
	rows = append(rows, p.head(th)...)
	if w.view.Blocked != "" {
		rows = append(rows, signed(th, look.Halt, &th.Stop, "Held back: the review stops this pose: "+w.view.Blocked+"."),
			control.Natural(control.Push(th, &p.override, "Send this pose all the same").WithHint("Only this pose, until another time is chosen").Layout))
	}
	said := "It follows the present time: drag it in the timeline, or play."
	if w.waits {
		said = "It is on its way: the motion waits for it."
	}
	return p.said(th, append(rows, note(th, said)))
}

// reports shows what the robot reports, and how it compares.
func (p *Panel) reports(th *look.Theme, d *document.Document) []layout.Widget {
	rows := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
		return control.Header(gtx, th, "What the robot did")
	}}
	legs := d.Result().Built.Robot.Legs
	if p.wire != nil && p.wire.err == nil && p.known {
		var feet []string
		for i := range legs {
			s := "up"
			if p.feet>>i&1 != 0 {
				s = "down"
			}
			feet = append(feet, legs[i].Name+" "+s)
		}
		rows = append(rows, note(th, "Foot switches: "+strings.Join(feet, ", ")))
	}
	rows = append(rows, func(gtx layout.Context) layout.Dimensions {
		var all []layout.Widget
		if p.wire != nil && p.wire.err == nil {
			text := "Record"
			if p.wire.logging {
				text = "End the recording"
			}
			all = append(all, control.Push(th, &p.logs, text).Lit(p.wire.logging).Layout)
		}
		all = append(all, control.Push(th, &p.load, "Open a log").WithHint("CSV with motion_s or robot_s, and columns such as LF_down, LF_femur_us").When(p.OpenLog != nil).Layout)
		if p.seen.text != nil {
			all = append(all, control.Push(th, &p.save, "Save it").When(p.SaveLog != nil).Layout, control.Push(th, &p.forget, "Forget it").Layout)
		}
		return control.Bar(gtx, 2, all...)
	})
	if p.wire != nil && p.wire.logging {
		rows = append(rows, note(th, fmt.Sprintf("%d looks so far. Play the motion, then end the recording.", p.wire.rows)))
	}
	switch s := &p.seen; {
	case s.text == nil:
		rows = append(rows, note(th, "Record while the robot plays, or open a log: foot switches and joint positions then lie over the timeline and the strips."))
	case s.Err != nil:
		rows = append(rows, signed(th, look.Warning, &th.Stop, sentence(strings.TrimPrefix(s.Err.Error(), "record: "))))
	default:
		rows = append(rows, p.compared(th, d)...)
	}
	return rows
}

// compared shows the numbers of a comparison.
func (p *Panel) compared(th *look.Theme, d *document.Document) []layout.Widget {
	c, legs := p.seen.Comparison, d.Result().Built.Robot.Legs
	rows := []layout.Widget{control.Natural(control.Check(th, &p.hide, "hide it in the timeline and the strips").Layout)}
	if p.seen.Record.Skipped > 0 {
		rows = append(rows, note(th, fmt.Sprintf("%s: %d looks of the motion, %d beside it.", capital(p.seen.Name), len(p.seen.Record.Time), p.seen.Record.Skipped)))
	}
	if len(c.Touch) > 0 {
		t := table{th: th, wide: []unit.Dp{56, 52, 56, 48, 62, 62, 62}}
		rows = append(rows, para(th, "Touchdown, ms later than drawn"), t.row(true, "leg", "steps", "missed", "extra", "mean", "spread", "worst"))
		for _, x := range c.Touch {
			rows = append(rows, t.row(false, legs[x.Leg].Name, fmt.Sprint(x.Steps), fmt.Sprint(x.Missed), fmt.Sprint(x.Extra),
				millis(x.Mean), millis(x.Spread), millis(x.Worst)))
		}
	}
	if len(c.Follow) > 0 {
		t := table{th: th, wide: []unit.Dp{92, 62, 62, 62, 72, 62}}
		rows = append(rows, para(th, "Joints, degrees measured less drawn"), t.row(true, "joint", "mean", "rms", "worst", "at s", "lag ms"))
		for _, x := range c.Follow {
			deg := func(v float64) string { return draw.Number(v*180/math.Pi, 1) }
			rows = append(rows, t.row(false, legs[x.Leg].Name+" "+kin.JointName(x.Joint), deg(x.Mean), deg(x.RMS), deg(x.Worst), draw.Number(x.At, 2), millis(x.Lag)))
		}
	}
	if len(c.Touch) == 0 && len(c.Follow) == 0 {
		rows = append(rows, note(th, "The log has neither foot switches nor joint positions."))
	}
	return rows
}

// millis writes a time in ms, a dash where there is none.
func millis(s float64) string {
	if s != s {
		return "–"
	}
	return draw.Number(s*1000, 0)
}

// table lays numbers out in columns, the first to the left, the others to the
// right.
type table struct {
	th   *look.Theme
	wide []unit.Dp
}

func (t table) row(head bool, cells ...string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		var all []layout.FlexChild
		for i, s := range cells {
			all = append(all, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				w := gtx.Dp(t.wide[i])
				gtx.Constraints.Min.X, gtx.Constraints.Max.X = w, w
				l := t.th.Plain(s)
				if head {
					l = t.th.Note(s)
				}
				if i == 0 {
					return l.Layout(gtx)
				}
				return layout.E.Layout(gtx, l.Layout)
			}))
		}
		return layout.Flex{Alignment: layout.Baseline}.Layout(gtx, all...)
	}
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// sentence makes a sentence of an error.
func sentence(s string) string { return capital(strings.TrimSuffix(s, ".")) + "." }
