// SPDX-License-Identifier: MIT

package look

import (
	"image/color"

	"gaitwright/app/draw"
)

// The hues of Okabe and Ito, 2008.
const (
	orange    = 0xE69F00
	skyBlue   = 0x56B4E9
	green     = 0x009E73
	yellow    = 0xF0E442
	blue      = 0x0072B2
	vermilion = 0xD55E00
	purple    = 0xCC79A7
)

// Tone is one meaning in the four ways in which it appears.
type Tone struct {
	Ink  color.NRGBA // text and glyphs on the panel and on Wash
	Fill color.NRGBA // solid areas
	On   color.NRGBA // text on Fill
	Wash color.NRGBA // pale ground
}

// Stroke is a colour with the line pattern that says the same.
type Stroke struct {
	Color   color.NRGBA
	Pattern draw.Pattern
}

// Line returns the stroke as a line of the given width, px.
func (s Stroke) Line(width float64) draw.Line { return draw.Line{Width: width, Pattern: s.Pattern} }

// Colours are the colours by role.
type Colours struct {
	Canvas color.NRGBA // ground of drawings
	Panel  color.NRGBA // ground of lists and controls
	Raised color.NRGBA // buttons and cards
	Field  color.NRGBA // ground of typed text

	Line       color.NRGBA // hairlines that only divide
	Edge       color.NRGBA // outlines that a control is known by
	Grid       color.NRGBA // fine grid of a drawing
	GridStrong color.NRGBA // main grid and axes of a drawing

	Text  color.NRGBA
	Dim   color.NRGBA // text of second rank
	Faint color.NRGBA // text of disabled controls

	Accent  Tone // what is active
	Stop    Tone // do not run this on the robot
	Caution Tone // look first
	Fine    Tone // nothing found

	Focus    color.NRGBA // ring about what takes the keys
	Chosen   color.NRGBA // ground of the chosen row
	Hover    color.NRGBA // ground under the pointer
	Scrim    color.NRGBA // over the window behind a dialog
	Selected color.NRGBA // ground of selected text

	Robot    color.NRGBA // links and body
	RobotFar color.NRGBA // the same, farther away
	Ghost    color.NRGBA // a pose that is not the present one
	Support  color.NRGBA // support polygon, translucent
	Ground   color.NRGBA // ground grid in the free view

	Reach [3]Stroke // by ReachClass

	legs [12]Stroke
}

// ReachClass sorts points of a path by the room that the leg has left.
type ReachClass uint8

// The classes.
const (
	ReachOK ReachClass = iota
	ReachNear
	ReachOut
)

// String names the class.
func (r ReachClass) String() string {
	switch r {
	case ReachNear:
		return "near the limit"
	case ReachOut:
		return "out of reach"
	}
	return "within reach"
}

// Leg returns the stroke of the leg with index i. Twelve are distinct by
// colour and pattern together, six of them by colour alone; then they repeat.
func (c *Colours) Leg(i int) Stroke {
	n := len(c.legs)
	return c.legs[((i%n)+n)%n]
}

// colours builds the light or the dark set.
func colours(dark bool) Colours {
	black, white := rgb(0x000000), rgb(0xFFFFFF)
	var c Colours
	away := black // the colour to mix with for more contrast
	if dark {
		away = white
		c = Colours{
			Canvas: rgb(0x121518), Panel: rgb(0x1C2024), Raised: rgb(0x2A2F35), Field: rgb(0x14171A),
			Line: rgb(0x343A41), Edge: rgb(0x79828C), Grid: rgb(0x20252A), GridStrong: rgb(0x3A424A),
			Text: rgb(0xDFE3E6), Dim: rgb(0xA4ACB4), Faint: rgb(0x6B747D),
			Hover: rgb(0x262B30), Scrim: Faded(black, 0.55),
			Robot: rgb(0xFCFDFD), RobotFar: rgb(0xA9B1B8), Ghost: rgb(0x5F6973), Ground: rgb(0x2A3036),
		}
	} else {
		c = Colours{
			Canvas: rgb(0xFCFCFB), Panel: rgb(0xF1F2F3), Raised: rgb(0xFFFFFF), Field: rgb(0xFFFFFF),
			Line: rgb(0xD7DADD), Edge: rgb(0x80878E), Grid: rgb(0xECEEEF), GridStrong: rgb(0xC9CED2),
			Text: rgb(0x1B1F23), Dim: rgb(0x565E66), Faint: rgb(0x959CA3),
			Hover: rgb(0xE6E8EA), Scrim: Faded(black, 0.35),
			Robot: rgb(0x16191C), RobotFar: rgb(0x747C84), Ghost: rgb(0xA9B0B6), Ground: rgb(0xDFE2E5),
		}
	}

	tone := func(hue uint32) Tone {
		t := Tone{On: white}
		if dark {
			t.On = rgb(0x101316)
			t.Fill = Against(rgb(hue), away, 4.7, t.On)
		} else {
			t.Fill = Against(rgb(hue), away, 4.6, t.On)
		}
		t.Wash = Mix(c.Panel, rgb(hue), map[bool]float64{true: 0.17, false: 0.12}[dark])
		grounds := []color.NRGBA{c.Panel, c.Canvas, c.Raised, t.Wash}
		if c.Chosen.A > 0 { // all but the first stand on a chosen row too
			grounds = append(grounds, c.Chosen)
		}
		t.Ink = Against(rgb(hue), away, 4.6, grounds...)
		return t
	}
	accent := uint32(blue)
	if dark {
		accent = skyBlue
	}
	c.Accent = tone(accent)
	c.Chosen = c.Accent.Wash
	c.Stop, c.Caution, c.Fine = tone(vermilion), tone(orange), tone(green)

	c.Focus = Against(rgb(accent), away, 3.2, c.Panel, c.Canvas, c.Raised)
	c.Selected = Mix(c.Field, rgb(accent), 0.35)
	c.Support = Faded(rgb(accent), 0.16)
	if dark {
		c.Support.A /= 2 // blending is linear in light: the same share looks stronger
	}

	// WCAG 2.2 asks for 3; a thin dark line on a light ground is smoothed to
	// less than its colour, and is given more.
	least := 4.0
	if dark {
		least = 3.1
	}
	graphic := func(hue uint32) color.NRGBA { return Against(rgb(hue), away, least, c.Canvas, c.Panel) }
	c.Reach = [3]Stroke{
		ReachOK:   {graphic(green), draw.Solid},
		ReachNear: {graphic(orange), draw.Dashed},
		ReachOut:  {graphic(vermilion), draw.Dotted},
	}
	if dark {
		// The path is to stand out from everything but the robot.
		c.Reach[ReachOK].Color = Mix(rgb(green), white, 0.38)
		c.Reach[ReachNear].Color = rgb(yellow)
		c.Reach[ReachOut].Color = Mix(rgb(vermilion), white, 0.30)
	}
	hues := [6]uint32{blue, orange, green, purple, 0x000000, yellow} // vermilion stays for stop
	if dark {
		hues[4] = skyBlue // shaded for a light canvas it comes too near to blue
	}
	patterns := [3]draw.Pattern{draw.Solid, draw.Dashed, draw.DashDot}
	for i := range c.legs {
		c.legs[i] = Stroke{graphic(hues[i%6]), patterns[(i+i/6)%3]}
	}
	return c
}
