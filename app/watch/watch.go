// SPDX-License-Identifier: MIT

// Package watch notices that a file on the disk is not what it was: somebody
// else wrote it, or took it away. It looks at the file's date and size every
// second, which costs next to nothing, works in every folder, and needs no
// service of the system; the content is read only when those have changed.
package watch

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"sync"
	"time"

	"gaitwright/motion/diskfile"
)

// Every is how often a file is looked at.
const Every = time.Second

// News is what a file became.
type News struct {
	Text []byte // its content
	Gone bool   // it is not there any more
	Err  error  // why it cannot be read
}

// Watcher looks at one file. Make one with New; a nil Watcher sees nothing.
type Watcher struct {
	path  string
	limit int64
	wake  func()
	look  chan struct{}
	quit  chan struct{}
	done  chan struct{}

	mu    sync.Mutex
	stamp stamp
	text  []byte // that is known
	gone  bool   // that is known
	fault string // why it could not be read at the last look
	fresh bool   // the content is to be read even with the same stamp
	news  *News
}

// stamp is what of a file changes when it is written.
type stamp struct {
	at   time.Time
	size int64
	mode fs.FileMode
}

// New watches the file at path, whose content is known to be text. It is looked
// at so often, and at Look; with every 0 at Look alone. Files larger than limit
// are given cut off behind one byte more. wake is called from another goroutine
// when there is news, and may be nil.
func New(path string, text []byte, limit int64, every time.Duration, wake func()) *Watcher {
	w := &Watcher{path: path, limit: limit, wake: wake, text: text, fresh: true,
		look: make(chan struct{}, 1), quit: make(chan struct{}), done: make(chan struct{})}
	go w.run(every)
	return w
}

func (w *Watcher) run(every time.Duration) {
	defer close(w.done)
	var tick <-chan time.Time
	if every > 0 {
		t := time.NewTicker(every)
		defer t.Stop()
		tick = t.C
	}
	for {
		select {
		case <-w.quit:
			return
		case <-w.look:
		case <-tick:
		}
		if w.Check() && w.wake != nil {
			w.wake()
		}
	}
}

// Look lets the file be looked at soon, as when the window gets the keys.
func (w *Watcher) Look() {
	if w == nil {
		return
	}
	select {
	case w.look <- struct{}{}:
	default:
	}
}

// Check looks at the file now and tells whether there is news.
func (w *Watcher) Check() bool {
	info, err := os.Stat(w.path)
	now := stamp{}
	if err == nil {
		now = stamp{info.ModTime(), info.Size(), info.Mode()}
	}
	w.mu.Lock()
	same := now == w.stamp && !w.fresh
	w.mu.Unlock()
	if same {
		return false
	}
	n := w.read(err)
	for range 5 { // until somebody is done who writes it right now
		again, err := os.Stat(w.path)
		if err != nil || !young(again, hand) {
			break
		}
		time.Sleep(hand)
		n, info = w.read(nil), again
		now = stamp{info.ModTime(), info.Size(), info.Mode()}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	// A file written twice within the grain of the clock has the same stamp: one
	// that is so young is read once more.
	w.stamp, w.fresh = now, info != nil && young(info, grain)
	fault := w.fault
	w.fault = ""
	if n.Err != nil {
		w.fault = n.Err.Error()
		if w.fault == fault {
			return false
		}
	} else if n.Gone == w.gone && (n.Gone || bytes.Equal(n.Text, w.text)) {
		return false
	}
	w.text, w.gone = n.Text, n.Gone
	w.news = &n
	return true
}

const (
	grain = 2 * time.Second        // of the dates of the coarsest disks
	hand  = 100 * time.Millisecond // in which a program writes a small file
)

func young(i fs.FileInfo, than time.Duration) bool { return time.Since(i.ModTime()).Abs() < than }

// read reads the file; missing says why it could not be looked at.
func (w *Watcher) read(missing error) News {
	if missing == nil {
		text, err := diskfile.Load(w.path, w.limit)
		if err == nil {
			return News{Text: text}
		}
		missing = err
	}
	if errors.Is(missing, fs.ErrNotExist) {
		return News{Gone: true}
	}
	return News{Err: missing}
}

// News gives, once, what the file became since it was known.
func (w *Watcher) News() (News, bool) {
	if w == nil {
		return News{}, false
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.news == nil {
		return News{}, false
	}
	n := *w.news
	w.news = nil
	return n, true
}

// Known tells that the file holds text now, as after it was saved. News that
// came before is forgotten.
func (w *Watcher) Known(text []byte) {
	if w == nil {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.text, w.gone, w.news, w.fresh = text, false, nil, true
}

// Stop ends the watching.
func (w *Watcher) Stop() {
	if w == nil {
		return
	}
	close(w.quit)
	<-w.done
}
