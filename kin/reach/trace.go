// SPDX-License-Identifier: MIT

package reach

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Sheet is a plane in the hip frame: p of the sheet lies at P + p.X·U + p.Y·V.
type Sheet struct {
	P    r3.Vec // m
	U, V r3.Vec // unit vectors square to each other
}

// At gives pHF of a point of the sheet, m.
func (s *Sheet) At(p r2.Vec) r3.Vec {
	return r3.Add(s.P, r3.Add(r3.Scale(p.X, s.U), r3.Scale(p.Y, s.V)))
}

// Outline is the edge of a region of a sheet as closed lines, inside to the
// left: round the region counter-clockwise, round a hole in it clockwise. The
// zero value is empty; Trace fills it again and again without allocating once
// its arrays have grown.
type Outline struct {
	pts  []r2.Vec
	ends []int // index in pts after the last point of each line

	limb  Limb
	sheet Sheet
	nx    int       // nodes along x, with the ring about the box
	xs    []float64 // of the nodes, m
	ys    []float64
	room  []float64 // by nodes, row after row
	seen  []uint8   // by cells: edges from which a line was followed
}

// Len gives the number of lines.
func (o *Outline) Len() int { return len(o.ends) }

// Line gives the corners of line i, m. It is valid until the next Trace.
func (o *Outline) Line(i int) []r2.Vec {
	from := 0
	if i > 0 {
		from = o.ends[i-1]
	}
	return o.pts[from:o.ends[i]]
}

// most bounds the cells along one side.
const most = 1000

// Trace finds the part of the box lo-hi of a sheet in which the foot of a leg
// can be, looking at nx by ny cells. Where the region goes on beyond the box
// its line follows the box. A box that is empty or not finite gives nothing.
//
// Marching squares (Lorensen and Cline, 1987, in two dimensions) on Room; a
// square with two opposite corners inside is settled by its middle. Where a
// line crosses a cell's side it is on the edge to a thousandth of the side;
// between, it is straight, so that a corner of the region is cut off within
// its cell, and what is smaller than a cell may be missed. Some 60 ns a cell.
func (o *Outline) Trace(b Limb, s Sheet, lo, hi r2.Vec, nx, ny int) {
	o.pts, o.ends = o.pts[:0], o.ends[:0]
	dx, dy := hi.X-lo.X, hi.Y-lo.Y
	if !(dx > 0 && dy > 0) || math.IsInf(dx, 0) || math.IsInf(dy, 0) {
		return
	}
	nx, ny = max(1, min(nx, most)), max(1, min(ny, most))
	o.limb, o.sheet, o.nx = b, s, nx+3
	o.xs = nodes(o.xs, lo.X, hi.X, nx)
	o.ys = nodes(o.ys, lo.Y, hi.Y, ny)
	o.look(nx, ny)
	cells := (nx + 2) * (ny + 2)
	if cap(o.seen) < cells {
		o.seen = make([]uint8, cells)
	}
	o.seen = o.seen[:cells]
	clear(o.seen)
	for j := range ny + 2 {
		for i := range nx + 2 {
			for e := range 4 {
				if o.starts(i, j, e) && o.seen[j*(nx+2)+i]&(1<<e) == 0 {
					o.follow(i, j, e)
				}
			}
		}
	}
}

// nodes gives n+1 even steps from lo to hi, the first and the last twice: the
// ring about the box has no width.
func nodes(dst []float64, lo, hi float64, n int) []float64 {
	dst = append(dst[:0], lo)
	for i := range n + 1 {
		dst = append(dst, lo+(hi-lo)*float64(i)/float64(n))
	}
	return append(dst, dst[n+1])
}

// look asks for the room at every node. On the ring there is none.
func (o *Outline) look(nx, ny int) {
	if n := o.nx * (ny + 3); cap(o.room) < n {
		o.room = make([]float64, n)
	}
	o.room = o.room[:o.nx*(ny+3)]
	for i := range o.room {
		o.room[i] = -1
	}
	s := &o.sheet
	for j := 1; j < ny+2; j++ {
		row := o.room[j*o.nx:]
		at := r3.Add(s.P, r3.Scale(o.ys[j], s.V))
		for i := 1; i < nx+2; i++ {
			x := o.xs[i]
			row[i] = o.limb.Room(r3.Vec{X: at.X + x*s.U.X, Y: at.Y + x*s.U.Y, Z: at.Z + x*s.U.Z})
		}
	}
}

