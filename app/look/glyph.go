// SPDX-License-Identifier: MIT

package look

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
)

// Glyph is a small sign drawn by paths of our own.
type Glyph uint8

// The glyphs. Warning and Halt have the general shapes of a triangle and an
// octagon that also road signs use.
const (
	NoGlyph Glyph = iota
	Play
	Pause
	Repeat
	StepBack
	StepOn
	ToStart
	ToEnd
	Warning
	Halt
	Tick
	Close
	Plus
	Minus
	ArrowUp
	ArrowDown
	ArrowLeft
	ArrowRight
	Open
	Shut
	Folder
	Paper
	Home
	Parent
	Undo
	Redo
	Mirror
	Hold
	FitView
	Eye
	Dot
	Info
	Sun
	Moon
	Search
	Keep
	KeepAs
	Scales
	Cut
	Join
	Insert
	Sooner
	Later
	Bin
	Along
	More
	Sheet
	ToAll
	glyphs // how many there are
)

// pen draws on a grid of 16 by 16 with y down.
type pen struct {
	b *draw.Batch
	o r2.Vec
	k float64
}

func (p pen) at(x, y float64) r2.Vec { return r2.Vec{X: p.o.X + x*p.k, Y: p.o.Y + y*p.k} }

const nib = 1.6 // line width on the grid

// line draws a chain with round ends through x, y pairs.
func (p pen) line(xy ...float64) {
	for i := 0; i+3 < len(xy); i += 2 {
		p.b.Taper(p.at(xy[i], xy[i+1]), p.at(xy[i+2], xy[i+3]), nib*p.k, nib*p.k)
	}
}

func (p pen) poly(xy ...float64) { p.b.Polygon(p.points(xy)...) }
func (p pen) hole(xy ...float64) { p.b.Hole(p.points(xy)...) }

func (p pen) points(xy []float64) []r2.Vec {
	out := make([]r2.Vec, 0, len(xy)/2)
	for i := 0; i+1 < len(xy); i += 2 {
		out = append(out, p.at(xy[i], xy[i+1]))
	}
	return out
}

func (p pen) disc(x, y, r float64) { p.b.Disc(p.at(x, y), r*p.k) }

// arc draws part of a circle line between two angles, degrees, 0 to the right
// and 90 down.
func (p pen) arc(x, y, r, from, to float64) {
	const n = 14
	var xy []float64
	for i := range n + 1 {
		s, c := math.Sincos((from + (to-from)*float64(i)/n) * math.Pi / 180)
		xy = append(xy, x+r*c, y+r*s)
	}
	p.line(xy...)
}

// regular returns the corners of a regular polygon; first is the angle of one,
// degrees.
func (p pen) regular(x, y, r float64, n int, first float64) []float64 {
	var xy []float64
	for i := range n {
		s, c := math.Sincos(first*math.Pi/180 + 2*math.Pi*float64(i)/float64(n))
		xy = append(xy, x+r*c, y+r*s)
	}
	return xy
}

// mark cuts an exclamation mark out of a filled shape.
func (p pen) mark(x, top, bottom float64) {
	w := 0.95
	p.hole(x-w, top, x+w, top, x+w*0.7, bottom-2.9, x-w*0.7, bottom-2.9)
	p.hole(x-w, bottom-1.9, x+w, bottom-1.9, x+w, bottom, x-w, bottom)
}

// Add adds the glyph to a batch, centred at x, y in a square of the given
// size, px.
func (g Glyph) Add(b *draw.Batch, x, y, size float64) {
	k := size / 16
	p := pen{b, r2.Vec{X: x - size/2, Y: y - size/2}, k}
	if f := drawings[min(g, glyphs)]; f != nil {
		f(p)
	}
}

