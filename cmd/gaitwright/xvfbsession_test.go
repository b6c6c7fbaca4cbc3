// SPDX-License-Identifier: MIT

//go:build linux && !headless

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// An evening in short, at a real window with a real pointer and real keys:
// numbers typed faster than the window draws, a point dragged, saved; the
// program killed in the middle, started again, what was not saved taken back,
// undone, done again, and saved. With -artifacts the pictures are kept.
func TestRealSession(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "walker.toml")
	if err := os.WriteFile(file, assets.Walker, 0o600); err != nil {
		t.Fatal(err)
	}
	s := newScreen(t, dir)
	shots := 0
	shot := func(name string) {
		t.Helper()
		shots++
		s.shoot(filepath.Join(t.ArtifactDir(), fmt.Sprintf("%02d %s.png", shots, name)))
	}
	defer func() {
		if t.Failed() {
			shot("failed")
		}
	}()
	const saved, unsaved = "walker.toml – Gaitwright", "walker.toml (not saved) – Gaitwright"

	s.start(file)
	s.until("the window shows a picture", func() bool { return colours(s.picture()) > 40 })
	s.title(saved)
	shot("opened")
	at := *s.bench.Place()
	was := end(t, assets.Walker, at.Move, at.Track, at.Span)

	// Three numbers in one go, the Tab key between them, no time between the
	// keys; what stood in the fields is replaced wherever the pointer hits them.
	p := s.model.Centre("x of the end point")
	before := s.picture()
	s.command(append(moveTo(p.Add(f32.Pt(-9, 3))), "click", "1")...)
	s.until("the field is marked", func() bool { return differ(before, s.picture()) > 20 })
	s.command("key", "--delay", "0", "1", "2", "period", "5", "Tab", "minus", "3", "Tab", "4", "1", "period", "2", "5", "Return")
	s.title(unsaved)
	shot("typed")
	s.command("key", "ctrl+s")
	s.title(saved)
	typed := [3]float64{12.5, -3, 41.25}
	if got := end(t, contents(t, file), at.Move, at.Track, at.Span); got != typed {
		t.Fatalf("typed %v, saved %v, was %v", typed, got, was)
	}

	// The point is dragged to another place.
	for i, label := range []string{"x of the end point", "y of the end point", "z of the end point"} {
		s.model.Click(label)
		s.model.Type(fmt.Sprint(typed[i]))
		s.model.Press(key.NameReturn, 0)
		s.model.Settle()
	}
	point := s.centre(fmt.Sprintf("end point of span %d from the side", at.Span+1))
	s.drag(point, point.Add(f32.Pt(-14, -9)))
	s.title(unsaved)
	shot("dragged")
	model := *s.bench.Document().File().Moves[at.Move].Feet[at.Track].Spans[at.Span].End

	// The program is killed. What was done more than a second before is kept
	// beside the file.
	kept := s.copyOf(file)
	s.kill()
	if got := end(t, contents(t, file), at.Move, at.Track, at.Span); got != typed {
		t.Errorf("after the kill the file has %v, saved was %v", got, typed)
	}
	dragged := end(t, kept, at.Move, at.Track, at.Span)
	for i := range dragged {
		if d := dragged[i] - model[i]; d > 1.5 || d < -1.5 { // a pixel is about 1 mm
			t.Errorf("kept is %v, want about %v", dragged, model)
		}
	}

	// The next start offers it: Enter, on the button that has the keys, takes it.
	s.start(file)
	s.until("the window shows a picture", func() bool { return colours(s.picture()) > 40 })
	shot("offered")
	pressed := time.Time{}
	s.until("what was kept is taken", func() bool {
		out, err := s.try("getwindowname", s.window)
		if err == nil && out == unsaved+"\n" {
			return true
		}
		if time.Since(pressed) > 3*time.Second { // the first may have come too soon
			pressed = time.Now()
			s.command("key", "Return")
		}
		return false
	})
	shot("taken back")

	// Undone it is as saved, done again as dragged, and so it is saved.
	s.command("key", "ctrl+z")
	s.title(saved)
	s.command("key", "ctrl+shift+z")
	s.title(unsaved)
	s.command("key", "ctrl+s")
	s.title(saved)
	shot("saved")
	text := contents(t, file)
	if got := end(t, text, at.Move, at.Track, at.Span); got != dragged {
		t.Errorf("saved is %v, kept was %v", got, dragged)
	}
	for _, l := range bytes.Split(assets.Walker, []byte("\n")) {
		if bytes.HasPrefix(l, []byte("#")) && !bytes.Contains(text, l) {
			t.Errorf("the comment %q is lost", l)
		}
	}
	s.until("the copy is gone", func() bool { return len(copies(t, file)) == 0 })
}

func contents(t *testing.T, file string) []byte {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// end gives where a span of a foot ends, mm.
func end(t *testing.T, text []byte, move, track, span int) [3]float64 {
	t.Helper()
	f, err := workfile.Read("file", text)
	if err != nil {
		t.Fatal(err)
	}
	e := f.Moves[move].Feet[track].Spans[span].End
	if e == nil {
		t.Fatalf("span %d has no end", span)
	}
	return *e
}

// copies are the files beside a workfile that keep unsaved work.
func copies(t *testing.T, file string) []string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(filepath.Dir(file), "."+filepath.Base(file)+".*.unsaved"))
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// copyOf waits until the copy of unsaved work is there and stays as it is, and
// gives it.
func (s *screen) copyOf(file string) []byte {
	s.t.Helper()
	var last []byte
	var since time.Time
	s.until("unsaved work is kept", func() bool {
		all := copies(s.t, file)
		if len(all) != 1 {
			return false
		}
		text, err := os.ReadFile(all[0])
		if err != nil || len(text) == 0 {
			return false
		}
		if !bytes.Equal(text, last) {
			last, since = text, time.Now()
		}
		return time.Since(since) > 1500*time.Millisecond
	})
	return last
}
