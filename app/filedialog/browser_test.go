// SPDX-License-Identifier: MIT

package filedialog

import (
	"context"
	"errors"
	"image"
	"io/fs"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/draw"
	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// memory is a file system in memory, with folders that may not be read.
type memory struct {
	fstest.MapFS
	shut string
}

func (m memory) rel(p string) string {
	p = strings.TrimPrefix(filepath.ToSlash(p), "/")
	if p == "" {
		return "."
	}
	return path.Clean(p)
}

func (m memory) ReadDir(dir string) ([]fs.DirEntry, error) {
	if m.shut != "" && dir == m.shut {
		return nil, &fs.PathError{Op: "open", Path: dir, Err: fs.ErrPermission}
	}
	return m.MapFS.ReadDir(m.rel(dir))
}

func (m memory) Stat(p string) (fs.FileInfo, error) { return m.MapFS.Stat(m.rel(p)) }

func (m memory) Home() (string, error) { return "/home/ada", nil }

func files() memory {
	f := &fstest.MapFile{Data: []byte("x = 1\n")}
	return memory{MapFS: fstest.MapFS{
		"home/ada/robots/drummer.toml": f,
		"home/ada/robots/Walker.TOML":  f,
		"home/ada/robots/notes.txt":    {Data: make([]byte, 23456)},
		"home/ada/robots/.draft.toml":  f,
		"home/ada/robots/old/a.toml":   f,
		"home/ada/robots/archive/b.md": f,
		"home/ada/secret/c.toml":       f,
	}, shut: "/home/ada/secret"}
}

var workfiles = Filter{Name: "Workfiles", Ext: []string{".toml"}}

type desk struct {
	Browser
	th *look.Theme
}

func (k *desk) layout(gtx layout.Context) layout.Dimensions {
	draw.Rect(gtx.Ops, image.Rectangle{Max: gtx.Constraints.Max}, k.th.Panel)
	return k.Browser.Layout(gtx, k.th)
}

func open(t *testing.T, r Request) (*desk, *drive.Tester) {
	t.Helper()
	k := &desk{th: look.New(false)}
	k.Files = files()
	k.Begin(r)
	d := drive.For(t, drive.New(image.Pt(800, 600), k.layout))
	d.Settle()
	return k, d
}

func (k *desk) names() string {
	var s []string
	for _, it := range k.items {
		s = append(s, it.name)
	}
	return strings.Join(s, " ")
}

func (k *desk) want(t *testing.T, path string, err error) {
	t.Helper()
	a, ok := k.Update(layout.Context{})
	if !ok {
		t.Fatalf("no answer; open=%v dir=%q err=%v name=%v", k.IsOpen(), k.dir, k.err, k.nameErr)
	}
	if filepath.ToSlash(a.Path) != path || !errors.Is(a.Err, err) {
		t.Fatalf("answer %q, %v; want %q, %v", a.Path, a.Err, path, err)
	}
	if k.IsOpen() {
		t.Error("still open after the answer")
	}
	if _, again := k.Update(layout.Context{}); again {
		t.Error("the answer comes twice")
	}
}

func TestListIsSortedAndFiltered(t *testing.T) {
	k, d := open(t, Request{Filter: workfiles, Dir: "/home/ada/robots"})
	if got, want := k.names(), "archive old drummer.toml Walker.TOML"; got != want {
		t.Errorf("got=%q, want=%q", got, want)
	}
	d.Click("All files")
	d.Settle()
	if got, want := k.names(), "archive old drummer.toml notes.txt Walker.TOML"; got != want {
		t.Errorf("got=%q, want=%q", got, want)
	}
	d.MustFind("23.5 kB")
	d.Click("Hidden files")
	if got, want := k.names(), "archive old .draft.toml drummer.toml notes.txt Walker.TOML"; got != want {
		t.Errorf("got=%q, want=%q", got, want)
	}
}

func TestOpenByMouse(t *testing.T) {
	k, d := open(t, Request{Filter: workfiles})
	if k.dir != "/home/ada" {
		t.Fatalf("begins in %q", k.dir)
	}
	d.DoubleClick("robots")
	d.Settle()
	d.Click("drummer.toml")
	d.Settle()
	d.Click("Open")
	k.want(t, "/home/ada/robots/drummer.toml", nil)
	k.Begin(Request{Filter: workfiles})
	d.Settle()
	if k.dir != "/home/ada/robots" {
		t.Errorf("the next dialog begins in %q", k.dir)
	}
	d.DoubleClick("Walker.TOML")
	k.want(t, "/home/ada/robots/Walker.TOML", nil)
}

func TestOpenByKeys(t *testing.T) {
	k, d := open(t, Request{Filter: workfiles})
	d.Press(key.NameDownArrow, 0) // out of the path to robots
	d.Press(key.NameReturn, 0)
	d.Settle()
	if k.dir != "/home/ada/robots" {
		t.Fatalf("in %q", k.dir)
	}
	d.Press(key.NameDeleteBackward, 0)
	d.Settle()
	if k.dir != "/home/ada" {
		t.Fatalf("after Backspace in %q", k.dir)
	}
	d.Press(key.NameHome, 0)
	d.Press(key.NameReturn, 0)
	d.Settle()
	d.Press(key.NameEnd, 0)
	d.Press(key.NameUpArrow, 0)
	d.Press(key.NameReturn, 0)
	k.want(t, "/home/ada/robots/drummer.toml", nil)
}

func TestOpenByTyping(t *testing.T) {
	for _, tc := range []struct{ typed, want string }{
		{"/home/ada/robots/drummer.toml", "/home/ada/robots/drummer.toml"},
		{"~/robots/old/a.toml", "/home/ada/robots/old/a.toml"},
		{"robots/notes.txt", "/home/ada/robots/notes.txt"},
	} {
		k, d := open(t, Request{Filter: workfiles})
		d.Type(tc.typed) // in place of the path, which has the keys
		d.Press(key.NameReturn, 0)
		k.want(t, tc.want, nil)
	}
	k, d := open(t, Request{Filter: workfiles})
	d.Type("/nowhere/at/all")
	d.Press(key.NameReturn, 0)
	d.Settle()
	d.MustFind("there is no “/nowhere/at/all”")
	d.Press(key.NameEscape, 0)
	d.Settle()
	k.want(t, "", ErrDeclined)
}

func TestUnreadableFolder(t *testing.T) {
	k, d := open(t, Request{Filter: workfiles})
	d.DoubleClick("secret")
	d.Settle()
	d.MustFind("you may not read “/home/ada/secret”")
	d.Click("Folder above")
	d.Settle()
	if k.err != nil || k.dir != "/home/ada" {
		t.Errorf("in %q, %v", k.dir, k.err)
	}
	d.Click("Go back")
	k.want(t, "", ErrDeclined)
}

func TestHomeAndParent(t *testing.T) {
	k, d := open(t, Request{Filter: workfiles, Dir: "/home/ada/robots/old"})
	d.Click("Folder above")
	d.Settle()
	d.Click("Folder above")
	d.Settle()
	d.Click("Folder above")
	d.Settle()
	d.Click("Folder above")
	d.Settle()
	if up, err := d.Clickable("Folder above"); k.dir != "/" || err != nil || !up.Desc.Disabled {
		t.Errorf("in %q, %v", k.dir, err)
	}
	d.Click("Home folder")
	d.Settle()
	if k.dir != "/home/ada" {
		t.Errorf("in %q", k.dir)
	}
}

func TestSave(t *testing.T) {
	k, d := open(t, Request{Save: true, Suggested: "/home/ada/robots/new walk.toml", Filter: workfiles})
	d.MustFind("writes /home/ada/robots/new walk.toml")
	d.Press(key.NameReturn, 0) // the name has the keys
	k.want(t, "/home/ada/robots/new walk.toml", nil)
}

func TestSaveAddsTheEndingInSight(t *testing.T) {
	k, d := open(t, Request{Save: true, Dir: "/home/ada/robots", Filter: workfiles})
	d.MustFind("type a name for the file")
	d.Type("creep")
	d.Settle()
	d.MustFind("writes /home/ada/robots/creep.toml")
	d.Click("Save")
	k.want(t, "/home/ada/robots/creep.toml", nil)
}

func TestSaveAsksBeforeReplacing(t *testing.T) {
	k, d := open(t, Request{Save: true, Suggested: "drummer.toml", Dir: "/home/ada/robots", Filter: workfiles})
	d.Click("Save")
	d.Settle()
	d.MustFind("Replace “drummer.toml”?")
	d.Press(key.NameEscape, 0)
	d.Settle()
	d.MustMiss("Replace “drummer.toml”?")
	if !k.IsOpen() {
		t.Fatal("Escape in the question closed the dialog")
	}
	d.Click("Save")
	d.Settle()
	d.Click("Keep it")
	d.Settle()
	d.MustMiss("Replace “drummer.toml”?")
	d.Click("Save")
	d.Settle()
	d.Click("Replace")
	k.want(t, "/home/ada/robots/drummer.toml", nil)
}

func TestSaveRefuses(t *testing.T) {
	for _, tc := range []struct{ typed, want string }{
		{"a/b.toml", "the name holds a slash; change the folder above instead"},
		{"..", "type a name for the file"},
	} {
		k, d := open(t, Request{Save: true, Dir: "/home/ada/robots", Filter: workfiles})
		d.Type(tc.typed)
		d.Press(key.NameReturn, 0)
		d.Settle()
		d.MustFind(tc.want)
		if !k.IsOpen() {
			t.Errorf("%q was taken", tc.typed)
		}
	}
	k, d := open(t, Request{Save: true, Dir: "/home/ada/robots"})
	d.Type("old")
	d.Press(key.NameReturn, 0)
	d.Settle()
	d.MustFind("“old” is a folder")
	if !k.IsOpen() {
		t.Error("a folder was taken as a file")
	}
}

func TestClickOnAFileTakesItsName(t *testing.T) {
	k, d := open(t, Request{Save: true, Dir: "/home/ada/robots", Filter: workfiles})
	d.Click("Walker.TOML")
	d.Settle()
	if k.name.Value != "Walker.TOML" {
		t.Errorf("name %q", k.name.Value)
	}
}

func TestDialogFromAnotherGoroutine(t *testing.T) {
	k := &desk{th: look.New(false)}
	k.Files = files()
	d := drive.For(t, drive.New(image.Pt(800, 600), k.layout))
	wake := make(chan bool, 10)
	dialog := k.Dialog(func() { wake <- true })
	type result struct {
		path string
		err  error
	}
	got := make(chan result, 1)
	go func() {
		p, err := dialog.Save(context.Background(), "x.toml", workfiles)
		got <- result{p, err}
	}()
	<-wake
	d.Settle()
	d.Click("Save")
	if r := <-got; filepath.ToSlash(r.path) != "/home/ada/x.toml" || r.err != nil {
		t.Errorf("got %q, %v", r.path, r.err)
	}

	ctx, cancel := context.WithCancel(context.Background())
	go func() {
		p, err := dialog.Open(ctx, workfiles)
		got <- result{p, err}
	}()
	<-wake
	d.Settle()
	if !k.IsOpen() {
		t.Fatal("not shown")
	}
	cancel()
	if r := <-got; !errors.Is(r.err, context.Canceled) {
		t.Errorf("got %q, %v", r.path, r.err)
	}
	<-wake
	d.Settle()
	if k.IsOpen() {
		t.Error("still shown after the caller gave up")
	}
}

// fixed is a dialog with a known answer.
type fixed struct {
	path string
	err  error
}

func (f fixed) Open(context.Context, Filter) (string, error)         { return f.path, f.err }
func (f fixed) Save(context.Context, string, Filter) (string, error) { return f.path, f.err }

func TestFallback(t *testing.T) {
	own := fixed{path: "own"}
	broken := errors.New("no portal")
	gone, cancel := context.WithTimeout(context.Background(), time.Nanosecond)
	defer cancel()
	<-gone.Done()
	for _, tc := range []struct {
		name  string
		ctx   context.Context
		first Dialog
		want  string
		err   error
	}{
		{"works", context.Background(), fixed{path: "system"}, "system", nil},
		{"declined", context.Background(), fixed{err: ErrDeclined}, "", ErrDeclined},
		{"broken", context.Background(), fixed{err: broken}, "own", nil},
		{"missing", context.Background(), nil, "own", nil},
		{"caller gave up", gone, fixed{err: gone.Err()}, "", context.DeadlineExceeded},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := Fallback(tc.first, own)
			if p, err := f.Open(tc.ctx, Filter{}); p != tc.want || !errors.Is(err, tc.err) {
				t.Errorf("Open: %q, %v", p, err)
			}
			if p, err := f.Save(tc.ctx, "s", Filter{}); p != tc.want || !errors.Is(err, tc.err) {
				t.Errorf("Save: %q, %v", p, err)
			}
		})
	}
}

func TestDisk(t *testing.T) {
	dir := t.TempDir()
	if _, err := list(Disk{}, filepath.Join(dir, "none"), workfiles.Match, false); err == nil || !strings.Contains(err.Error(), "there is no") {
		t.Errorf("error %v", err)
	}
	if got, err := list(Disk{}, dir, workfiles.Match, false); err != nil || len(got) != 0 {
		t.Errorf("%v, %v", got, err)
	}
}
