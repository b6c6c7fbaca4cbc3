// SPDX-License-Identifier: MIT

package look

import (
	"image/color"
	"math"
)

// Luminance returns the relative luminance of an opaque colour, [0,1].
// Source: WCAG 2.2, definition "relative luminance".
func Luminance(c color.NRGBA) float64 {
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// linear undoes the sRGB transfer curve.
func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

// Contrast returns the contrast ratio of two opaque colours, [1,21].
// Source: WCAG 2.2, definition "contrast ratio".
func Contrast(a, b color.NRGBA) float64 {
	la, lb := Luminance(a), Luminance(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// Mix returns a with the share t of b, [0,1], mixed in sRGB values.
func Mix(a, b color.NRGBA, t float64) color.NRGBA {
	f := func(x, y uint8) uint8 { return uint8(math.Round(float64(x) + t*(float64(y)-float64(x)))) }
	return color.NRGBA{R: f(a.R, b.R), G: f(a.G, b.G), B: f(a.B, b.B), A: f(a.A, b.A)}
}

// Faded returns c with the share a of its opacity, [0,1].
func Faded(c color.NRGBA, a float64) color.NRGBA {
	c.A = uint8(math.Round(float64(c.A) * min(max(a, 0), 1)))
	return c
}

// Against returns c, mixed with as little of toward as gives the contrast
// ratio against every ground. Without success it returns toward.
func Against(c, toward color.NRGBA, ratio float64, grounds ...color.NRGBA) color.NRGBA {
	const steps = 100
next:
	for i := range steps {
		m := Mix(c, toward, float64(i)/steps)
		for _, g := range grounds {
			if Contrast(m, g) < ratio {
				continue next
			}
		}
		return m
	}
	return toward
}

func rgb(v uint32) color.NRGBA {
	return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 0xff}
}
