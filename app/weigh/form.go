// SPDX-License-Identifier: MIT

// Package weigh is the form in which a person types what the scales under the
// feet show. It tells at once what follows for the body, and writes it into
// the document as one step.
package weigh

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	scales "gaitwright/motion/weigh"
)

// Answer is how a frame of the form ended.
type Answer uint8

// The answers.
const (
	Open    Answer = iota // it stays
	Left                  // without writing
	Written               // the document has the new body
)

// Form is the state of the form. What was typed stays when it is opened again
// for the same document with the same legs. The zero value is ready.
type Form struct {
	doc           *document.Document
	legs          []string
	level, tilted []control.Text // a leg; empty until typed, g
	again         control.Toggle // weighed on a tilted board too
	axis          control.Choice
	angle         control.Number // deg
	ok, no        control.Button
	err           error // of writing
}

// The axes about which a board is tilted.
const (
	pitch = iota
	roll
)

// Open prepares the form for a document and gives what takes the keys first.
func (f *Form) Open(d *document.Document) any {
	var legs []string
	for _, l := range d.Result().Built.Robot.Legs {
		legs = append(legs, l.Name)
	}
	f.err = nil
	if d != f.doc || !slices.Equal(legs, f.legs) {
		*f = Form{doc: d, legs: legs, level: empty(len(legs)), tilted: empty(len(legs))}
		f.angle = control.Number{Value: 10, Min: -30, Max: 30, Step: 1, Decimals: 1, Unit: "°"}
	}
	return f.level[0].Tag()
}

// empty makes the fields of a weighing. Number reads what is typed, so that
// gram fields take and refuse what every other number field does.
func empty(n int) []control.Text {
	out := make([]control.Text, n)
	for i := range out {
		out[i].Check = func(s string) error {
			_, _, err := reading(s)
			return err
		}
	}
	return out
}

// reading reads a typed reading, g; not ok when nothing is typed.
func reading(s string) (grams float64, ok bool, err error) {
	if strings.TrimSpace(s) == "" {
		return 0, false, nil
	}
	n := control.Number{Min: 0, Max: 100000, Unit: "g"}
	grams, err = n.Parse(s)
	return grams, err == nil, err
}

// Layout draws the form on an open card.
func (f *Form) Layout(gtx layout.Context, th *look.Theme, card *control.Modal, d *document.Document) Answer {
	f.update(gtx)
	if f.no.Update(gtx) {
		return Left
	}
	r, fault := f.work(d)
	if f.ok.Update(gtx) && r != nil {
		if f.err = d.Change("weigh the body", r.Apply); f.err == nil {
			return Written
		}
	}
	c := control.Card(th, card, "Weigh the robot")
	c.Width = 620
	c.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return f.body(gtx, th, d, r, fault) },
		control.Push(th, &f.no, "Cancel").Layout,
		control.Push(th, &f.ok, "Write mass and centre").As(control.Primary).When(r != nil).Layout,
	)
	return Open
}

// update takes what was typed since the last frame.
func (f *Form) update(gtx layout.Context) {
	changed := f.again.Update(gtx)
	changed = f.axis.Update(gtx) || changed
	changed = f.angle.Update(gtx) || changed
	for _, row := range [...][]control.Text{f.level, f.tilted} {
		for i := range row {
			changed = row[i].Update(gtx) || changed
		}
	}
	if changed {
		f.err = nil
	}
}

// typed gives the readings that are there, also of the field that is being
// typed in.
func (f *Form) typed(fields []control.Text) (out []scales.Reading, grams float64, err error) {
	for i := range fields {
		v, ok, bad := reading(fields[i].Typed())
		if bad != nil && err == nil {
			err = &scales.Fault{Leg: f.legs[i], Tilted: &fields[0] == &f.tilted[0], Text: bad.Error()}
		}
		if ok {
			out = append(out, scales.Reading{Leg: f.legs[i], Mass: v / 1000})
			grams += v
		}
	}
	return out, grams, err
}

