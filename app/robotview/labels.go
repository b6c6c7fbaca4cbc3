// SPDX-License-Identifier: MIT

package robotview

import (
	"image"
	"math"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
)

// labels are the words written on the canvas in this frame, so that none is
// written over another, nor over a leg where there is room beside it.
type labels struct {
	view  image.Rectangle // outside of it nothing is read
	taken []image.Rectangle
	links [][2]r2.Vec // of the legs, and the ground seen as a line, px
}

// side is where a label stands from its point.
type side uint8

const (
	right side = iota
	left
	lowerRight
	lowerLeft
	upperRight
	upperLeft
	higher
	deeper
)

// place gives where a label hangs from, one unit away, and by which edge.
func (s side) place() (by r2.Vec, anchor layout.Direction) {
	switch s {
	case left:
		return r2.Vec{X: -1}, layout.E
	case lowerRight:
		return r2.Vec{X: 1, Y: 1}, layout.W
	case lowerLeft:
		return r2.Vec{X: -1, Y: 1}, layout.E
	case upperRight:
		return r2.Vec{X: 1, Y: -1}, layout.W
	case upperLeft:
		return r2.Vec{X: -1, Y: -1}, layout.E
	case higher:
		return r2.Vec{Y: -1}, layout.S
	case deeper:
		return r2.Vec{Y: 1}, layout.N
	}
	return r2.Vec{X: 1}, layout.W
}

// reset begins a frame in which the legs are drawn so, in a view of a size.
func (l *labels) reset(size image.Point, legs [][4]r2.Vec, show []bool) {
	l.view = image.Rectangle{Max: size}
	l.taken, l.links = l.taken[:0], l.links[:0]
	for i, c := range legs {
		if !show[i] {
			continue
		}
		for j := range 3 {
			l.links = append(l.links, [2]r2.Vec{c[j], c[j+1]})
		}
	}
}

// put writes words beside a point, reach px away: on the first side on which
// they lie over nothing, or else where they do so least, also farther off.
func (l *labels) put(gtx layout.Context, t draw.Text, at r2.Vec, reach float64, words string, sides ...side) {
	if words == "" || at.X-at.X != 0 || at.Y-at.Y != 0 || len(sides) == 0 {
		return
	}
	d, _ := t.Measure(gtx, words)
	best, off, least := sides[0], reach, math.Inf(1)
	for _, r := range [...]float64{reach, 2 * reach} { // farther only where it is better
		for _, s := range sides {
			if n := l.covers(box(at, r, s, d.Size)); n < least {
				best, off, least = s, r, n
			}
			if least == 0 {
				break
			}
		}
	}
	by, anchor := best.place()
	l.taken = append(l.taken, t.At(gtx, r2.Add(at, r2.Scale(off, by)), anchor, words))
}

// box gives where a label of a size would lie.
func box(at r2.Vec, reach float64, s side, size image.Point) image.Rectangle {
	by, anchor := s.place()
	p := r2.Add(at, r2.Scale(reach, by))
	lo := image.Pt(int(p.X), int(p.Y)-size.Y/2)
	switch anchor {
	case layout.E:
		lo.X -= size.X
	case layout.S:
		lo = image.Pt(int(p.X)-size.X/2, int(p.Y)-size.Y)
	case layout.N:
		lo = image.Pt(int(p.X)-size.X/2, int(p.Y))
	}
	return image.Rectangle{Min: lo, Max: lo.Add(size)}
}

// level notes the ground where it is seen from the side, as a line at a height.
func (l *labels) level(y float64) {
	l.links = append(l.links, [2]r2.Vec{{Y: y}, {X: float64(l.view.Max.X), Y: y}})
}

// sign notes that something is drawn about c.
func (l *labels) sign(c r2.Vec, r float64) {
	for y := -r; y <= r; y += r {
		l.links = append(l.links, [2]r2.Vec{{X: c.X - r, Y: c.Y + y}, {X: c.X + r, Y: c.Y + y}})
	}
}

// covers gives how many pixels of other words and of legs a box covers, and how
// many lie outside the view; words over words are the worse.
func (l *labels) covers(b image.Rectangle) (n float64) {
	const words, width, lost = 4, 3, 6
	in := b.Intersect(l.view)
	n = lost * float64(b.Dx()*b.Dy()-in.Dx()*in.Dy())
	for _, t := range l.taken {
		o := t.Intersect(b)
		n += words * float64(o.Dx()*o.Dy())
	}
	lo, hi := r2.Vec{X: float64(b.Min.X), Y: float64(b.Min.Y)}, r2.Vec{X: float64(b.Max.X), Y: float64(b.Max.Y)}
	for _, s := range l.links {
		if p, q, ok := draw.Clip(s[0], s[1], lo, hi); ok {
			n += width * r2.Norm(r2.Sub(q, p))
		}
	}
	return n
}