var drawings = [glyphs + 1]func(pen){
	Play:     func(p pen) { p.poly(4.5, 2.5, 13.5, 8, 4.5, 13.5) },
	Pause:    func(p pen) { p.poly(3.5, 3, 6.7, 3, 6.7, 13, 3.5, 13); p.poly(9.3, 3, 12.5, 3, 12.5, 13, 9.3, 13) },
	Repeat:   repeat,
	StepBack: func(p pen) { p.poly(12, 3.2, 12, 12.8, 5.6, 8); p.poly(3, 3.2, 4.8, 3.2, 4.8, 12.8, 3, 12.8) },
	StepOn:   func(p pen) { p.poly(4, 3.2, 4, 12.8, 10.4, 8); p.poly(11.2, 3.2, 13, 3.2, 13, 12.8, 11.2, 12.8) },
	ToStart: func(p pen) {
		p.poly(14.2, 3.2, 14.2, 12.8, 9, 8)
		p.poly(9, 3.2, 9, 12.8, 3.8, 8)
		p.poly(1.8, 3.2, 3.4, 3.2, 3.4, 12.8, 1.8, 12.8)
	},
	ToEnd: func(p pen) {
		p.poly(1.8, 3.2, 1.8, 12.8, 7, 8)
		p.poly(7, 3.2, 7, 12.8, 12.2, 8)
		p.poly(12.6, 3.2, 14.2, 3.2, 14.2, 12.8, 12.6, 12.8)
	},
	Warning: func(p pen) {
		p.poly(8, 1.2, 8.8, 1.7, 15.4, 13.4, 15, 14.4, 1, 14.4, 0.6, 13.4, 7.2, 1.7)
		p.mark(8, 5.4, 12.8)
	},
	Halt: func(p pen) {
		p.poly(p.regular(8, 8, 7.5, 8, 22.5)...)
		p.mark(8, 3.8, 12.2)
	},
	Tick:       func(p pen) { p.line(3, 8.6, 6.4, 12, 13, 4.4) },
	Close:      func(p pen) { p.line(4, 4, 12, 12); p.line(12, 4, 4, 12) },
	Plus:       func(p pen) { p.line(8, 3.2, 8, 12.8); p.line(3.2, 8, 12.8, 8) },
	Minus:      func(p pen) { p.line(3.2, 8, 12.8, 8) },
	ArrowUp:    func(p pen) { p.line(8, 13, 8, 3.4); p.line(4, 7.2, 8, 3.2, 12, 7.2) },
	ArrowDown:  func(p pen) { p.line(8, 3, 8, 12.6); p.line(4, 8.8, 8, 12.8, 12, 8.8) },
	ArrowLeft:  func(p pen) { p.line(13, 8, 3.4, 8); p.line(7.2, 4, 3.2, 8, 7.2, 12) },
	ArrowRight: func(p pen) { p.line(3, 8, 12.6, 8); p.line(8.8, 4, 12.8, 8, 8.8, 12) },
	Open:       func(p pen) { p.line(4, 6, 8, 10, 12, 6) },
	Shut:       func(p pen) { p.line(6, 4, 10, 8, 6, 12) },
	Folder: func(p pen) {
		p.poly(1.5, 3.2, 6.2, 3.2, 7.8, 5, 14.5, 5, 14.5, 13, 1.5, 13)
	},
	Paper: func(p pen) {
		p.line(9.4, 1.8, 3.4, 1.8, 3.4, 14.2, 12.6, 14.2, 12.6, 5, 9.4, 1.8, 9.4, 5, 12.6, 5)
	},
	Home: func(p pen) {
		p.line(1.8, 8.2, 8, 2.4, 14.2, 8.2)
		p.line(3.8, 7.4, 3.8, 13.6, 12.2, 13.6, 12.2, 7.4)
	},
	Parent: func(p pen) { p.line(13, 13, 5.4, 13, 5.4, 3.6); p.line(1.8, 7, 5.4, 3.2, 9, 7) },
	Undo: func(p pen) {
		p.line(6, 2.4, 2.4, 6, 6, 9.6)
		p.line(2.6, 6, 9.6, 6)
		p.arc(9.6, 9.8, 3.8, -90, 90)
		p.line(9.6, 13.6, 5.4, 13.6)
	},
	Redo: func(p pen) {
		p.line(10, 2.4, 13.6, 6, 10, 9.6)
		p.line(13.4, 6, 6.4, 6)
		p.arc(6.4, 9.8, 3.8, 90, 270)
		p.line(6.4, 13.6, 10.6, 13.6)
	},
	Mirror: func(p pen) {
		for y := 1.5; y < 14; y += 4.8 {
			p.line(8, y, 8, y+2.6)
		}
		p.poly(6, 4, 6, 12, 1.4, 12)
		p.line(10.4, 4.4, 10.4, 11.4, 14, 11.4, 10.4, 4.4)
	},
	Hold: func(p pen) {
		p.arc(8, 6.4, 3.2, 180, 360)
		p.line(4.8, 6.4, 4.8, 7.6)
		p.line(11.2, 6.4, 11.2, 7.6)
		p.poly(3, 7.2, 13, 7.2, 13, 14, 3, 14)
	},
	FitView: func(p pen) {
		p.line(2.4, 5.8, 2.4, 2.4, 5.8, 2.4)
		p.line(10.2, 2.4, 13.6, 2.4, 13.6, 5.8)
		p.line(13.6, 10.2, 13.6, 13.6, 10.2, 13.6)
		p.line(5.8, 13.6, 2.4, 13.6, 2.4, 10.2)
		p.disc(8, 8, 2.2)
	},
	Eye: func(p pen) {
		p.arc(8, 12.4, 7.9, 213, 327)
		p.arc(8, 3.6, 7.9, 33, 147)
		p.disc(8, 8, 2.2)
	},
	Dot: func(p pen) { p.disc(8, 8, 3.4) },
	Info: func(p pen) {
		p.disc(8, 8, 7)
		p.hole(7.05, 6.8, 8.95, 6.8, 8.95, 12, 7.05, 12)
		p.hole(7.05, 3.8, 8.95, 3.8, 8.95, 5.6, 7.05, 5.6)
	},
	Sun: func(p pen) {
		p.disc(8, 8, 3.1)
		for i := range 8 {
			s, c := math.Sincos(float64(i) * math.Pi / 4)
			p.line(8+5.2*c, 8+5.2*s, 8+6.6*c, 8+6.6*s)
		}
	},
	Moon: moon,
	Search: func(p pen) {
		p.arc(6.6, 6.6, 4.4, 0, 360)
		p.line(9.9, 9.9, 14, 14)
	},
	ToAll: func(p pen) { // from one to three
		p.disc(3, 8, 2)
		p.line(3, 8, 9.4, 3)
		p.line(3, 8, 9.4, 8)
		p.line(3, 8, 9.4, 13)
		p.disc(12.6, 2.8, 1.8)
		p.disc(12.6, 8, 1.8)
		p.disc(12.6, 13.2, 1.8)
	},
	Keep: func(p pen) { // an arrow down into a tray
		p.line(8, 2, 8, 9.4)
		p.line(4.8, 6.4, 8, 9.6, 11.2, 6.4)
		p.line(2.4, 9.8, 2.4, 13.6, 13.6, 13.6, 13.6, 9.8)
	},
	KeepAs: func(p pen) { // the same, and one more
		p.line(5.4, 2, 5.4, 9.4)
		p.line(2.6, 6.8, 5.4, 9.6, 8.2, 6.8)
		p.line(1.4, 10.4, 1.4, 13.8, 13.6, 13.8, 13.6, 10.4)
		p.line(9.8, 4.6, 14.6, 4.6)
		p.line(12.2, 2.2, 12.2, 7)
	},
	Scales: func(p pen) { // a beam with two pans
		p.line(8, 2.2, 8, 13.6)
		p.line(5, 13.6, 11, 13.6)
		p.line(2.6, 4.4, 13.4, 4.4)
		p.line(2.6, 4.6, 1.4, 9, 4.2, 9, 2.9, 4.6)
		p.line(13.4, 4.6, 11.8, 9, 14.6, 9, 13.2, 4.6)
	},
	Cut: func(p pen) { // two parts drawn asunder at a line
		p.line(8, 2.4, 8, 13.6)
		p.line(5.6, 8, 1.8, 8)
		p.line(4, 5.4, 1.6, 8, 4, 10.6)
		p.line(10.4, 8, 14.2, 8)
		p.line(12, 5.4, 14.4, 8, 12, 10.6)
	},
	Join: func(p pen) { // two parts drawn together
		p.line(1.4, 8, 6.2, 8)
		p.line(4, 5.4, 6.4, 8, 4, 10.6)
		p.line(14.6, 8, 9.8, 8)
		p.line(12, 5.4, 9.6, 8, 12, 10.6)
	},
	Insert: func(p pen) { // a bar, and one more behind it
		p.poly(1.4, 4, 5.4, 4, 5.4, 12, 1.4, 12)
		p.line(11, 4.6, 11, 11.4)
		p.line(7.6, 8, 14.4, 8)
	},
	Sooner: func(p pen) { // a bar that goes to the left
		p.poly(9.8, 4, 13.8, 4, 13.8, 12, 9.8, 12)
		p.line(7.6, 8, 2.2, 8)
		p.line(4.6, 5.2, 1.9, 8, 4.6, 10.8)
	},
	Later: func(p pen) {
		p.poly(2.2, 4, 6.2, 4, 6.2, 12, 2.2, 12)
		p.line(8.4, 8, 13.8, 8)
		p.line(11.4, 5.2, 14.1, 8, 11.4, 10.8)
	},
	Bin: func(p pen) {
		p.line(2.6, 4.2, 13.4, 4.2)
		p.line(6.2, 4, 6.2, 2, 9.8, 2, 9.8, 4)
		p.line(3.9, 4.4, 4.7, 14, 11.3, 14, 12.1, 4.4)
		p.line(6.7, 7, 6.9, 11.2)
		p.line(9.3, 7, 9.1, 11.2)
	},
	Along: func(p pen) { // three marks, and the way they go
		p.line(2.6, 2.2, 2.6, 7.6)
		p.line(7, 2.2, 7, 7.6)
		p.line(11.4, 2.2, 11.4, 7.6)
		p.line(2.2, 12, 13.4, 12)
		p.line(10.6, 9.3, 13.6, 12, 10.6, 14.7)
	},
	More: func(p pen) { p.disc(3, 8, 1.5); p.disc(8, 8, 1.5); p.disc(13, 8, 1.5) },
	Sheet: func(p pen) { // lines with a value each
		for y := 3.4; y < 14; y += 4.6 {
			p.line(2.2, y, 8, y)
			p.poly(10.4, y-1.4, 14, y-1.4, 14, y+1.4, 10.4, y+1.4)
		}
	},
}