// work evaluates the readings. While a text is no reading, nothing may be
// written.
func (f *Form) work(d *document.Document) (*scales.Result, error) {
	level, _, err := f.typed(f.level)
	if err != nil {
		return nil, err
	}
	var tilt *scales.Tilt
	if f.again.Value {
		tilt = &scales.Tilt{}
		if tilt.Readings, _, err = f.typed(f.tilted); err != nil {
			return nil, err
		}
		if err := f.angle.Err(); err != nil {
			return nil, &scales.Fault{Tilted: true, Text: "the tilt " + err.Error()}
		}
		to := &tilt.Pitch
		if f.axis.Value == roll {
			to = &tilt.Roll
		}
		*to = f.angle.Value * math.Pi / 180
	}
	return scales.Work(d.Result().Built, level, tilt)
}

// body is the form between title and buttons.
func (f *Form) body(gtx layout.Context, th *look.Theme, d *document.Document, r *scales.Result, fault error) layout.Dimensions {
	rows := []layout.Widget{
		control.Para(th, "The robot stands in its stand pose on level ground: body level at its stand height, every foot on its standing point, each on a scale set to zero. A foot lifted just clear reads 0."),
		control.Para(th, "Without power the legs may sag out of this pose. If the servos must hold it, switch on with hands and face clear, and touch nothing while it stands."),
		func(gtx layout.Context) layout.Dimensions { return f.fields(gtx, th) },
		control.Natural(control.Check(th, &f.again, "weighed once more on a tilted board, for the height of the centre").Layout),
	}
	if f.again.Value {
		angle := control.Amount(th, &f.angle, "tilt of the board")
		angle.Brief = true
		rows = append(rows, control.Natural(func(gtx layout.Context) layout.Dimensions {
			return control.Bar(gtx, 2,
				control.Pick(th, &f.axis, control.Options("nose down", "right side down")...).Layout,
				th.Quiet("by").Layout,
				angle.Layout,
				th.Note("scales lie on the board and tilt with it; no foot slides").Layout,
			)
		}))
	}
	rows = append(rows, func(gtx layout.Context) layout.Dimensions {
		dim := f.outcome(gtx, th, d, r, fault)
		dim.Size.Y = max(dim.Size.Y, min(gtx.Dp(outcomeHeight), gtx.Constraints.Max.Y))
		return dim
	})
	return control.Column(gtx, 2.5, rows...)
}

// fields lays the legs out in two columns, down the first one first.
func (f *Form) fields(gtx layout.Context, th *look.Theme) layout.Dimensions {
	half := (len(f.legs) + 1) / 2
	column := func(from, to int) layout.FlexChild {
		return layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			heads := []layout.Widget{width(nameWidth, th.Note("").Layout), width(fieldWidth, th.Note("level, g").Layout)}
			if f.again.Value {
				heads = append(heads, th.Note("tilted, g").Layout)
			}
			rows := []layout.Widget{func(gtx layout.Context) layout.Dimensions { return control.Bar(gtx, 2, heads...) }}
			for i := from; i < to; i++ {
				rows = append(rows, func(gtx layout.Context) layout.Dimensions { return f.leg(gtx, th, i) })
			}
			return control.Column(gtx, 1, rows...)
		})
	}
	return layout.Flex{Gap: gtx.Dp(16)}.Layout(gtx, column(0, half), column(half, len(f.legs)))
}

const (
	nameWidth  = 52 // dp
	fieldWidth = 92

	// outcomeHeight is kept for what follows from the readings, so that the
	// card stays still while they are typed.
	outcomeHeight = 124
)

