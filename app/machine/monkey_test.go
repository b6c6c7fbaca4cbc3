// SPDX-License-Identifier: MIT

package machine

import (
	"fmt"
	"image"
	"math/rand/v2"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/assets"
)

// Whatever is pressed, dragged, typed and undone on all pages, the document
// stays one that can be written and read, and undoing all gives the first one.
func TestMonkey(t *testing.T) {
	n := 500
	if testing.Short() {
		n = 150
	}
	r := open(t, loaded(t), bodyOf)
	first := r.file()
	rnd := rand.New(rand.NewPCG(5, 7)) // any fixed seed
	size := usual()
	at := func() f32.Point {
		return f32.Pt(float32(rnd.IntN(size.X)), float32(rnd.IntN(size.Y)))
	}
	keys := []key.Name{key.NameLeftArrow, key.NameUpArrow, key.NameDownArrow, key.NameReturn, key.NameEscape,
		key.NamePageDown, key.NamePageUp, key.NameSpace, key.NameDeleteBackward}
	for i := range n {
		switch k := rnd.IntN(12); {
		case k < 3:
			r.ClickAt(at())
		case k < 6:
			r.Drag(at(), at(), 2)
		case k < 7:
			r.Scroll(at(), float32(rnd.IntN(400)-200), 0)
		case k < 9:
			r.Press(keys[rnd.IntN(len(keys))], key.Modifiers(rnd.IntN(2))*key.ModShift)
		case k < 10:
			r.Type([]string{"1", "12", "-40", "0.5", "1e9", "x", "1500"}[rnd.IntN(7)])
		case k < 11:
			r.Tab(rnd.IntN(2) == 0)
		default:
			switch rnd.IntN(5) {
			case 0:
				r.doc.Undo()
			case 1:
				r.doc.Redo()
			case 2: // the window is made smaller or larger
				r.Size = image.Pt(200+rnd.IntN(500), 150+rnd.IntN(400))
			default:
				r.panel.pages.Value = rnd.IntN(4)
			}
			r.Frame()
		}
		if i%50 == 0 {
			if err := r.doc.File().Check(); err != nil {
				t.Fatalf("event %d: %v", i, err)
			}
		}
	}
	r.Queue(pointer.Event{Kind: pointer.Cancel})
	r.Frame()
	r.doc.Drop()
	for {
		if _, more := r.doc.CanUndo(); !more {
			break
		}
		r.doc.Undo()
	}
	r.Frame()
	if r.file() != first {
		t.Error("undoing all does not give the first document")
	}
}

// The panel while the tibia is dragged: the rehearsal with its review, and the
// frame.
func BenchmarkDragTibia(b *testing.B) {
	r := open(b, assets.Demo, legOf)
	from := r.spot("end of the tibia")
	r.pointer(pointer.Press, from, pointer.ButtonPrimary)
	i := 0
	for b.Loop() {
		i++
		r.pointer(pointer.Move, from.Add(f32.Pt(float32(2+i%5), float32(2+i%7))), pointer.ButtonPrimary)
	}
	b.ReportMetric(float64(r.doc.Serial())/float64(max(i, 1)), "rehearsals/move")
}

// BenchmarkFrame lays the pages out at rest.
func BenchmarkFrame(b *testing.B) {
	for page := range pages() {
		b.Run(fmt.Sprint(pages()[page].Text), func(b *testing.B) {
			r := open(b, assets.Demo, page)
			for b.Loop() {
				r.Frame()
			}
		})
	}
}
