// SPDX-License-Identifier: MIT

package export

import (
	"fmt"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/table"
)

// Sizes.
const (
	cardWidth  unit.Dp = 900
	fieldsWide unit.Dp = 432 // of the left half
	named      unit.Dp = 108 // of the names in it
	apart      unit.Dp = 24  // between the halves
	leastPair  unit.Dp = 700 // for two halves side by side
)

// abouts say what a format is for, in the order of the formats.
var abouts = [...]string{
	"C sources for the player (gait_player, C99): it does speed, loops, blends and stops. You write the function that moves a servo.",
	"C arrays in the flash of an AVR, frame by frame: pulses in µs and joint angles in 0.1°.",
	"C99 arrays, frame by frame: pulses in µs and joint angles in 0.1°.",
	"A line for each frame, for a spreadsheet or a script: pulses in µs and joint angles in 0.1°.",
	"One file for a program on a computer: pulses in µs and joint angles in 0.1°.",
	"Files for the player that it reads from a memory card or the like, instead of C sources.",
}

func formats() []control.Option {
	o := control.Options("player", "AVR C", "C", "CSV", "JSON", "binary")
	for i := range o {
		o[i].Hint = abouts[i]
	}
	return o
}

// partNames lists what the format is made for; "" is a part of another kind.
func (c *Card) partNames() (all []string) {
	v := Choices{Format: Format(c.format.Value)}
	for _, p := range table.Parts() {
		if v.holds(p.Name) {
			all = append(all, p.Name)
		}
	}
	if len(all) > 0 {
		all = append(all, "")
	}
	return all
}

func partTitle(name string) string {
	if name == "" {
		return "another part"
	}
	return PartName(name)
}

// fields are the choices, the simple ones first.
func (c *Card) fields(gtx layout.Context, th *look.Theme) layout.Dimensions {
	line := func(name string, w layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return control.Line(gtx, th, name, named, w) }
	}
	number := func(n *control.Number, label string, width unit.Dp) layout.Widget {
		a := control.Amount(th, n, label)
		a.Width = width
		return control.Natural(a.Layout)
	}
	note := func(s string, lines int) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			l := th.Note(s)
			l.MaxLines = lines
			d := l.Layout(gtx)
			d.Size.Y = max(d.Size.Y, gtx.Sp(look.Small)*13/10*lines) // stays, whatever it says
			return d
		}
	}
	under := func(w layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return layout.Inset{Left: named}.Layout(gtx, w) }
	}
	played := Format(c.format.Value).Played()
	rows := []layout.Widget{
		line("What", control.Natural(control.Pick(th, &c.what, control.Options("moves", "moves and walks", "whole sequence")...).Layout)),
		under(note(c.leaves(), 1)),
		line("Format", control.Natural(control.Pick(th, &c.format, formats()...).Layout)),
		under(note(abouts[c.format.Value], 2)),
	}
	rate := number(&c.rate, "Rate", 92)
	if played {
		pace := control.Options("chosen", "lowest")
		pace[0].Hint, pace[1].Hint = "So many frames a second", "As few frames as stay within an error"
		parts := []layout.Widget{control.Pick(th, &c.pace, pace...).Layout, rate}
		if c.pace.Value == 1 {
			parts = []layout.Widget{parts[0], th.Quiet("off by").Layout, number(&c.us, "greatest error of a pulse", 70), number(&c.mm, "greatest error of a foot", 76)}
		}
		rows = append(rows, line("Rate", control.Natural(func(gtx layout.Context) layout.Dimensions { return control.Bar(gtx, 2, parts...) })))
	} else {
		rows = append(rows, line("Rate", rate))
	}
	if names := c.partNames(); len(names) > 0 {
		now := c.choices().Part
		var items []control.MenuItem
		for _, n := range names {
			items = append(items, control.MenuItem{Text: partTitle(n), On: n == now})
		}
		d := control.Drop(th, &c.part, partTitle(now), items...)
		d.Face.Label, d.Face.Hint = "Microcontroller", "What the table is to find room in"
		rows = append(rows, line("Microcontroller", control.Natural(d.Layout)))
	}
	if played {
		rows = append(rows, line("", control.Natural(control.Check(th, &c.player, "with the player, its documents and examples").Layout)))
	}
	rows = append(rows, line("Folder", func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		return control.Words(th, &c.folder, "Folder").Layout(gtx)
	}))
	if played {
		sign, words := look.Shut, "More choices"
		if c.open {
			sign, words = look.Open, "Fewer choices"
		}
		rows = append(rows, line("", control.Natural(control.Push(th, &c.more, words).WithGlyph(sign).
			WithHint("Other values than pulses, interpolation, packing").Layout)))
	}
	if played && c.open {
		rows = append(rows, line("Values", control.Natural(control.Pick(th, &c.kind, kinds()...).Layout)))
		switch table.Kind(c.kind.Value) {
		case table.PWMCount:
			rows = append(rows,
				line("PWM driver", control.Natural(func(gtx layout.Context) layout.Dimensions {
					return control.Bar(gtx, 2, number(&c.pwmRate, "rate of the PWM driver", 84), th.Quiet("from").Layout, number(&c.pwmClock, "oscillator of the PWM driver", 104))
				})),
				under(note(c.prescale(), 1)))
		case table.ServoStep:
			rows = append(rows,
				line("Positions", control.Natural(func(gtx layout.Context) layout.Dimensions {
					return control.Bar(gtx, 2, th.Quiet("0 to").Layout, number(&c.stepMost, "greatest position", 60), th.Quiet("over").Layout, number(&c.stepRange, "range of the positions", 76))
				})),
				line("1500 µs is", control.Natural(func(gtx layout.Context) layout.Dimensions {
					return control.Bar(gtx, 2, th.Quiet("at").Layout, number(&c.stepCentre, "centre position", 60))
				})))
		}
		rows = append(rows,
			line("Between frames", control.Natural(control.Pick(th, &c.between, betweens()...).Layout)),
			line("", control.Natural(control.Check(th, &c.packed, "packed: smaller, the player unpacks it as it goes").Layout)),
		)
	}
	return control.Column(gtx, 1.5, rows...)
}

