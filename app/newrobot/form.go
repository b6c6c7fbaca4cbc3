// SPDX-License-Identifier: MIT

// Package newrobot is the card that makes a robot of four answers and shows
// at once how it stands and walks.
package newrobot

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/newrobot"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

// Answer is how a frame of the card ended.
type Answer uint8

// The answers.
const (
	Open Answer = iota // it stays
	Left               // without a robot
	Made               // Robot has one
)

// The numbers that are asked for.
const (
	length = iota
	width
	coxa
	femur
	tibia
	numbers
)

var labels = [numbers]struct{ field, name, hint string }{
	length: {"length", "length", "from the front face to the rear one, along the direction of walking"},
	width:  {"width", "width", "between the side faces that carry the legs"},
	coxa:   {"coxa", "coxa", "first link: from the upright axis to the axis that raises the leg"},
	femur:  {"femur", "femur", "second link: from the axis that raises the leg to the knee"},
	tibia:  {"tibia", "tibia", "third link: from the knee to the centre of the foot"},
}

// Form is the state of the card. What was answered stays when it is opened
// again. The zero value is ready.
type Form struct {
	begun   bool
	legs    control.Choice
	name    control.Text
	fields  [numbers]control.Number
	servos  control.Menu
	servo   int
	no, yes control.Button

	wake    func()
	asked   newrobot.Answers // what the robot that shows, or comes, is made of
	robot   *newrobot.Robot
	err     error
	pending chan made
	plan    plan
}

type made struct {
	of    newrobot.Answers
	robot *newrobot.Robot
	err   error
}

// usualServo is the class to begin with.
const usualServo = "standard-20"

// Open prepares the card and gives what takes the keys first. wake asks for a
// frame from another goroutine; it may be nil.
func (f *Form) Open(wake func()) any {
	f.wake = wake
	if !f.begun {
		f.begun = true
		f.legs.Value = 1
		for i, c := range workfile.Classes() {
			if c.Name == usualServo {
				f.servo = i
			}
		}
		f.take(newrobot.Usual(6))
		f.name.Value = "my robot"
	}
	return &f.legs
}

// take shows sizes.
func (f *Form) take(a newrobot.Answers) {
	for i, v := range [numbers]float64{a.Length, a.Width, a.Coxa, a.Femur, a.Tibia} {
		n := &f.fields[i]
		n.Value, n.Step, n.Decimals, n.Unit = v, 1, 1, "mm"
		n.Min, n.Max = newrobot.Range(labels[i].field)
	}
}

// legCounts are the options of the first question.
var legCounts = [...]int{4, 6, 8, 10, 12}

// answers gives what the card says now.
func (f *Form) answers() newrobot.Answers {
	c := workfile.Classes()[f.servo]
	v := func(i int) float64 { return f.fields[i].Value }
	return newrobot.Answers{
		Name: strings.TrimSpace(f.name.Typed()), Legs: legCounts[f.legs.Value],
		Length: v(length), Width: v(width), Coxa: v(coxa), Femur: v(femur), Tibia: v(tibia),
		ServoName: c.Name, Servo: c.Servo,
	}
}

// Robot is what was made.
func (f *Form) Robot() *newrobot.Robot { return f.robot }

// same tells whether two sets of answers make the same robot.
func same(a, b newrobot.Answers) bool {
	return a.Name == b.Name && a.Legs == b.Legs && a.Length == b.Length && a.Width == b.Width &&
		a.Coxa == b.Coxa && a.Femur == b.Femur && a.Tibia == b.Tibia && a.ServoName == b.ServoName
}

