// SPDX-License-Identifier: MIT

package drive

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/font/gofont"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/text"
	"gioui.org/widget"
	"gioui.org/widget/material"
)

// app is a small window: a button, an editor, and a play switch that animates.
type app struct {
	th           *material.Theme
	go_, play    widget.Clickable
	editor       widget.Editor
	hits, double int
	playing      bool
	dead         bool
}

func newApp() *app {
	a := &app{th: material.NewTheme()}
	a.th.Shaper = text.NewShaper(text.NoSystemFonts(), text.WithCollection(gofont.Collection()))
	a.editor.SingleLine = true
	return a
}

func (a *app) layout(gtx layout.Context) layout.Dimensions {
	for {
		c, ok := a.go_.Update(gtx)
		if !ok {
			break
		}
		a.hits++
		if c.NumClicks == 2 {
			a.double++
		}
	}
	if a.play.Clicked(gtx) {
		a.playing = !a.playing
	}
	if a.playing {
		gtx.Execute(op.InvalidateCmd{})
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			if a.dead {
				gtx = gtx.Disabled()
			}
			return material.Button(a.th, &a.go_, "Go").Layout(gtx)
		}),
		layout.Rigid(material.Button(a.th, &a.play, "Play").Layout),
		layout.Rigid(material.Editor(a.th, &a.editor, "name").Layout),
	)
}

func TestClicks(t *testing.T) {
	a := newApp()
	d := New(image.Pt(300, 200), a.layout)
	for range 3 {
		if err := d.Click("Go"); err != nil {
			t.Fatal(err)
		}
	}
	if a.hits != 3 || a.double != 0 {
		t.Errorf("%d hits, %d double", a.hits, a.double)
	}
	p, err := d.Centre("Go")
	if err != nil {
		t.Fatal(err)
	}
	d.DoubleClickAt(p)
	if a.double != 1 {
		t.Errorf("%d double", a.double)
	}
	if err := d.Click("Nowhere"); !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), `"Play"`) {
		t.Errorf("error %v", err)
	}
}

func TestSettle(t *testing.T) {
	a := newApp()
	d := New(image.Pt(300, 200), a.layout)
	if err := d.Settle(); err != nil {
		t.Fatal(err)
	}
	if err := d.Click("Play"); err != nil {
		t.Fatal(err)
	}
	if _, again := d.Awake(); !again {
		t.Error("playing asks for no frame")
	}
	if err := d.Settle(); !errors.Is(err, ErrRestless) {
		t.Errorf("error %v", err)
	}
	if err := d.Click("Play"); err != nil {
		t.Fatal(err)
	}
	// A blinking cursor comes to rest.
	d.Focus(&a.editor)
	was := d.Now
	if err := d.Settle(); err != nil || d.Now.Sub(was) < time.Second {
		t.Errorf("after %v: %v", d.Now.Sub(was), err)
	}
}

func TestTypeReplacesTheSelection(t *testing.T) {
	a := newApp()
	d := New(image.Pt(300, 200), a.layout)
	a.editor.SetText("old")
	d.Focus(&a.editor)
	a.editor.SetCaret(0, 3)
	d.Frame()
	d.Type("new µ é")
	if got := a.editor.Text(); got != "new µ é" {
		t.Errorf("text %q", got)
	}
	d.Press(key.NameDeleteBackward, 0)
	if got := a.editor.Text(); got != "new µ " {
		t.Errorf("text %q", got)
	}
	if a.hits != 0 || a.playing {
		t.Error("typing reached other parts")
	}
}

func TestTabGoesBothWays(t *testing.T) {
	a := newApp()
	d := New(image.Pt(300, 200), a.layout)
	d.Tab(false)
	d.Tab(false)
	if !d.Focused(&a.play) {
		t.Error("not on the second part")
	}
	d.Tab(true)
	if !d.Focused(&a.go_) {
		t.Error("not back on the first part")
	}
}

func TestDragArrivesInSteps(t *testing.T) {
	var log []string
	tag := new(int)
	d := New(image.Pt(100, 100), func(gtx layout.Context) layout.Dimensions {
		for {
			ev, ok := gtx.Event(pointer.Filter{Target: tag, Kinds: pointer.Press | pointer.Drag | pointer.Release})
			if !ok {
				break
			}
			e := ev.(pointer.Event)
			log = append(log, fmt.Sprint(e.Kind, e.Position.X, e.Buttons, e.Modifiers))
		}
		eventArea(gtx, tag)
		return layout.Dimensions{Size: gtx.Constraints.Max}
	})
	d.DragWith(pointer.ButtonSecondary, key.ModShift, f32.Pt(10, 10), f32.Pt(30, 10), 2)
	want := "Press10 ButtonSecondary Shift, Drag20 ButtonSecondary Shift, Drag30 ButtonSecondary Shift, Release30"
	got := strings.Join(log, ", ")
	if !strings.HasPrefix(strings.ReplaceAll(got, " ", ""), strings.ReplaceAll(want, " ", "")) {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestCompare(t *testing.T) {
	a := image.NewRGBA(image.Rect(0, 0, 10, 10))
	b := image.NewRGBA(image.Rect(5, 5, 15, 15)) // another origin
	if n, err := Compare(a, b); n != 0 || err != nil {
		t.Errorf("%d, %v", n, err)
	}
	b.SetRGBA(7, 7, color.RGBA{R: 16, G: 16, B: 16, A: 255})
	if n, _ := Compare(a, b); n != 0 {
		t.Errorf("%d pixels beyond a difference of 48", n)
	}
	b.SetRGBA(7, 7, color.RGBA{R: 17, G: 16, B: 16, A: 255})
	if n, _ := Compare(a, b); n != 1 {
		t.Errorf("%d pixels beyond a difference of 49", n)
	}
	if _, err := Compare(a, image.NewRGBA(image.Rect(0, 0, 9, 10))); err == nil {
		t.Error("sizes differ without an error")
	}
}

// log is a TB that keeps what it is told.
type log struct{ errors, fatals []string }

func (l *log) Helper()                   {}
func (l *log) Logf(string, ...any)       {}
func (l *log) Errorf(f string, a ...any) { l.errors = append(l.errors, fmt.Sprintf(f, a...)) }
func (l *log) Fatalf(f string, a ...any) { l.fatals = append(l.fatals, fmt.Sprintf(f, a...)) }

func TestGolden(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sub", "a.png")
	img := image.NewRGBA(image.Rect(0, 0, 20, 20))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	Golden(t, file, img, true)
	Golden(t, file, img, false)
	for x := range 20 {
		img.SetRGBA(x, 3, color.RGBA{A: 255})
	}
	var l log
	Golden(&l, file, img, false)
	if len(l.errors) != 1 || !strings.Contains(l.errors[0], "20 of 400 pixels") {
		t.Errorf("errors %q", l.errors)
	}
	if _, err := ReadPNG(filepath.Join(filepath.Dir(file), "a.got.png")); err != nil {
		t.Errorf("what was got is not kept: %v", err)
	}
}
