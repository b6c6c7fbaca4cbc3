// SPDX-License-Identifier: MIT

package look

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"testing"

	"gaitwright/app/draw"
)

// Published pairs: WCAG 2.2, contrast ratio and relative luminance, computed
// from the definitions to 16 digits; #767676 and #595959 are the well-known
// greys that just pass 4.5 and 7 on white.
func TestContrastFormula(t *testing.T) {
	for _, tc := range []struct {
		a, b uint32
		want float64
	}{
		{0x000000, 0xFFFFFF, 21},
		{0x767676, 0xFFFFFF, 4.542224959605253},
		{0x777777, 0xFFFFFF, 4.478089453577214},
		{0x949494, 0xFFFFFF, 3.0334698257384747},
		{0x959595, 0xFFFFFF, 2.9953461357088114},
		{0x595959, 0xFFFFFF, 7.004729208035935},
		{0xFF0000, 0xFFFFFF, 3.9984767707539985},
		{0x0000FF, 0xFFFFFF, 8.592471358428805},
		{0x008000, 0xFFFFFF, 5.137402780824574},
		{0xFFFF00, 0xFFFFFF, 1.0738392309265699},
		{0x808080, 0x000000, 5.317210002277984},
		// Okabe and Ito's hues on white and on #1E1E1E, to 4 decimals.
		{orange, 0xFFFFFF, 2.2523}, {skyBlue, 0xFFFFFF, 2.3075}, {green, 0xFFFFFF, 3.4211}, {yellow, 0xFFFFFF, 1.3223},
		{blue, 0xFFFFFF, 5.1854}, {vermilion, 0xFFFFFF, 3.8672}, {purple, 0xFFFFFF, 3.0610},
		{orange, 0x1E1E1E, 7.4019}, {skyBlue, 0x1E1E1E, 7.2248}, {green, 0x1E1E1E, 4.8730}, {yellow, 0x1E1E1E, 12.6074},
		{blue, 0x1E1E1E, 3.2150}, {vermilion, 0x1E1E1E, 4.3109}, {purple, 0x1E1E1E, 5.4463},
	} {
		got := Contrast(rgb(tc.a), rgb(tc.b))
		tol := 1e-12
		if d := tc.want*1e4 - math.Round(tc.want*1e4); tc.want != 21 && math.Abs(d) < 1e-9 {
			tol = 5e-5
		}
		if math.Abs(got-tc.want) > tol {
			t.Errorf("#%06X on #%06X: %.16g, want %.16g", tc.a, tc.b, got, tc.want)
		}
		if back := Contrast(rgb(tc.b), rgb(tc.a)); back != got {
			t.Errorf("#%06X on #%06X: %v turned around is %v", tc.a, tc.b, got, back)
		}
	}
}

func each(t *testing.T, f func(t *testing.T, c *Colours, dark bool)) {
	for _, dark := range []bool{false, true} {
		t.Run(map[bool]string{false: "light", true: "dark"}[dark], func(t *testing.T) {
			c := colours(dark)
			f(t, &c, dark)
		})
	}
}

func TestContrastOfRoles(t *testing.T) {
	each(t, func(t *testing.T, c *Colours, _ bool) {
		check := func(name string, fg color.NRGBA, least float64, grounds ...color.NRGBA) {
			t.Helper()
			for i, g := range grounds {
				if got := Contrast(fg, g); got < least {
					t.Errorf("%s (%v) on ground %d (%v): %.2f, want at least %.1f", name, fg, i, g, got, least)
				}
			}
		}
		const text, graphic = 4.5, 3 // WCAG 2.2, 1.4.3 and 1.4.11
		grounds := []color.NRGBA{c.Canvas, c.Panel, c.Raised, c.Field}
		check("text", c.Text, text, append(grounds, c.Hover, c.Chosen, c.Selected)...)
		check("dim text", c.Dim, text, append(grounds, c.Hover, c.Chosen)...)
		check("edge", c.Edge, graphic, c.Panel, c.Field, c.Canvas, c.Raised)
		check("focus ring", c.Focus, graphic, grounds...)
		check("robot", c.Robot, graphic, c.Canvas)
		check("robot, far", c.RobotFar, graphic, c.Canvas)
		for name, tone := range map[string]Tone{"accent": c.Accent, "stop": c.Stop, "caution": c.Caution, "fine": c.Fine} {
			check(name+" ink", tone.Ink, text, c.Panel, c.Canvas, c.Raised, tone.Wash, c.Chosen)
			check(name+" on", tone.On, text, tone.Fill)
			check(name+" fill", tone.Fill, graphic, c.Panel, c.Canvas)
			check("text on "+name+" wash", c.Text, text, tone.Wash)
			check("dim on "+name+" wash", c.Dim, text, tone.Wash)
		}
		for i, s := range c.Reach {
			check(ReachClass(i).String(), s.Color, graphic, c.Canvas, c.Panel)
		}
		for i := range 12 {
			check(fmt.Sprint("leg ", i), c.Leg(i).Color, graphic, c.Canvas, c.Panel)
		}
	})
}

