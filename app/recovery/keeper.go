// SPDX-License-Identifier: MIT

package recovery

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"gaitwright/motion/diskfile"
	"gaitwright/motion/workfile"
)

// Every is how often a copy is written at most: with the time for writing it,
// no edit waits longer than a second.
const Every = 400 * time.Millisecond

// Keeper writes the copy of one open file in the background. Make one with New;
// a nil Keeper keeps nothing. Its methods are for one goroutine.
type Keeper struct {
	place Place
	every time.Duration
	now   func() time.Time
	wake  func()

	work chan struct{} // something is to be done
	quit chan struct{}
	done chan struct{} // the goroutine has ended

	mu    sync.Mutex
	want  *note
	clear bool // the copy is to go
	err   error

	disk sync.Mutex // held while the copy is written or removed
	path string     // where the copy stands, "" for nowhere; guarded by disk
	last []byte     // text in it; guarded by disk
	told int        // what was said about writing that fails; guarded by disk
	let  func()     // ends the lock; guarded by disk
}

// note is work to be kept. Files and texts of a document never change.
type note struct {
	file *workfile.File
	old  []byte // as last read or saved
}

// Options are what a keeper needs beside its place. The zero value will do.
type Options struct {
	Every time.Duration    // 0: the usual
	Now   func() time.Time // for the copy's date, nil: the clock
	Wake  func()           // called when Err has something new, may be nil
}

// New gives a keeper for a place. Nothing is written before Note.
func New(p Place, o Options) *Keeper {
	k := &Keeper{
		place: p, every: o.Every, now: o.Now, wake: o.Wake,
		work: make(chan struct{}, 1), quit: make(chan struct{}), done: make(chan struct{}),
	}
	if k.every <= 0 {
		k.every = Every
	}
	if k.now == nil {
		k.now = time.Now
	}
	go k.run()
	return k
}

// Note lets a file be kept soon. old is the text that was last read or saved,
// for its comments. It only notes; what was noted before and is not written yet
// is left out.
func (k *Keeper) Note(f *workfile.File, old []byte) {
	if k == nil {
		return
	}
	k.mu.Lock()
	k.want, k.clear = &note{f, old}, false
	k.mu.Unlock()
	k.poke()
}

// Clear lets the copy go: there is nothing unsaved any more.
func (k *Keeper) Clear() {
	if k == nil {
		return
	}
	k.mu.Lock()
	k.want, k.clear = nil, true
	k.mu.Unlock()
	k.poke()
}

// Flush writes a text as the copy before it returns. It is called before the
// same text is saved: should the program end between the two, or before the
// copy is gone, the copy says what the file says, and nobody is asked about it.
func (k *Keeper) Flush(text, old []byte) {
	if k == nil {
		return
	}
	k.mu.Lock()
	k.want, k.clear = nil, false
	k.mu.Unlock()
	k.disk.Lock()
	defer k.disk.Unlock()
	k.write(text, old)
}

// Err tells, once, what is to be said about keeping: where the copy stands in
// place of the usual one, or that it cannot be written.
func (k *Keeper) Err() error {
	if k == nil {
		return nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	err := k.err
	k.err = nil
	return err
}

// Close ends the keeper and takes the copy away: nothing is unsaved, or the
// person lets it go.
func (k *Keeper) Close() { k.end(true) }

// Leave ends the keeper and leaves the copy, up to date, for the next start.
func (k *Keeper) Leave() { k.end(false) }

func (k *Keeper) end(remove bool) {
	if k == nil {
		return
	}
	close(k.quit)
	<-k.done
	k.mu.Lock()
	want, clear := k.want, k.clear
	k.mu.Unlock()
	k.disk.Lock()
	defer k.disk.Unlock()
	switch {
	case remove || clear:
		k.remove()
	case want != nil:
		k.keep(want)
	}
	if k.let != nil {
		k.let()
	}
}

func (k *Keeper) poke() {
	select {
	case k.work <- struct{}{}:
	default:
	}
}

// run does what is wanted, at most so often.
func (k *Keeper) run() {
	defer close(k.done)
	rest := time.NewTimer(0)
	defer rest.Stop()
	for {
		select {
		case <-k.quit:
			return
		case <-k.work:
		}
		select { // since the last time
		case <-k.quit:
			return
		case <-rest.C:
		}
		k.once()
		rest.Reset(k.every)
	}
}

func (k *Keeper) once() {
	k.disk.Lock()
	defer k.disk.Unlock()
	k.mu.Lock() // while the disk is held, so that Flush is not overtaken
	want, clear := k.want, k.clear
	k.want, k.clear = nil, false
	k.mu.Unlock()
	switch {
	case want != nil:
		k.keep(want)
	case clear:
		k.remove()
	}
}

func (k *Keeper) keep(n *note) {
	text, err := n.file.EncodeKeeping(n.old)
	if err != nil {
		k.say(2, fmt.Errorf("unsaved changes cannot be kept on the disk: save often: %w", err))
		return
	}
	k.write(text, n.old)
}

// write puts the copy where it can stand.
func (k *Keeper) write(text, old []byte) {
	if k.path != "" && bytes.Equal(text, k.last) {
		return
	}
	if k.let == nil {
		k.let = hold(k.place.Cache, k.place.Token)
	}
	c := Copy{Name: k.place.Name, Host: k.place.Host, At: k.now(), Base: Hash(old), Text: text}
	if k.place.Path != "" {
		c.Of = k.place.file()
	}
	src := c.Encode()
	var first error
	for i, path := range k.place.paths() {
		if filepath.Dir(path) == filepath.Join(k.place.Cache, "unsaved") {
			if err := diskfile.MakeFolder(filepath.Dir(path)); err != nil {
				first = firstOf(first, err)
				continue
			}
		}
		if err := diskfile.SavePrivate(path, src); err != nil {
			first = firstOf(first, err)
			continue
		}
		if k.path != "" && k.path != path {
			os.Remove(k.path)
		}
		k.path, k.last = path, text
		if i > 0 {
			k.say(1, fmt.Errorf("unsaved changes cannot be kept beside %s; they are kept in %s", k.place.Name, filepath.Dir(path)))
		}
		return
	}
	if first != nil {
		k.say(2, fmt.Errorf("unsaved changes cannot be kept on the disk: save often: %w", first))
	}
}

// firstOf gives the first of two errors.
func firstOf(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// say notes what is to be said, once for each degree of trouble.
func (k *Keeper) say(degree int, err error) {
	if k.told >= degree {
		return
	}
	k.told = degree
	k.mu.Lock()
	k.err = err
	k.mu.Unlock()
	if k.wake != nil {
		k.wake()
	}
}

func (k *Keeper) remove() {
	if k.path == "" {
		return
	}
	os.Remove(k.path)
	k.path, k.last = "", nil
}
