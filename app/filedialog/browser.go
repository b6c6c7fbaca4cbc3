// SPDX-License-Identifier: MIT

package filedialog

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"sync"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/control"
)

// Request is what a browser is asked for.
type Request struct {
	Save      bool
	Suggested string // path, or name of the file
	Dir       string // folder to begin in; that of Suggested or the last one when empty
	Filter    Filter
}

// Answer is what the person gave: a path, or ErrDeclined.
type Answer struct {
	Path string
	Err  error
}

// Browser is the state of the dialog inside the window. The zero value reads
// the disk. All methods but those of the Dialog that it makes belong to the
// goroutine that draws.
type Browser struct {
	Files FS // nil reads the disk

	request Request
	reply   chan<- Answer // of a request by Dialog; nil for one by Begin
	ctx     context.Context
	answer  *Answer // to a request by Begin

	card    control.Modal
	ask     control.Modal // whether to replace
	replace string        // path that is asked about
	dir     string
	items   []item
	err     error // why the folder shows nothing
	nameErr error

	path           control.Text // folder, or also the file when opening
	name           control.Text // file when saving
	rows           control.Rows
	kind           control.Choice // the filter or all files
	hidden         control.Toggle
	home, parent   control.Button
	accept, cancel control.Button
	yes, no        control.Button

	mu   sync.Mutex
	mail []letter
}

// letter is a request from another goroutine.
type letter struct {
	ctx     context.Context
	request Request
	reply   chan<- Answer
}

func (b *Browser) files() FS {
	if b.Files == nil {
		return Disk{}
	}
	return b.Files
}

// IsOpen reports whether the dialog shows.
func (b *Browser) IsOpen() bool { return b.card.IsOpen() }

// Under returns the context for what lies behind the dialog.
func (b *Browser) Under(gtx layout.Context) layout.Context { return b.card.Under(gtx) }

// Begin shows the dialog. A request that was open is answered with ErrDeclined.
func (b *Browser) Begin(r Request) {
	if b.IsOpen() {
		b.finish(Answer{Err: ErrDeclined})
	}
	b.request, b.reply, b.ctx, b.answer = r, nil, nil, nil
	b.nameErr, b.replace = nil, ""
	b.kind.Value = 0
	b.name.Value = ""
	if r.Save {
		b.name.Value = filepath.Base(r.Suggested)
		if r.Suggested == "" {
			b.name.Value = ""
		}
	}
	dir := r.Dir
	if dir == "" && filepath.IsAbs(r.Suggested) {
		dir = filepath.Dir(r.Suggested)
	}
	if dir == "" {
		dir = b.dir
	}
	if dir == "" {
		dir = b.homeDir()
	}
	b.enter(dir)
	if r.Save {
		b.card.Open(b.name.Tag())
	} else {
		b.card.Open(b.path.Tag())
	}
}

func (b *Browser) homeDir() string {
	if h, err := b.files().Home(); err == nil && h != "" {
		return h
	}
	return string(filepath.Separator)
}

// Update returns the answer to a request by Begin, once.
func (b *Browser) Update(gtx layout.Context) (Answer, bool) {
	if b.answer == nil {
		return Answer{}, false
	}
	a := *b.answer
	b.answer = nil
	return a, true
}

// finish closes the dialog and hands the answer over.
func (b *Browser) finish(a Answer) {
	b.card.Close()
	b.ask.Close()
	if b.reply != nil {
		b.reply <- a // has room for one
		b.reply, b.ctx = nil, nil
		return
	}
	b.answer = &a
}

// enter shows a folder.
func (b *Browser) enter(dir string) {
	b.dir = filepath.Clean(dir)
	b.path.Value = b.dir
	b.rows.Choose(-1)
	b.read()
}

func (b *Browser) read() {
	match := func(string) bool { return true }
	if b.kind.Value == 0 {
		match = b.request.Filter.Match
	}
	b.items, b.err = list(b.files(), b.dir, match, b.hidden.Value)
}

