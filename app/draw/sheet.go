// SPDX-License-Identifier: MIT

package draw

import (
	"image"
	"image/color"

	"gioui.org/op"
)

// Sheet is a drawing of a few colours: one batch each, painted in the order in
// which the colours were first asked for.
type Sheet struct {
	view   image.Rectangle
	inks   []color.NRGBA
	layers []*Batch // kept for reuse; the first len(inks) are in use
}

// Reset empties the sheet and sets its view.
func (s *Sheet) Reset(view image.Rectangle) {
	s.view = view
	s.inks = s.inks[:0]
}

// In returns the batch of the given colour.
func (s *Sheet) In(c color.NRGBA) *Batch {
	for i, k := range s.inks {
		if k == c {
			return s.layers[i]
		}
	}
	s.inks = append(s.inks, c)
	if len(s.layers) < len(s.inks) {
		s.layers = append(s.layers, new(Batch))
	}
	b := s.layers[len(s.inks)-1]
	b.Reset(s.view)
	return b
}

// Paint adds all batches to ops.
func (s *Sheet) Paint(ops *op.Ops) {
	for i, c := range s.inks {
		s.layers[i].Paint(ops, c)
	}
}
