// SPDX-License-Identifier: MIT

package export

import (
	"fmt"
	"image"
	"image/color"
	"strings"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// outcomeTall is kept for the outcome, so that the card stays still.
const outcomeTall unit.Dp = 276

// mostRows is how many tables are listed; the others are counted.
const mostRows = 7

// result says what the choices come to.
func (c *Card) result(gtx layout.Context, th *look.Theme) layout.Dimensions {
	sign, tone, says, more := c.verdict(th)
	rows := []layout.Widget{signed(th, sign, tone.Ink, says, true)}
	for i, s := range more {
		if i == mostRows && len(more) > i+1 {
			rows = append(rows, small(th, th.Dim, fmt.Sprintf("and %d more", len(more)-i)))
			break
		}
		rows = append(rows, small(th, th.Text, s))
	}
	if o := c.outcome; o != nil {
		rows = append(rows, c.size(th)...)
		if len(o.Rows) > 0 {
			rows = append(rows, tables(th, o.Rows)...)
		}
		if n := len(o.Files); n > 0 {
			rows = append(rows, small(th, th.Dim, c.files()))
		}
	}
	d := control.Column(gtx, 1.5, rows...)
	d.Size.Y = max(d.Size.Y, min(gtx.Dp(outcomeTall), gtx.Constraints.Max.Y))
	return d
}

// verdict says in a sentence whether it can be written, and then why not.
func (c *Card) verdict(th *look.Theme) (look.Glyph, *look.Tone, string, []string) {
	o := c.outcome
	switch {
	case c.fault() != nil:
		return look.Warning, &th.Stop, "A number is not in force: " + sentence(c.fault().Error()), nil
	case !c.Ready():
		s := "Working it out …"
		if k := c.work; k != nil && k.total.Load() > 1 {
			s = fmt.Sprintf("Working it out: table %d of %d …", k.done.Load()+1, k.total.Load())
		}
		return look.Info, &th.Accent, s, nil
	case o.Err != nil:
		more := sentences(o.Err)
		if o.Advice != "" {
			more = append(more, o.Advice)
		}
		switch {
		case o.Size != nil && o.Size.Err() != nil:
			return look.Halt, &th.Stop, "This does not fit an " + PartName(o.Size.Name) + ".", append(more, "If your microcontroller is not listed, choose “another part”.")
		case o.Plain != nil && o.Plain.Err() != nil:
			return look.Halt, &th.Stop, "This does not fit an " + PartName(o.Plain.Name) + ".", more
		}
		return look.Halt, &th.Stop, more[0], more[1:]
	case o.Size != nil:
		s := "Fits an " + PartName(o.Size.Name) + "."
		if o.Size.FarToo {
			s = "Fits an " + PartName(o.Size.Name) + ", read by far addresses."
		}
		return look.Tick, &th.Fine, s, nil
	case o.Plain != nil && o.Plain.OneOnly():
		return look.Warning, &th.Caution, "Pulses or angles fit an " + PartName(o.Plain.Name) + ", not both: leave the source out that you do not need.", nil
	case o.Plain != nil:
		return look.Tick, &th.Fine, "Fits an " + PartName(o.Plain.Name) + ".", nil
	}
	return look.Tick, &th.Fine, "Ready to be written.", nil
}

// size shows what is taken of the part.
func (c *Card) size(th *look.Theme) []layout.Widget {
	o := c.outcome
	switch {
	case o.Size != nil:
		s := o.Size
		return []layout.Widget{
			gauge(th, "flash", s.Used(), s.Flash), gauge(th, "memory", s.State, s.RAM),
			small(th, th.Dim, fmt.Sprintf("Tables %d bytes, player %d; your own program comes on top. %s", s.Tables, s.Code, sentence(s.Note))),
		}
	case o.Plain != nil:
		s := o.Plain
		return []layout.Widget{
			gauge(th, "flash", s.Used(), s.Flash),
			small(th, th.Dim, fmt.Sprintf("Pulses %d bytes, angles %d; your own program comes on top. %s", s.Pulses, s.Angles, sentence(s.Note))),
		}
	case o.Bytes > 0:
		return []layout.Widget{small(th, th.Dim, fmt.Sprintf("%d bytes of numbers.", o.Bytes))}
	}
	return nil
}

// files names what will be written.
func (c *Card) files() string {
	o := c.outcome
	var names []string
	for _, f := range o.Files[:o.Own] {
		names = append(names, f.Name)
	}
	s := count(len(o.Files), "file") + ": " + strings.Join(names, ", ")
	if n := len(o.Files) - o.Own; n > 0 {
		s += fmt.Sprintf(", and %d of the player", n)
	}
	s += "."
	switch {
	case c.there == 1:
		s += " One of them is there already and is replaced."
	case c.there > 1:
		s += fmt.Sprintf(" %d of them are there already and are replaced.", c.there)
	}
	return s
}

// tables lists them in columns.
func tables(th *look.Theme, all []Row) []layout.Widget {
	judged := all[0].Judged
	wide := []unit.Dp{132, 50, 54, 48, 56, 56}
	row := func(head bool, cells ...string) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min = image.Point{}
			var parts []layout.FlexChild
			for i, s := range cells {
				parts = append(parts, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					w := min(gtx.Dp(wide[i]), gtx.Constraints.Max.X)
					gtx.Constraints.Min.X, gtx.Constraints.Max.X = w, w
					ink := th.Text
					if head {
						ink = th.Dim
					}
					l := th.Label(look.Small, ink, s)
					if i == 0 {
						return l.Layout(gtx)
					}
					return layout.E.Layout(gtx, l.Layout)
				}))
			}
			return layout.Flex{Alignment: layout.Baseline}.Layout(gtx, parts...)
		}
	}
	head := []string{"table", "s", "frames", "Hz"}
	if judged {
		head = append(head, "µs off", "mm off")
	}
	rows := []layout.Widget{row(true, head...)}
	for i, r := range all {
		if i == mostRows-1 && len(all) > mostRows {
			rows = append(rows, small(th, th.Dim, fmt.Sprintf("and %d more", len(all)-i)))
			break
		}
		cells := []string{r.Name, draw.Number(r.Duration, 2), fmt.Sprint(r.Frames), draw.Number(r.Rate, 1)}
		if judged {
			cells = append(cells, draw.Number(r.OffUs, 2), draw.Number(r.OffMM, 2))
		}
		rows = append(rows, row(false, cells...))
	}
	return []layout.Widget{func(gtx layout.Context) layout.Dimensions { return control.Column(gtx, 0.25, rows...) }}
}

