// SPDX-License-Identifier: MIT

package export

import (
	"errors"
	"fmt"
	"image"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/table"
)

// mostStops is how many stops are told; the others are counted.
const mostStops = 3

// body is the card between title and buttons.
func (c *Card) body(gtx layout.Context, th *look.Theme) layout.Dimensions {
	var rows []layout.Widget
	if len(c.stops) > 0 {
		rows = append(rows, framed(th, &th.Stop, func(gtx layout.Context) layout.Dimensions { return c.forbidden(gtx, th) }))
	}
	rows = append(rows,
		func(gtx layout.Context) layout.Dimensions {
			left := func(gtx layout.Context) layout.Dimensions { return c.fields(gtx, th) }
			right := func(gtx layout.Context) layout.Dimensions { return c.result(gtx, th) }
			if gtx.Constraints.Max.X < gtx.Dp(leastPair) {
				return control.Column(gtx, 3, left, right)
			}
			return layout.Flex{Gap: gtx.Dp(apart)}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					gtx.Constraints.Max.X = gtx.Dp(fieldsWide)
					gtx.Constraints.Min.X = gtx.Constraints.Max.X
					return left(gtx)
				}),
				layout.Flexed(1, right),
			)
		},
		framed(th, &th.Caution, func(gtx layout.Context) layout.Dimensions { return c.mind(gtx, th) }),
		func(gtx layout.Context) layout.Dimensions { return c.asCommand(gtx, th) },
	)
	if c.err != nil {
		for i, s := range sentences(c.err) {
			if i == 0 {
				rows = append(rows, signed(th, look.Warning, th.Stop.Ink, "Not written: "+lower(s)+" Nothing has changed in the folder; mend that, or give another folder.", false))
			} else {
				rows = append(rows, small(th, th.Stop.Ink, s))
			}
		}
	}
	return control.Column(gtx, 2.5, rows...)
}

// forbidden tells what stops the motion, by joint, with the override.
func (c *Card) forbidden(gtx layout.Context, th *look.Theme) layout.Dimensions {
	n := len(c.stops)
	head := "1 stop forbids running this on the robot."
	if n > 1 {
		head = fmt.Sprintf("%d stops forbid running this on the robot.", n)
	}
	rows := []layout.Widget{signed(th, look.Halt, th.Stop.Ink, head, true)}
	for i := range c.stops {
		if i == mostStops && n > i+1 {
			rows = append(rows, small(th, th.Text, fmt.Sprintf("and %d more", n-i)))
			break
		}
		rows = append(rows, small(th, th.Text, told(&c.stops[i])))
	}
	rows = append(rows, control.Natural(func(gtx layout.Context) layout.Dimensions {
		all := []layout.Widget{control.Check(th, &c.despite, fmt.Sprintf("write it despite %s, listed in the table", count(n, "stop"))).Layout}
		if c.cannot() {
			all = []layout.Widget{th.Plain("It cannot be written all the same: no servo takes these pulses.").Layout}
		}
		if c.goable {
			all = append(all, control.Push(th, &c.show, "Go to the first").WithHint("Leave the card, and look at what stops the motion").Layout)
		}
		return control.Bar(gtx, 4, all...)
	}))
	return control.Column(gtx, 1, rows...)
}

// cannot tells that a joint cannot follow: no override mends that.
func (c *Card) cannot() bool {
	return c.outcome != nil && errors.Is(c.outcome.Err, table.ErrJoint)
}

// mind tells what could hurt somebody.
func (c *Card) mind(gtx layout.Context, th *look.Theme) layout.Dimensions {
	rows := []layout.Widget{small(th, th.Text, cautions())}
	if len(c.blows) > 0 {
		rows = append(rows, small(th, th.Text, strikeCaution(c.blows)))
	}
	return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Warning, 16, th.Caution.Ink) }),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions { return control.Column(gtx, 1, rows...) }),
	)
}

// command gives the command line that writes the same, and whether there is
// one.
func (c *Card) command() (string, bool) {
	if !c.saved || c.fault() != nil {
		return "", false
	}
	return command(c.choices().Args(c.file, c.folder.Value, c.despite.Value)), true
}

// asCommand shows it.
func (c *Card) asCommand(gtx layout.Context, th *look.Theme) layout.Dimensions {
	s, ok := c.command()
	text := "On the command line, for the build of your firmware: save the workfile first, then the command stands here."
	if ok {
		text = s
	} else if c.saved {
		text = "On the command line: a number is not in force."
	}
	label := "Copy"
	if ok && c.wasCopied == s {
		label = "Copied"
	}
	gtx.Constraints.Min = image.Point{}
	return layout.Flex{Alignment: layout.Middle, Gap: gtx.Dp(look.Unit * 3)}.Layout(gtx,
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			if !ok {
				return small(th, th.Dim, text)(gtx)
			}
			l := th.Mono(look.Small, th.Dim, text)
			l.MaxLines = 3
			return l.Layout(gtx)
		}),
		layout.Rigid(control.Push(th, &c.copied, label).WithHint("Copy the command line that writes the same files").When(ok).Layout),
	)
}

// framed lays w out on the pale ground of a tone.
func framed(th *look.Theme, tone *look.Tone, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		rec := op.Record(gtx.Ops)
		d := layout.UniformInset(look.Unit*2).Layout(gtx, w)
		call := rec.Stop()
		draw.RoundRect(gtx.Ops, image.Rectangle{Max: d.Size}, gtx.Dp(look.Corner), tone.Wash)
		call.Add(gtx.Ops)
		return d
	}
}

func lower(s string) string {
	if len(s) > 1 && s[0] >= 'A' && s[0] <= 'Z' && s[1] >= 'a' && s[1] <= 'z' {
		return string(s[0]-'A'+'a') + s[1:]
	}
	return s
}
