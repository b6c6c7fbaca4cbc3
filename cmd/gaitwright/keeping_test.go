// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"errors"
	"strings"
	"testing"
	"time"

	"gaitwright/app"
	"gaitwright/app/settings"
)

// Many changes are few writings, the last one is written, and a failure is told
// at the next change, once.
func TestRememberer(t *testing.T) {
	var wrote []settings.Settings
	fail := errors.New("full")
	r := newRememberer(func(s settings.Settings) error { wrote = append(wrote, s); return nil })
	for i := range 100 {
		if err := r.take(settings.Settings{Width: 1000 + i}); err != nil {
			t.Error(err)
		}
	}
	r.close()
	if n := len(wrote); n == 0 || n > 10 || wrote[n-1].Width != 1099 {
		t.Errorf("wrote %v", wrote)
	}
	told := make(chan bool, 1)
	r = newRememberer(func(settings.Settings) error { told <- true; return fail })
	r.take(settings.Settings{})
	<-told
	var errs []error
	for range 200 { // the failure is noted right after the writing
		errs = append(errs, r.take(settings.Settings{}))
		time.Sleep(time.Millisecond)
		if errs[len(errs)-1] != nil {
			break
		}
	}
	if errs[len(errs)-1] != fail {
		t.Errorf("told %v", errs)
	}
	if err := r.take(settings.Settings{}); err != nil {
		t.Errorf("told again: %v", err)
	}
	r.close()
}

// Each window has a token of its own that may stand in a file's name.
func TestKept(t *testing.T) {
	var a, b app.Config
	kept(&a, time.Now)
	kept(&b, time.Now)
	if a.Keep.Token == b.Keep.Token || len(a.Keep.Token) < 8 || strings.Trim(a.Keep.Token, "0123456789abcdefghijklmnopqrstuvwxyz") != "" {
		t.Errorf("tokens %q and %q", a.Keep.Token, b.Keep.Token)
	}
	if a.Watch <= 0 || a.Now == nil {
		t.Errorf("%+v", a)
	}
}