func kinds() []control.Option {
	o := control.Options("pulse, µs", "PWM counts", "0.1°", "servo steps")
	for i, h := range [...]string{
		"Pulse widths, to a quarter of a microsecond",
		"Counts of a 12-bit PWM driver, which counts 4096 in a period",
		"Joint angles: calibrate in your own firmware",
		"Positions of serial-bus servos",
	} {
		o[i].Hint = h
	}
	return o
}

func betweens() []control.Option {
	o := control.Options("hold", "linear", "cubic")
	for i, h := range [...]string{
		"A frame holds until the next one: jerky, and the least work",
		"Straight from frame to frame",
		"Smooth through four frames: fewer frames for the same error",
	} {
		o[i].Hint = h
	}
	return o
}

// prescale says what the driver's register gets.
func (c *Card) prescale() string {
	p := table.PWM{Rate: c.pwmRate.Value, Oscillator: c.pwmClock.Value * 1e6}
	n, err := p.Prescale()
	if err != nil {
		return "No prescale from 3 to 255 gives this rate."
	}
	s, err := p.Period()
	if err != nil {
		return "No prescale from 3 to 255 gives this rate."
	}
	return fmt.Sprintf("Prescale %d, a period of %s ms; 1500 µs are %d counts.", n, draw.Number(s*1000, 2), p.Counts(1500))
}

// leaves says what of the sequence is not in the table.
func (c *Card) leaves() string {
	switch What(c.what.Value) {
	case Moves:
		if c.walks {
			return "Each move of the sequence. The walks are not in it."
		}
		return "Each move of the sequence."
	case MovesAndWalks:
		return "Each move, and for each walk its cycle with the way in and out."
	}
	return "All that is played, from the beginning to the end, as one table."
}
