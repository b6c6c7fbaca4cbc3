// SPDX-License-Identifier: MIT

package look

import (
	"image"

	"gioui.org/op"
	"gioui.org/op/clip"

	"gaitwright/app/draw"
)

// mostGlyphs bounds what is kept: all glyphs in a few sizes.
const mostGlyphs = 400

// glyphPaths keeps the paths of glyphs, which are the same from frame to
// frame. The zero value is ready.
type glyphPaths struct {
	of      map[sizedGlyph]clip.PathSpec
	ops     *op.Ops
	scratch draw.Batch
}

type sizedGlyph struct {
	g  Glyph
	px int
}

// path gives the path of a glyph px wide, from the origin to the right and
// down; not ok where there is nothing to draw.
func (k *glyphPaths) path(g Glyph, px int) (p clip.PathSpec, ok bool) {
	if p, ok := k.of[sizedGlyph{g, px}]; ok {
		return p, true
	}
	k.scratch.Reset(image.Rect(-px, -px, 2*px, 2*px))
	g.Add(&k.scratch, float64(px)/2, float64(px)/2, float64(px))
	if k.scratch.Len() == 0 {
		return p, false
	}
	if k.of == nil || len(k.of) >= mostGlyphs {
		// Frames under way may still hold paths of the operations before.
		k.of, k.ops = map[sizedGlyph]clip.PathSpec{}, new(op.Ops)
	}
	p = k.scratch.Path(k.ops)
	k.of[sizedGlyph{g, px}] = p
	return p, true
}