func (f *Form) leg(gtx layout.Context, th *look.Theme, i int) layout.Dimensions {
	field := func(t *control.Text, label string) layout.FlexChild {
		return layout.Rigid(width(fieldWidth, func(gtx layout.Context) layout.Dimensions {
			w := control.Words(th, t, label)
			w.Width, w.Brief = fieldWidth, true
			return w.Layout(gtx)
		}))
	}
	parts := []layout.FlexChild{
		layout.Rigid(width(nameWidth, th.Plain(f.legs[i]).Layout)),
		field(&f.level[i], "scale under "+f.legs[i]),
	}
	if f.again.Value {
		parts = append(parts, field(&f.tilted[i], "tilted scale under "+f.legs[i]))
	}
	gtx.Constraints.Min.X = 0
	return layout.Flex{Alignment: layout.Middle, Gap: gtx.Dp(8)}.Layout(gtx, parts...)
}

// outcome says what follows from the readings, or why nothing does.
func (f *Form) outcome(gtx layout.Context, th *look.Theme, d *document.Document, r *scales.Result, fault error) layout.Dimensions {
	given, grams, _ := f.typed(f.level)
	if len(given) == 0 && r == nil && missing(fault) {
		return control.QuietPara(th, "All together: no reading yet.")(gtx)
	}
	sum := "All together " + scales.Grams(grams/1000)
	if r == nil {
		rows := []layout.Widget{control.StrongPara(th, fmt.Sprintf("%s on %d of %d legs", sum, len(given), len(f.legs))), f.refusal(th, fault)}
		return control.Column(gtx, 1, rows...)
	}
	file := d.File()
	was := file.Robot
	next := file.Clone()
	r.Apply(next)
	now := next.Robot
	rows := []layout.Widget{
		control.StrongPara(th, fmt.Sprintf("%s, less links %s and servos %s%s", sum, scales.Grams(r.Links), scales.Grams(r.Servos), payload(r))),
		control.StrongPara(th, fmt.Sprintf("Body %s at x %s  y %s  z %s mm", scales.Grams(now.BodyMass/1000),
			draw.Number(now.BodyCentre[0], 1), draw.Number(now.BodyCentre[1], 1), draw.Number(now.BodyCentre[2], 1))),
		control.QuietPara(th, fmt.Sprintf("The workfile has %s at x %s  y %s  z %s mm.", scales.Grams(was.BodyMass/1000),
			draw.Number(was.BodyCentre[0], 1), draw.Number(was.BodyCentre[1], 1), draw.Number(was.BodyCentre[2], 1))),
		control.QuietPara(th, r.Sure()),
	}
	inside := *r
	inside.Outside = false
	plain := inside.Notes(file)
	for _, n := range r.Notes(file) {
		if slices.Contains(plain, n) {
			rows = append(rows, control.QuietPara(th, n))
		} else { // it lies outside
			rows = append(rows, control.Remark(th, look.Warning, th.Caution.Ink, n))
		}
	}
	if f.err != nil {
		rows = append(rows, control.Refusal(th, f.err.Error()))
	}
	return control.Column(gtx, 1, rows...)
}

func payload(r *scales.Result) string {
	if r.Payload == 0 {
		return ""
	}
	return " and payload " + scales.Grams(r.Payload)
}

// refusal shows a fault: quietly while readings are still to be typed.
func (f *Form) refusal(th *look.Theme, err error) layout.Widget {
	var fault *scales.Fault
	text := err.Error()
	if errors.As(err, &fault) {
		text = fault.Text
		if p := fault.Place(); p != "" {
			text = p + ": " + text
		}
	}
	text = control.Sentence(text)
	if missing(err) {
		return control.QuietPara(th, text)
	}
	return control.Refusal(th, text)
}

// missing tells a fault that only says that readings are still to come.
func missing(err error) bool {
	var fault *scales.Fault
	return errors.As(err, &fault) && fault.Missing
}

// width gives a widget a width of its own, dp.
func width(dp int, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		x := gtx.Metric.Dp(unit.Dp(dp))
		gtx.Constraints.Min.X, gtx.Constraints.Max.X = x, x
		d := w(gtx)
		d.Size.X = x
		return d
	}
}

// Write is the tag of the button that writes.
func (f *Form) Write() any { return f.ok.Tag() }
