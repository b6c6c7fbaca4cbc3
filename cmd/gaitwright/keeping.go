// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"gaitwright/app"
	"gaitwright/app/settings"
	"gaitwright/app/watch"
)

// kept lets the window keep unsaved work for the next start, and notice that
// somebody else writes the file.
func kept(c *app.Config, now func() time.Time) {
	c.Watch, c.Now = watch.Every, now
	c.Keep.Token = strings.ToLower(rand.Text()[:10])
	if dir, err := os.UserCacheDir(); err == nil {
		c.Keep.Cache = filepath.Join(dir, "gaitwright")
	}
	if name, err := os.Hostname(); err == nil {
		c.Keep.Host = name
	}
}

// rememberer writes settings in the background, so that dragging a handle does
// not wait for the disk.
type rememberer struct {
	in   chan settings.Settings
	done chan struct{}

	mu  sync.Mutex
	err error // of the last writing, not told yet
}

// calm is how long it waits for more to be changed.
const calm = 500 * time.Millisecond

func newRememberer(write func(settings.Settings) error) *rememberer {
	r := &rememberer{in: make(chan settings.Settings), done: make(chan struct{})}
	go func() {
		defer close(r.done)
		var last settings.Settings
		var due <-chan time.Time
		save := func() {
			due = nil
			if err := write(last); err != nil {
				r.mu.Lock()
				r.err = err
				r.mu.Unlock()
			}
		}
		for {
			select {
			case s, ok := <-r.in:
				if !ok {
					if due != nil {
						save()
					}
					return
				}
				last = s
				if due == nil {
					due = time.After(calm)
				}
			case <-due:
				save()
			}
		}
	}()
	return r
}

// take lets settings be written soon. The error, given once, is that of an
// earlier writing.
func (r *rememberer) take(s settings.Settings) error {
	r.in <- s
	r.mu.Lock()
	defer r.mu.Unlock()
	err := r.err
	r.err = nil
	return err
}

// close writes what is not written yet.
func (r *rememberer) close() {
	close(r.in)
	<-r.done
}
