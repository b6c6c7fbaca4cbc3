// SPDX-License-Identifier: MIT

// Package look is how the window looks: colours by role, line patterns that
// say the same as the colours, sizes of text and space, and small glyphs.
//
//	th := look.New(true)
//	draw.Rect(gtx.Ops, view, th.Canvas)
//	th.Glyph(gtx, look.Play, 16, th.Text)
//	th.Strong("Strike").Layout(gtx)
//
// Hues are those of Okabe and Ito, "Color Universal Design", 2008, which stay
// apart for colour-blind readers; greys are our own. Where a hue is too faint
// or too dark for its ground it is shaded just as far as the contrast of
// WCAG 2.2 asks (4.5:1 for text, 3:1 for graphics).
package look