// resolve turns a typed path into a whole one.
func (b *Browser) resolve(typed string) string {
	p := strings.TrimSpace(typed)
	if p == "~" || strings.HasPrefix(p, "~/") || strings.HasPrefix(p, `~\`) {
		p = filepath.Join(b.homeDir(), p[1:])
	}
	if !filepath.IsAbs(p) {
		p = filepath.Join(b.dir, p)
	}
	return filepath.Clean(p)
}

// goTo follows a typed path: into a folder, or to a file when opening.
func (b *Browser) goTo(typed string) {
	p := b.resolve(typed)
	info, err := b.files().Stat(p)
	switch {
	case err != nil:
		b.err = errors.New(sentence(err, p))
		b.items = nil
	case info.IsDir():
		b.enter(p)
	case b.request.Save:
		b.enter(filepath.Dir(p))
		b.name.Value = filepath.Base(p)
	default:
		b.finish(Answer{Path: p})
	}
}

// open opens row i: into a folder, or the file.
func (b *Browser) open(i int) {
	if i < 0 || i >= len(b.items) {
		return
	}
	it := b.items[i]
	p := filepath.Join(b.dir, it.name)
	switch {
	case it.folder:
		b.enter(p)
	case b.request.Save:
		b.name.Value = it.name
		b.save(it.name)
	default:
		b.finish(Answer{Path: p})
	}
}

// target returns the path that saving under the typed name would write.
func (b *Browser) target(name string) (string, error) {
	n := strings.TrimSpace(name)
	switch {
	case n == "" || n == "." || n == "..":
		return "", errors.New("type a name for the file")
	case strings.ContainsAny(n, `/\`) || strings.ContainsRune(n, filepath.Separator):
		return "", errors.New("the name holds a slash; change the folder above instead")
	}
	if filepath.Ext(n) == "" && len(b.request.Filter.Ext) > 0 && b.kind.Value == 0 {
		n += b.request.Filter.Ext[0]
	}
	return filepath.Join(b.dir, n), nil
}

// save takes the typed name, and asks first when the file exists.
func (b *Browser) save(name string) {
	p, err := b.target(name)
	if b.nameErr = err; err != nil {
		return
	}
	if b.err != nil {
		b.nameErr = errors.New("choose a folder that can be read")
		return
	}
	info, err := b.files().Stat(p)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		b.finish(Answer{Path: p})
	case err != nil:
		b.nameErr = errors.New(sentence(err, p))
	case info.IsDir():
		b.nameErr = fmt.Errorf("“%s” is a folder", filepath.Base(p))
	default:
		b.replace = p
		b.ask.Open(b.no.Tag())
	}
}

// act does what the person did in this frame.
func (b *Browser) act(gtx layout.Context) {
	b.takeMail()
	if !b.IsOpen() {
		return
	}
	if b.ctx != nil && b.ctx.Err() != nil {
		b.finish(Answer{Err: b.ctx.Err()})
		return
	}
	if b.ask.IsOpen() {
		no := b.no.Update(gtx)
		if b.yes.Update(gtx) {
			b.finish(Answer{Path: b.replace})
		} else if no {
			b.ask.Close()
			gtx.Execute(key.FocusCmd{Tag: b.name.Tag()})
		}
		return
	}
	for { // down out of the path: into the list
		ev, ok := gtx.Event(key.Filter{Focus: b.path.Tag(), Name: key.NameDownArrow})
		if !ok {
			break
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			gtx.Execute(key.FocusCmd{Tag: b.rows.Tag()})
			if _, chosen := b.rows.Chosen(); !chosen && len(b.items) > 0 {
				b.rows.Choose(0)
			}
		}
	}
	if b.path.Update(gtx); b.path.Entered() {
		b.goTo(b.path.Value)
	} else if b.path.Value != b.dir && !b.path.Focused(gtx) {
		b.path.Value = b.dir // left without Enter
	}
	if b.name.Update(gtx) {
		b.nameErr = nil
	}
	if b.name.Entered() {
		b.save(b.name.Value)
	}
	for {
		e, ok := b.rows.Update(gtx)
		if !ok {
			break
		}
		if e.Open {
			b.open(e.Index)
			break
		}
		if b.request.Save && e.Index < len(b.items) && !b.items[e.Index].folder {
			b.name.Value, b.nameErr = b.items[e.Index].name, nil
		}
	}
	for {
		ev, ok := gtx.Event(key.Filter{Focus: b.rows.Tag(), Name: key.NameDeleteBackward})
		if !ok {
			break
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			b.enter(filepath.Dir(b.dir))
		}
	}
	if b.home.Update(gtx) {
		b.enter(b.homeDir())
	}
	if b.parent.Update(gtx) {
		b.enter(filepath.Dir(b.dir))
	}
	if b.kind.Update(gtx) || b.hidden.Update(gtx) {
		b.rows.Choose(-1)
		b.read()
	}
	if b.cancel.Update(gtx) {
		b.finish(Answer{Err: ErrDeclined})
	}
	if b.accept.Update(gtx) {
		i, chosen := b.rows.Chosen()
		switch {
		case b.request.Save:
			b.save(b.name.Typed())
		case b.path.Typed() != b.dir:
			b.goTo(b.path.Typed())
		case chosen:
			b.open(i)
		}
	}
}

// Dialog returns the browser as a dialog for other goroutines. wake asks the
// window for a frame, in which Layout then shows the request; nil when frames
// come anyway.
func (b *Browser) Dialog(wake func()) Dialog {
	if wake == nil {
		wake = func() {}
	}
	return remote{b, wake}
}

type remote struct {
	b    *Browser
	wake func()
}

func (r remote) Open(ctx context.Context, f Filter) (string, error) {
	return r.send(ctx, Request{Filter: f})
}

func (r remote) Save(ctx context.Context, suggested string, f Filter) (string, error) {
	return r.send(ctx, Request{Save: true, Suggested: suggested, Filter: f})
}

func (r remote) send(ctx context.Context, q Request) (string, error) {
	reply := make(chan Answer, 1)
	r.b.mu.Lock()
	r.b.mail = append(r.b.mail, letter{ctx, q, reply})
	r.b.mu.Unlock()
	r.wake()
	select {
	case a := <-reply:
		return a.Path, a.Err
	case <-ctx.Done():
		r.wake() // the window closes the dialog
		return "", ctx.Err()
	}
}

// takeMail begins the next request from another goroutine when none is open.
func (b *Browser) takeMail() {
	if b.IsOpen() {
		return
	}
	b.mu.Lock()
	var next *letter
	for len(b.mail) > 0 && next == nil {
		l := b.mail[0]
		b.mail = b.mail[1:]
		if l.ctx.Err() == nil {
			next = &l
		}
	}
	b.mu.Unlock()
	if next != nil {
		b.Begin(next.request)
		b.reply, b.ctx = next.reply, next.ctx
	}
}
