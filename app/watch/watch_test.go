// SPDX-License-Identifier: MIT

package watch

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestNews(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.toml")
	write(t, path, "one")
	w := New(path, []byte("one"), 100, 0, nil)
	defer w.Stop()
	quiet := func(what string) {
		t.Helper()
		if w.Check() {
			n, _ := w.News()
			t.Errorf("%s: news %+v", what, n)
		}
		if n, ok := w.News(); ok {
			t.Errorf("%s: news %+v", what, n)
		}
	}
	quiet("untouched")
	write(t, path, "two")
	if n, ok := (News{}), false; !w.Check() {
		t.Error("no news")
	} else if n, ok = w.News(); !ok || string(n.Text) != "two" || n.Gone || n.Err != nil {
		t.Errorf("news %+v, %v", n, ok)
	}
	quiet("told already")
	// Written again with the same size, at once: the date may be the same.
	write(t, path, "six")
	if !w.Check() {
		t.Error("the third text was not noticed")
	}
	w.News()
	// What the program writes itself is no news.
	write(t, path, "own")
	w.Known([]byte("own"))
	quiet("saved by us")
	// Touched but the same.
	at := time.Now().Add(time.Hour)
	if err := os.Chtimes(path, at, at); err != nil {
		t.Fatal(err)
	}
	quiet("touched")
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if !w.Check() {
		t.Error("gone without news")
	}
	if n, _ := w.News(); !n.Gone {
		t.Errorf("news %+v", n)
	}
	quiet("gone still")
	write(t, path, "own")
	if !w.Check() {
		t.Error("back without news")
	}
	if n, _ := w.News(); string(n.Text) != "own" || n.Gone {
		t.Errorf("news %+v", n)
	}
	// In the place of the file is a folder.
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(path, 0o700); err != nil {
		t.Fatal(err)
	}
	if !w.Check() {
		t.Error("a folder is no news")
	}
	if n, _ := w.News(); n.Err == nil {
		t.Errorf("news %+v", n)
	}
}

// An old file is read again only when its date or size changes.
func TestLooksBeforeReading(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.toml")
	write(t, path, "one")
	at := time.Now().Add(-time.Hour)
	if err := os.Chtimes(path, at, at); err != nil {
		t.Fatal(err)
	}
	w := New(path, []byte("one"), 100, 0, nil)
	defer w.Stop()
	w.Check()
	if w.fresh {
		t.Error("an old file is read again and again")
	}
}

// The goroutine tells by itself, and at Look.
func TestByItself(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.toml")
	for _, every := range []time.Duration{time.Millisecond, 0} {
		write(t, path, "one")
		woken := make(chan bool, 10)
		w := New(path, []byte("one"), 100, every, func() { woken <- true })
		write(t, path, "two")
		if every == 0 {
			w.Look()
		}
		select {
		case <-woken:
		case <-time.After(10 * time.Second):
			t.Fatal("nothing in ten seconds")
		}
		if n, ok := w.News(); !ok || string(n.Text) != "two" {
			t.Errorf("news %+v", n)
		}
		w.Stop()
	}
	var none *Watcher
	none.Look()
	none.Known(nil)
	none.Stop()
	if _, ok := none.News(); ok {
		t.Error("news of nothing")
	}
}
