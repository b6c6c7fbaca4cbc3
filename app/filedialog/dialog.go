// SPDX-License-Identifier: MIT

// Package filedialog asks for a file, through the system's own dialog or one
// inside the window.
//
// [Browser] is the dialog inside the window. The window lays it out last and
// over everything:
//
//	browser.Begin(filedialog.Request{Filter: workfiles})
//	browser.Layout(gtx, th)
//	if a, ok := browser.Update(gtx); ok && a.Err == nil {
//		open(a.Path)
//	}
//
// From another goroutine the same dialog is a [Dialog], and [Fallback] tries
// the system's dialog first.
package filedialog

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
)

// ErrDeclined is what a dialog returns when the person chose no file.
var ErrDeclined = errors.New("filedialog: no file was chosen")

// Filter says which files are offered.
type Filter struct {
	Name string   // what they are, in the plural: "Workfiles"
	Ext  []string // endings with the dot, such as ".toml"; none means all files
}

// Match reports whether the filter offers a file name.
func (f Filter) Match(name string) bool {
	if len(f.Ext) == 0 {
		return true
	}
	for _, e := range f.Ext {
		if strings.EqualFold(filepath.Ext(name), e) {
			return true
		}
	}
	return false
}

// Dialog asks the person for a path. Both calls wait for the answer and must
// not be made on the goroutine that draws the window.
type Dialog interface {
	// Open asks for a file that exists.
	Open(ctx context.Context, f Filter) (path string, err error)
	// Save asks where to write; suggested is a path or a name. That an
	// existing file may be replaced was asked.
	Save(ctx context.Context, suggested string, f Filter) (path string, err error)
}

// Fallback returns a dialog that asks first and, when that cannot show itself,
// own. Any error but the person's or the caller's own refusal (ErrDeclined, or
// the end of the context) counts as that. With a nil first it is own.
func Fallback(first, own Dialog) Dialog {
	if first == nil {
		return own
	}
	return fallback{first, own}
}

type fallback struct{ first, own Dialog }

func (f fallback) Open(ctx context.Context, k Filter) (string, error) {
	path, err := f.first.Open(ctx, k)
	if failed(ctx, err) {
		return f.own.Open(ctx, k)
	}
	return path, err
}

func (f fallback) Save(ctx context.Context, suggested string, k Filter) (string, error) {
	path, err := f.first.Save(ctx, suggested, k)
	if failed(ctx, err) {
		return f.own.Save(ctx, suggested, k)
	}
	return path, err
}

func failed(ctx context.Context, err error) bool {
	return err != nil && !errors.Is(err, ErrDeclined) && ctx.Err() == nil
}