// On a dark canvas the robot and its path are the brightest things.
func TestBrightest(t *testing.T) {
	c := colours(true)
	for name, k := range map[string]color.NRGBA{
		"text": c.Text, "dim": c.Dim, "edge": c.Edge, "grid": c.GridStrong, "far": c.RobotFar, "ghost": c.Ghost, "ground": c.Ground,
	} {
		if Luminance(c.Robot) <= Luminance(k) {
			t.Errorf("%s is as bright as the robot", name)
		}
		if name == "text" {
			continue
		}
		for i, s := range c.Reach {
			if name != "dim" && name != "far" && Luminance(s.Color) <= Luminance(k) {
				t.Errorf("%s is as bright as the path %v", name, ReachClass(i))
			}
		}
	}
}

func TestReachClassesDifferTwice(t *testing.T) {
	each(t, func(t *testing.T, c *Colours, _ bool) {
		for i := range c.Reach {
			for j := range i {
				if c.Reach[i].Pattern == c.Reach[j].Pattern {
					t.Errorf("%v and %v share a pattern", ReachClass(i), ReachClass(j))
				}
				if d := deltaE(c.Reach[i].Color, c.Reach[j].Color); d < 25 {
					t.Errorf("%v and %v are %.1f apart", ReachClass(i), ReachClass(j), d)
				}
			}
		}
	})
}

// Legs of equal pattern differ clearly in colour, and six by colour alone.
func TestLegsAreDistinct(t *testing.T) {
	each(t, func(t *testing.T, c *Colours, _ bool) {
		for i := range 12 {
			for j := range i {
				a, b := c.Leg(i), c.Leg(j)
				d := deltaE(a.Color, b.Color)
				if i%6 == j%6 {
					if a.Pattern == b.Pattern {
						t.Errorf("legs %d and %d look the same", i, j)
					}
				} else if d < 20 {
					t.Errorf("legs %d and %d: colours %.1f apart", i, j, d)
				}
			}
		}
		if c.Leg(-1) != c.Leg(11) || c.Leg(12) != c.Leg(0) {
			t.Error("legs do not repeat after twelve")
		}
	})
}

// CIE 1976 colour difference. The Lab value of sRGB red, (53.2, 80.1, 67.2)
// for D65, is from memory.
func TestDeltaE(t *testing.T) {
	l, a, b := lab(rgb(0xFF0000))
	if math.Abs(l-53.2) > 0.1 || math.Abs(a-80.1) > 0.1 || math.Abs(b-67.2) > 0.1 {
		t.Errorf("Lab of red is %.2f %.2f %.2f", l, a, b)
	}
	if d := deltaE(rgb(0), rgb(0xFFFFFF)); math.Abs(d-100) > 0.01 {
		t.Errorf("black and white are %.3f apart, want 100 (definition)", d)
	}
}

func deltaE(p, q color.NRGBA) float64 {
	l0, a0, b0 := lab(p)
	l1, a1, b1 := lab(q)
	return math.Sqrt((l0-l1)*(l0-l1) + (a0-a1)*(a0-a1) + (b0-b1)*(b0-b1))
}

func lab(c color.NRGBA) (l, a, b float64) {
	r, g, bl := linear(c.R), linear(c.G), linear(c.B)
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*r + 0.3575761*g + 0.1804375*bl) / 0.95047)
	y := f(0.2126729*r + 0.7151522*g + 0.0721750*bl)
	z := f((0.0193339*r + 0.1191920*g + 0.9503041*bl) / 1.08883)
	return 116*y - 16, 500 * (x - y), 200 * (y - z)
}

func TestEveryGlyphDrawsInsideItsSquare(t *testing.T) {
	for g := NoGlyph + 1; g < glyphs; g++ {
		var b draw.Batch
		b.Reset(image.Rect(-100, -100, 200, 200))
		g.Add(&b, 50, 50, 64)
		if b.Len() == 0 {
			t.Errorf("glyph %d draws nothing", g)
		}
		if box := b.Bounds(); !box.In(image.Rect(18, 18, 82, 82)) {
			t.Errorf("glyph %d leaves its square: %v", g, box)
		}
	}
	var b draw.Batch
	b.Reset(image.Rect(0, 0, 10, 10))
	Glyph(250).Add(&b, 5, 5, 10)
	if b.Len() != 0 {
		t.Error("an unknown glyph draws something")
	}
}