// update takes what was answered and has the robot made beside the frames.
func (f *Form) update(gtx layout.Context) {
	if f.legs.Update(gtx) {
		// The length goes with the number of legs until another one is typed.
		for _, n := range legCounts {
			if f.fields[length].Value == newrobot.Usual(n).Length {
				f.fields[length].Value = newrobot.Usual(legCounts[f.legs.Value]).Length
				break
			}
		}
	}
	f.name.Update(gtx)
	for i := range f.fields {
		f.fields[i].Update(gtx)
	}
	if i, ok := f.servos.Update(gtx); ok {
		f.servo = i
	}
	select {
	case m := <-f.pending:
		f.pending = nil
		if same(m.of, f.answers()) {
			f.robot, f.err = m.robot, m.err
		}
	default:
	}
	now := f.answers()
	if f.pending != nil || same(now, f.asked) && (f.robot != nil || f.err != nil) {
		return
	}
	f.asked, f.robot, f.err = now, nil, nil
	done := make(chan made, 1)
	f.pending = done
	wake := f.wake
	go func() {
		r, err := newrobot.Make(now)
		done <- made{now, r, err}
		if wake != nil {
			wake()
		}
	}()
}

// Layout draws an open card.
func (f *Form) Layout(gtx layout.Context, th *look.Theme, card *control.Modal) Answer {
	f.update(gtx)
	if f.no.Update(gtx) {
		return Left
	}
	if f.yes.Update(gtx) && f.robot != nil && f.wrong() == "" {
		return Made
	}
	c := control.Card(th, card, "New robot")
	c.Width = 760
	c.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return f.body(gtx, th) },
		control.Push(th, &f.no, "Cancel").Layout,
		control.Push(th, &f.yes, "Make this robot").As(control.Primary).When(f.robot != nil && f.wrong() == "").Layout,
	)
	return Open
}

const (
	questions unit.Dp = 372 // width of the left half
	named     unit.Dp = 64  // of the names in it

	beside      unit.Dp = 560 // least width with the picture beside the questions
	likedHeight unit.Dp = 900 // of the two below each other
)

func (f *Form) body(gtx layout.Context, th *look.Theme) layout.Dimensions {
	line := func(name string, w layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return control.Line(gtx, th, name, named, w) }
	}
	number := func(i int) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			a := control.Amount(th, &f.fields[i], labels[i].name)
			a.Brief = true
			return layout.Flex{Alignment: layout.Middle, Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
				layout.Rigid(a.Layout),
				layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
					l := th.Note(labels[i].hint)
					l.MaxLines = 2
					return l.Layout(gtx)
				}),
			)
		}
	}
	head := func(s string) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Top: look.Unit}.Layout(gtx, th.Strong(s).Layout)
		}
	}
	counts := make([]string, len(legCounts))
	for i, n := range legCounts {
		counts[i] = strconv.Itoa(n)
	}
	var items []control.MenuItem
	for i, c := range workfile.Classes() {
		items = append(items, control.MenuItem{Text: strings.ReplaceAll(c.Title, "kgf·cm", look.KgfCm), On: i == f.servo})
	}
	left := func(gtx layout.Context) layout.Dimensions {
		return control.Column(gtx, 1,
			line("name", func(gtx layout.Context) layout.Dimensions {
				w := control.Words(th, &f.name, "name of the robot")
				w.Width, w.Brief = 200, true
				return w.Layout(gtx)
			}),
			head("1. How many legs?"),
			line("", control.Natural(control.Pick(th, &f.legs, control.Options(counts...)...).Layout)),
			head("2. How large is the body?"),
			line(labels[length].name, number(length)),
			line(labels[width].name, number(width)),
			head("3. How long are the links of a leg?"),
			line(labels[coxa].name, number(coxa)),
			line(labels[femur].name, number(femur)),
			line(labels[tibia].name, number(tibia)),
			head("4. Which servo moves the joints?"),
			line("", control.Natural(control.Drop(th, &f.servos, items[f.servo].Text, items...).Layout)),
		)
	}
	right := func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		return control.Column(gtx, 2,
			func(gtx layout.Context) layout.Dimensions {
				if f.wrong() != "" {
					return f.plan.layout(gtx, th, nil)
				}
				return f.plan.layout(gtx, th, f.robot)
			},
			func(gtx layout.Context) layout.Dimensions { return f.outcome(gtx, th) },
		)
	}
	if gtx.Constraints.Max.X < gtx.Dp(beside) { // below each other; the card scrolls
		gtx.Constraints.Max.Y = max(gtx.Constraints.Max.Y, gtx.Dp(likedHeight))
		return control.Column(gtx, 4, left, right)
	}
	return layout.Flex{Gap: gtx.Dp(look.Unit * 5)}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Max.X = min(gtx.Dp(questions), gtx.Constraints.Max.X*55/100)
			return left(gtx)
		}),
		layout.Flexed(1, right),
	)
}

