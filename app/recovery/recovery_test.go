// SPDX-License-Identifier: MIT

package recovery

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gaitwright/app/document"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// small gives a workfile that is played in next to no time: the robot of the
// starting one, and it stands.
func small(t testing.TB) []byte {
	t.Helper()
	f, err := workfile.Read("new", assets.New)
	if err != nil {
		t.Fatal(err)
	}
	d, rate := 50.0, 20.0
	f.Moves, f.Limits.Rate = nil, &rate
	f.Sequence = []workfile.Entry{{Name: "stand", Kind: "stand", Duration: &d}}
	text, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return append([]byte("# a comment of mine\n"), text...)
}

// opened makes a workfile in a folder and opens it.
func opened(t testing.TB, dir string) (Place, *document.Document) {
	t.Helper()
	p := Place{Path: filepath.Join(dir, "robot.toml"), Name: "robot.toml", Cache: filepath.Join(dir, "cache"), Token: "me", Host: "here"}
	text := small(t)
	if err := os.WriteFile(p.Path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	d, err := document.Open(p.Path, "robot.toml", text)
	if err != nil {
		t.Fatal(err)
	}
	return p, d
}

func rename(t testing.TB, d *document.Document, to string) {
	t.Helper()
	if err := d.Change("rename", func(f *workfile.File) { f.Robot.Name = to }); err != nil {
		t.Fatal(err)
	}
}

// other is the place as the next window sees it.
func other(p Place) Place { p.Token = "next"; return p }

// until waits for the keeper's goroutine.
func until(t testing.TB, what string, ok func() bool) {
	t.Helper()
	for range 2000 {
		if ok() {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatalf("in ten seconds: not %s", what)
}

func TestCopyThereAndBack(t *testing.T) {
	c := Copy{
		Of: "/home/ann/my \"robot\"\n.toml", Name: "ro\tbot", Host: "höst", At: time.Date(2026, 3, 4, 5, 6, 7, 89, time.UTC),
		Base: Hash(nil), Text: []byte("format = 1\n\n# end"),
	}
	src := c.Encode()
	got, err := Parse(src)
	if err != nil || got.Of != c.Of || got.Name != c.Name || got.Host != c.Host || !got.At.Equal(c.At) || got.Base != c.Base || !bytes.Equal(got.Text, c.Text) {
		t.Errorf("%+v, %v", got, err)
	}
	// The copy of a workfile is one.
	c.Text = assets.Demo
	if _, err := workfile.Read("copy", c.Encode()); err != nil {
		t.Error(err)
	}
	// Whatever is cut off or changed is noticed.
	for i := range src {
		if _, err := Parse(src[:i]); !errors.Is(err, ErrDamaged) {
			t.Fatalf("cut at %d: %v", i, err)
		}
	}
	for i := bytes.LastIndex(src, []byte("\n#\n")); i < len(src); i++ {
		bad := bytes.Clone(src)
		bad[i] ^= 1
		if _, err := Parse(bad); !errors.Is(err, ErrDamaged) {
			t.Fatalf("changed at %d: %v", i, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add((&Copy{Of: "a", Text: []byte("x")}).Encode())
	f.Add([]byte(head + "\n# at = x\n#\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		c, err := Parse(src)
		if err != nil {
			if !errors.Is(err, ErrDamaged) {
				t.Fatal(err)
			}
			return
		}
		again, err := Parse(c.Encode())
		if err != nil || !bytes.Equal(again.Text, c.Text) || again.Of != c.Of || again.Name != c.Name {
			t.Fatalf("%+v, %v, want %+v", again, err, c)
		}
	})
}

// What was edited is found by the next window once this one has ended, and not
// before; it is all of it, with the comments.
func TestKeptAndFound(t *testing.T) {
	p, d := opened(t, t.TempDir())
	fl := Follower{Keeper: New(p, Options{Every: time.Millisecond})}
	fl.Look(d)
	for i := range 20 {
		rename(t, d, fmt.Sprint("name ", i))
		fl.Look(d)
	}
	beside := filepath.Join(filepath.Dir(p.Path), ".robot.toml.me.unsaved")
	until(t, "written", func() bool {
		src, err := os.ReadFile(beside)
		return err == nil && bytes.Contains(src, []byte(`"name 19"`))
	})
	if i, err := os.Stat(beside); err != nil || i.Mode().Perm()&0o077 != 0 && os.PathSeparator == '/' {
		t.Errorf("others may read it: %v, %v", i.Mode(), err)
	}
	if f := Find(other(p)); len(f) != 0 {
		t.Errorf("found the copy of a window that runs: %+v", f)
	}
	fl.Keeper.Leave()
	f := Find(other(p))
	if len(f) != 1 || f[0].Err != nil || f[0].Path != beside {
		t.Fatalf("found %+v", f)
	}
	c := f[0].Copy
	if !bytes.HasPrefix(c.Text, []byte("# a comment of mine\n")) || c.Base != Hash(d.Base()) || c.Of != p.file() || c.Host != "here" {
		t.Errorf("%+v", c)
	}
	got, err := workfile.Read("copy", c.Text)
	if err != nil || !got.Equal(d.File()) {
		t.Errorf("another file: %v", err)
	}
	if err := f[0].Discard(); err != nil {
		t.Fatal(err)
	}
	if f := Find(other(p)); len(f) != 0 {
		t.Errorf("still there: %+v", f)
	}
}

// Saving, undoing to what is saved, and a clean close leave no copy.
func TestCopyGoes(t *testing.T) {
	dir := t.TempDir()
	p, d := opened(t, dir)
	copies := func() int {
		all, err := filepath.Glob(filepath.Join(dir, ".robot.toml.*"))
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	fl := Follower{Keeper: New(p, Options{Every: time.Millisecond})}
	edit := func(to string) {
		rename(t, d, to)
		fl.Look(d)
		until(t, "written", func() bool { return copies() == 1 })
	}
	edit("one")
	d.Undo()
	fl.Look(d)
	until(t, "gone after undo", func() bool { return copies() == 0 })
	edit("two")
	if err := fl.Save(d, p.Path); err != nil {
		t.Fatal(err)
	}
	until(t, "gone after saving", func() bool { return copies() == 0 })
	if err := fl.Save(d, p.Path); err != nil { // nothing to save
		t.Fatal(err)
	}
	until(t, "gone after saving again", func() bool { return copies() == 0 })
	edit("three")
	fl.Keeper.Close()
	if copies() != 0 {
		t.Error("a copy after a clean close")
	}
	if all, _ := os.ReadDir(filepath.Join(p.Cache, "windows")); len(all) != 0 {
		t.Errorf("locks are left: %v", all)
	}
}

// A save that fails keeps the copy.
func TestSaveFails(t *testing.T) {
	p, d := opened(t, t.TempDir())
	fl := Follower{Keeper: New(p, Options{Every: time.Millisecond})}
	rename(t, d, "one")
	if err := fl.Save(d, filepath.Join(p.Path, "below.toml")); err == nil {
		t.Fatal("saved below a file")
	}
	fl.Keeper.Leave()
	f := Find(other(p))
	if len(f) != 1 || f[0].Err != nil || !bytes.Contains(f[0].Copy.Text, []byte(`"one"`)) {
		t.Errorf("found %+v", f)
	}
}

// Two windows on one file have each a copy of their own, and neither finds the
// other's.
func TestTwoWindows(t *testing.T) {
	p, d := opened(t, t.TempDir())
	q := other(p)
	e, err := document.Open(q.Path, q.Name, d.Base())
	if err != nil {
		t.Fatal(err)
	}
	a, b := Follower{Keeper: New(p, Options{})}, Follower{Keeper: New(q, Options{})}
	rename(t, d, "mine")
	rename(t, e, "yours")
	a.Look(d)
	b.Look(e)
	until(t, "both written", func() bool {
		all, _ := filepath.Glob(filepath.Join(filepath.Dir(p.Path), ".robot.toml.*.unsaved"))
		return len(all) == 2
	})
	if f := append(Find(p), Find(q)...); len(f) != 0 {
		t.Errorf("found %+v", f)
	}
	a.Keeper.Leave()
	b.Keeper.Leave()
	p.Token = "third"
	f := Find(p)
	if len(f) != 2 || f[0].Copy == nil || f[1].Copy == nil || f[0].Copy.At.Before(f[1].Copy.At) {
		t.Errorf("found %+v", f)
	}
}

// Where nothing can stand beside the file the cache folder takes it, and that is
// said once.
func TestReadOnlyFolder(t *testing.T) {
	dir := t.TempDir()
	p, d := opened(t, dir)
	// A folder in the way of the copy refuses it for everybody, root as well.
	if err := os.Mkdir(filepath.Join(dir, ".robot.toml.me.unsaved"), 0o755); err != nil {
		t.Fatal(err)
	}
	woken := make(chan bool, 10)
	fl := Follower{Keeper: New(p, Options{Every: time.Millisecond, Wake: func() { woken <- true }})}
	rename(t, d, "one")
	fl.Look(d)
	<-woken
	err := fl.Keeper.Err()
	if err == nil || !strings.Contains(err.Error(), "they are kept in "+filepath.Join(p.Cache, "unsaved")) {
		t.Errorf("said %v", err)
	}
	rename(t, d, "two")
	fl.Look(d)
	fl.Keeper.Leave()
	if err := fl.Keeper.Err(); err != nil {
		t.Errorf("said again: %v", err)
	}
	f := Find(other(p))
	var kept *Copy
	for _, c := range f {
		if c.Copy != nil {
			kept = c.Copy
		}
	}
	if kept == nil || !bytes.Contains(kept.Text, []byte(`"two"`)) {
		t.Errorf("found %+v", f)
	}
	// A file of the same name in another folder is another one.
	p.Path = filepath.Join(dir, "elsewhere", "robot.toml")
	if f := Find(other(p)); len(f) != 0 {
		t.Errorf("found %+v", f)
	}
}

// With no place at all that is said, and nothing panics.
func TestNoPlace(t *testing.T) {
	dir := t.TempDir()
	p, d := opened(t, dir)
	p.Cache = filepath.Join(p.Path, "below a file")
	p.Path = ""
	woken := make(chan bool, 10)
	fl := Follower{Keeper: New(p, Options{Every: time.Millisecond, Wake: func() { woken <- true }})}
	rename(t, d, "one")
	fl.Look(d)
	<-woken
	if err := fl.Keeper.Err(); err == nil || !strings.Contains(err.Error(), "save often") {
		t.Errorf("said %v", err)
	}
	fl.Keeper.Leave()
}

// Text that is no file yet is kept as well, and found by whoever opens no file.
func TestNeverSaved(t *testing.T) {
	p, d := opened(t, t.TempDir())
	p.Path, p.Name = "", "porter"
	fl := Follower{Keeper: New(p, Options{})}
	rename(t, d, "one")
	fl.Look(d)
	fl.Keeper.Leave()
	q := other(p)
	q.Name = "demo"
	f := Find(q)
	if len(f) != 1 || f[0].Copy == nil || f[0].Copy.Name != "porter" || f[0].Copy.Of != "" {
		t.Errorf("found %+v", f)
	}
}

// A link and its target are one file.
func TestLink(t *testing.T) {
	dir := t.TempDir()
	p, d := opened(t, dir)
	link := filepath.Join(dir, "sub", "link.toml")
	if err := os.Mkdir(filepath.Dir(link), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join("..", "robot.toml"), link); err != nil {
		t.Fatal(err)
	}
	l := p
	l.Path = link
	fl := Follower{Keeper: New(l, Options{})}
	rename(t, d, "one")
	fl.Look(d)
	fl.Keeper.Leave()
	for _, q := range []Place{other(p), other(l)} {
		if f := Find(q); len(f) != 1 {
			t.Errorf("%s: found %+v", q.Path, f)
		}
	}
}

// A damaged copy is found as such, behind those that read.
func TestDamaged(t *testing.T) {
	dir := t.TempDir()
	p, d := opened(t, dir)
	fl := Follower{Keeper: New(p, Options{})}
	rename(t, d, "one")
	fl.Look(d)
	fl.Keeper.Leave()
	for name, src := range map[string][]byte{"a": nil, "b": []byte("what is this\n"), "c": make([]byte, most+1)} {
		if err := os.WriteFile(filepath.Join(dir, ".robot.toml."+name+".unsaved"), src, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	f := Find(other(p))
	if len(f) != 4 || f[0].Copy == nil {
		t.Fatalf("found %+v", f)
	}
	for _, g := range f[1:] {
		if !errors.Is(g.Err, ErrDamaged) || g.Copy != nil {
			t.Errorf("%+v", g)
		}
	}
}

func TestTidy(t *testing.T) {
	dir := t.TempDir()
	p, _ := opened(t, dir)
	let := hold(p.Cache, "runs")
	defer let()
	for _, f := range []string{
		filepath.Join(dir, ".robot.toml.1.part"), filepath.Join(dir, "..robot.toml.x.unsaved.2.part"),
		lockPath(p.Cache, "dead"), lockPath(p.Cache, "runs"),
	} {
		if err := os.WriteFile(f, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	Tidy(other(p), time.Now())
	count := func() (parts, locks int) {
		a, _ := filepath.Glob(filepath.Join(dir, ".*.part"))
		b, _ := filepath.Glob(lockPath(p.Cache, "*"))
		return len(a), len(b)
	}
	if a, b := count(); a != 2 || b != 2 {
		t.Errorf("young ones went: %d parts, %d locks", a, b)
	}
	Tidy(other(p), time.Now().Add(2*time.Hour))
	if a, b := count(); a != 0 || b != 1 || !runs(p.Cache, "runs") {
		t.Errorf("left: %d parts, %d locks", a, b)
	}
}

// No keeper keeps nothing.
func TestNoKeeper(t *testing.T) {
	p, d := opened(t, t.TempDir())
	var k *Keeper
	k.Note(d.File(), nil)
	k.Clear()
	k.Flush(nil, nil)
	k.Close()
	k.Leave()
	var fl Follower
	rename(t, d, "one")
	fl.Look(d)
	if err := fl.Save(d, p.Path); err != nil || k.Err() != nil {
		t.Error(err)
	}
}