// gauge shows a share as a bar, and its numbers.
func gauge(th *look.Theme, name string, used, of int) layout.Widget {
	share := float64(used) / float64(of)
	tone := &th.Fine
	switch {
	case share > 1:
		tone = &th.Stop
	case share > 0.9:
		tone = &th.Caution
	}
	return func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min = image.Point{}
		fixed := func(w unit.Dp, c color.NRGBA, s string) layout.FlexChild {
			return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = min(gtx.Dp(w), gtx.Constraints.Max.X)
				return th.Label(look.Small, c, s).Layout(gtx)
			})
		}
		return layout.Flex{Alignment: layout.Middle, Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
			fixed(44, th.Dim, name),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				size := image.Pt(min(gtx.Dp(120), gtx.Constraints.Max.X), gtx.Dp(8))
				r := gtx.Dp(2)
				draw.RoundFrame(gtx.Ops, image.Rectangle{Max: size}, r, max(1, gtx.Dp(1)), th.Edge, th.Field)
				full := image.Rect(0, 0, int(min(1, share)*float64(size.X)), size.Y)
				if full.Dx() > 0 {
					draw.RoundRect(gtx.Ops, full, min(r, full.Dx()/2), tone.Ink)
				}
				return layout.Dimensions{Size: size}
			}),
			layout.Rigid(th.Label(look.Small, th.Text, fmt.Sprintf("%s %% of %d bytes", draw.Number(100*share, 1), of)).Layout),
		)
	}
}

// signed is a sentence behind a sign.
func signed(th *look.Theme, g look.Glyph, ink color.NRGBA, s string, strong bool) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min.Y = 0
		return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, g, 16, ink) }),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				l := th.Para(s)
				if strong {
					l = th.Strong(s)
					l.MaxLines = 0
				}
				l.Color = ink
				return l.Layout(gtx)
			}),
		)
	}
}

// small is a text of second rank over as many lines as it takes.
func small(th *look.Theme, ink color.NRGBA, s string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Small, ink, s)
		l.MaxLines = 0
		return l.Layout(gtx)
	}
}