// outcomeHeight is kept for the outcome, so that the card stays still.
const outcomeHeight unit.Dp = 112

// outcome says what the answers came to.
func (f *Form) outcome(gtx layout.Context, th *look.Theme) layout.Dimensions {
	sign, tone, says, more := f.said(th)
	d := layout.Flex{Axis: layout.Vertical, Gap: gtx.Dp(look.Unit)}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, sign, 16, tone.Ink) }),
				layout.Flexed(1, control.StrongPara(th, says)),
			)
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			l := th.Note(more)
			l.MaxLines = 6
			return l.Layout(gtx)
		}),
	)
	d.Size.Y = max(d.Size.Y, min(gtx.Dp(outcomeHeight), gtx.Constraints.Max.Y))
	return d
}

// wrong says which number is none, "" where all are: what the robot before was
// made of is not what stands there then.
func (f *Form) wrong() string {
	for i := range f.fields {
		if err := f.fields[i].Wrong(); err != nil {
			return control.Sentence(labels[i].name + ": " + err.Error())
		}
	}
	return ""
}

// said puts the outcome into words.
func (f *Form) said(th *look.Theme) (look.Glyph, *look.Tone, string, string) {
	var fault *newrobot.Fault
	wrong := f.wrong()
	switch {
	case wrong != "":
		return look.Warning, &th.Stop, "No robot can be made of this.", wrong
	case errors.As(f.err, &fault):
		return look.Warning, &th.Stop, "No robot can be made of this.", control.Sentence(fault.Text)
	case f.err != nil:
		return look.Warning, &th.Stop, "No robot can be made of this.", control.Sentence(f.err.Error())
	case f.robot == nil:
		return look.NoGlyph, &th.Fine, "Trying how it stands and walks …", ""
	}
	const guess = "Masses, joint ranges and channels are first estimates: measure yours and put them in under “robot”, and weigh the robot when it stands."
	seq := f.robot.File.Sequence
	if f.robot.Walks && len(seq) > 1 && seq[1].Forward != nil {
		says := fmt.Sprintf("It stands, and walks in %s at %s mm/s.", seq[1].Gait, draw.Number(*seq[1].Forward, 0))
		if len(f.robot.Rehearsal.Findings) > 0 {
			return look.Warning, &th.Caution, says, first(f.robot.Rehearsal.Findings) + " " + guess
		}
		margin := ""
		if m := f.robot.Margin; m > 0 {
			margin = fmt.Sprintf("The wanted stability margin is set to %s mm, for a robot of this size; see “limits”. ", draw.Number(m, 0))
		}
		return look.Tick, &th.Fine, says, "The review of this first walk found nothing. " + margin + guess
	}
	if len(f.robot.Rehearsal.Findings) > 0 {
		return look.Halt, &th.Stop, "It stands as drawn, but a first walk does not pass the review.", first(f.robot.Rehearsal.Findings) + " " + guess
	}
	why := f.robot.Why
	if why == "" {
		why = "longer links or quicker servos make room for a step"
	}
	return look.Warning, &th.Caution, "It stands, but no gait can be walked.", control.Capital(why) + ". " + guess
}

// first tells the first finding, which is a stop where there is one.
func first(all []review.Finding) string {
	s := draw.Degrees(control.Sentence(all[0].Why))
	if n := len(all) - 1; n > 0 {
		s += fmt.Sprintf(" There are %d more findings.", n)
	}
	return s
}
