// SPDX-License-Identifier: MIT

//go:build !headless

package snapshot

import (
	"image"
	"image/color"
	"testing"

	"gioui.org/op"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
)

func TestPixels(t *testing.T) {
	size := image.Pt(120, 100)
	view := image.Rectangle{Max: size}
	white := color.NRGBA{R: 255, G: 255, B: 255, A: 255}
	var ops op.Ops
	draw.Rect(&ops, view, white)
	draw.Horizontal(&ops, 0, 120, 10.5, 1, color.NRGBA{A: 255})
	var b draw.Batch
	b.Reset(view)
	// Shapes of every kind over each other, given in either orientation, must
	// add up and never cancel.
	p := func(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }
	b.Segment(p(20, 50), p(100, 50), draw.Line{Width: 10})
	b.Segment(p(60, 90), p(60, 30), draw.Line{Width: 10})
	b.Polygon(p(50, 40), p(70, 40), p(70, 60), p(50, 60))
	b.Polygon(p(50, 60), p(70, 60), p(70, 40), p(50, 40))
	b.Disc(p(60, 50), 8)
	b.Ring(p(100, 80), 8, 4)
	b.Paint(&ops, color.NRGBA{A: 128})
	img, err := Draw(size, &ops)
	if err != nil {
		t.Fatal(err)
	}
	if c := img.RGBAAt(5, 10); c != (color.RGBA{A: 255}) {
		t.Errorf("the 1 px line is %v", c)
	}
	if c, d := img.RGBAAt(5, 9), img.RGBAAt(5, 11); c.R != 255 || d.R != 255 {
		t.Errorf("beside the 1 px line: %v, %v", c, d)
	}
	if c, d := img.RGBAAt(60, 50), img.RGBAAt(30, 50); c != d || c.R == 255 {
		t.Errorf("the crossing is %v, an arm %v: blended twice or cancelled", c, d)
	}
	if c := img.RGBAAt(100, 80); c.R != 255 {
		t.Errorf("the ring's hole is %v", c)
	}
	if c, d := img.RGBAAt(108, 80), img.RGBAAt(30, 50); c != d {
		t.Errorf("the ring's line is %v, want %v", c, d)
	}
}

// A slanted line in pieces shows no seams.
func TestPiecesHaveNoSeams(t *testing.T) {
	size := image.Pt(400, 300)
	view := image.Rectangle{Max: size}
	var ops op.Ops
	draw.Rect(&ops, view, color.NRGBA{R: 255, G: 255, B: 255, A: 255})
	var b draw.Batch
	b.Reset(view)
	b.Segment(r2.Vec{X: 20, Y: 20}, r2.Vec{X: 380, Y: 280}, draw.Line{Width: 6})
	if b.Len() < 3 {
		t.Fatal("not in pieces")
	}
	b.Paint(&ops, color.NRGBA{A: 255})
	img, err := Draw(size, &ops)
	if err != nil {
		t.Fatal(err)
	}
	for x := 30; x < 370; x++ {
		y := 20 + float64(x-20)*260/360
		if c := img.RGBAAt(x, int(y)); c.R > 4 {
			t.Errorf("seam at %d, %d: %v", x, int(y), c)
		}
	}
}

func TestRefusesSizes(t *testing.T) {
	for _, size := range []image.Point{{}, {-1, 10}, {10, 9000}} {
		if _, err := Draw(size, new(op.Ops)); err == nil {
			t.Errorf("size %v was drawn", size)
		}
	}
}

// BenchmarkWireframe2000 is a whole picture of 2000 segments, the context
// included.
func BenchmarkWireframe2000(b *testing.B) {
	size := image.Pt(1280, 800)
	view := image.Rectangle{Max: size}
	for b.Loop() {
		var ops op.Ops
		draw.Rect(&ops, view, color.NRGBA{A: 255})
		var l draw.Batch
		l.Reset(view)
		for i := range 2000 {
			x, y := float64(i%50)*25, float64(i/50)*20
			l.Segment(r2.Vec{X: x, Y: y}, r2.Vec{X: x + 24, Y: y + 17}, draw.Line{Width: 1.5})
		}
		l.Paint(&ops, color.NRGBA{R: 255, A: 255})
		if _, err := Draw(size, &ops); err != nil {
			b.Fatal(err)
		}
	}
}