// moon is a disc without a second disc that covers its upper right.
func moon(p pen) {
	const r, q = 6.4, 5.4    // radii of the disc and of the cover
	const ox, oy = 3.1, -2.2 // the cover's centre from the disc's
	d := math.Hypot(ox, oy)
	axis := math.Atan2(oy, ox)
	// Half angles of the common chord seen from both centres (law of cosines).
	a := math.Acos((d*d + r*r - q*q) / (2 * d * r))
	b := math.Pi - math.Acos((d*d+q*q-r*r)/(2*d*q))
	const n = 24
	var xy []float64
	for i := range n + 1 {
		s, c := math.Sincos(axis + a + (2*math.Pi-2*a)*float64(i)/n)
		xy = append(xy, 7.6+r*c, 8.2+r*s)
	}
	for i := 1; i < n; i++ {
		s, c := math.Sincos(axis - b - (2*math.Pi-2*b)*float64(i)/n)
		xy = append(xy, 7.6+ox+q*c, 8.2+oy+q*s)
	}
	p.poly(xy...)
}

func repeat(p pen) {
	// Two halves of a loop, each with an arrow head.
	p.line(3, 8, 3, 6.4)
	p.arc(6, 6.6, 3, 180, 270)
	p.line(6, 3.6, 11, 3.6)
	p.poly(10.4, 0.8, 14.4, 3.6, 10.4, 6.4)
	p.line(13, 8, 13, 9.6)
	p.arc(10, 9.4, 3, 0, 90)
	p.line(10, 12.4, 5, 12.4)
	p.poly(5.6, 9.6, 1.6, 12.4, 5.6, 15.2)
}