// corner gives the node at corner c of a cell: counter-clockwise from the
// lower left. Side e goes from corner e to the next.
func corner(i, j, c int) (x, y int) {
	switch c & 3 {
	case 1:
		return i + 1, j
	case 2:
		return i + 1, j + 1
	case 3:
		return i, j + 1
	}
	return i, j
}

func (o *Outline) inside(i, j, c int) bool {
	x, y := corner(i, j, c)
	return o.room[y*o.nx+x] > 0
}

// starts tells whether a line enters the cell over side e: the side leads from
// inside to outside.
func (o *Outline) starts(i, j, e int) bool { return o.inside(i, j, e) && !o.inside(i, j, e+1) }

// follow walks a line from the cell and side on which it enters, back to where
// it began.
func (o *Outline) follow(i, j, e int) {
	cells := o.nx - 1
	for o.seen[j*cells+i]&(1<<e) == 0 {
		o.seen[j*cells+i] |= 1 << e
		p := o.cross(i, j, e)
		if n := len(o.pts); n == o.first() || o.pts[n-1] != p {
			o.pts = append(o.pts, p)
		}
		switch e = o.exit(i, j, e); e { // and over into the next cell
		case 0:
			j, e = j-1, 2
		case 1:
			i, e = i+1, 3
		case 2:
			j, e = j+1, 0
		case 3:
			i, e = i-1, 1
		}
	}
	from := o.first()
	if n := len(o.pts); n > from+1 && o.pts[n-1] == o.pts[from] {
		o.pts = o.pts[:n-1]
	}
	if len(o.pts)-from < 3 { // a single node on the box's corner
		o.pts = o.pts[:from]
		return
	}
	o.ends = append(o.ends, len(o.pts))
}

// first is where the line under way begins.
func (o *Outline) first() int {
	if n := len(o.ends); n > 0 {
		return o.ends[n-1]
	}
	return 0
}

// exit gives the side over which a line leaves that entered over side e: the
// one before the corners inside that end at e. Of two pairs of such sides the
// middle of the cell decides.
func (o *Outline) exit(i, j, e int) int {
	if !o.inside(i, j, e+2) || o.inside(i, j, e+3) {
		for k := e + 3; ; k-- {
			if !o.inside(i, j, k) {
				return k & 3
			}
		}
	}
	mid := r2.Vec{X: (o.xs[i] + o.xs[i+1]) / 2, Y: (o.ys[j] + o.ys[j+1]) / 2}
	if o.limb.Room(o.sheet.At(mid)) > 0 {
		return (e + 1) & 3
	}
	return (e + 3) & 3
}

// cross finds where a line crosses side e of a cell: by false position, which
// takes half of the room at an end that stays (Illinois), never out of the
// bracket.
func (o *Outline) cross(i, j, e int) r2.Vec {
	ax, ay := corner(i, j, e)
	bx, by := corner(i, j, e+1)
	in, out := r2.Vec{X: o.xs[ax], Y: o.ys[ay]}, r2.Vec{X: o.xs[bx], Y: o.ys[by]}
	if in == out { // on the box
		return in
	}
	f, g := o.room[ay*o.nx+ax], o.room[by*o.nx+bx]
	d := r2.Sub(out, in)
	a, b := 0.0, 1.0
	for n := 0; b-a > 1e-3 && n < 12; n++ {
		t := (a + b) / 2
		if m := a + (b-a)*f/(f-g); n < 6 && m > a && m < b {
			t = max(a+(b-a)*1e-3, min(b-(b-a)*1e-3, m)) // so that the far end comes along
		}
		h := o.limb.Room(o.sheet.At(r2.Add(in, r2.Scale(t, d))))
		if h > 0 {
			a, f, g = t, h, g/2
		} else {
			b, g, f = t, h, f/2
		}
		if math.Abs(h) < 1e-7 {
			a, b = t, t
		}
	}
	return r2.Add(in, r2.Scale((a+b)/2, d))
}
