// SPDX-License-Identifier: MIT

package app

import (
	"bytes"
	"io/fs"
	"math/rand/v2"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/app/shape"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// island is a file system of folders that no disk has, so that nothing typed
// at random is written anywhere.
type island struct{ fstest.MapFS }

const shore = "/no-such-folder-anywhere"

func newIsland() island {
	return island{fstest.MapFS{"a/b.toml": {Data: []byte("format = 1\n")}, "c.txt": {}}}
}

func (i island) rel(p string) (string, error) {
	p = filepath.ToSlash(p)
	if p != shore && !strings.HasPrefix(p, shore+"/") {
		return "", fs.ErrPermission
	}
	return path.Clean("." + strings.TrimPrefix(p, shore)), nil
}

func (i island) ReadDir(dir string) ([]fs.DirEntry, error) {
	p, err := i.rel(dir)
	if err != nil {
		return nil, err
	}
	return i.MapFS.ReadDir(p)
}

func (i island) Stat(file string) (fs.FileInfo, error) {
	p, err := i.rel(file)
	if err != nil {
		return nil, err
	}
	return i.MapFS.Stat(p)
}

func (i island) Home() (string, error) { return shore, nil }

// monkey does what bytes tell it.
type monkey struct {
	*rig
	held f32.Point
	at   pointer.Buttons
}

// coarse is the demo sampled coarsely, since monkeys rehearse it often.
func coarse(t testing.TB) []byte {
	t.Helper()
	if !bytes.Contains(assets.Demo, []byte("review_hz = 500")) {
		t.Fatal("the demo has another rate")
	}
	return bytes.Replace(assets.Demo, []byte("review_hz = 500"), []byte("review_hz = 40"), 1)
}

func newMonkey(t *testing.T) *monkey {
	t.Helper()
	t.Chdir(t.TempDir()) // tables go to a folder there
	file := filepath.Join(t.TempDir(), "monkey.toml")
	text := coarse(t)
	m := &monkey{rig: openWith(t, Config{Name: "monkey", Path: file, Text: text, Files: newIsland()}, small, 1)}
	m.Workbench.at.GoTo(m.doc, m.strike()+1.7)
	m.modal.changes.Instants = 1
	t.Cleanup(m.modal.changes.Close)
	m.Frame()
	return m
}

// names are the keys that something in the window listens to.
var names = [...]key.Name{
	key.NameLeftArrow, key.NameRightArrow, key.NameUpArrow, key.NameDownArrow, key.NameReturn, key.NameEscape,
	key.NameHome, key.NameEnd, key.NameSpace, key.NameDeleteBackward, key.NameDeleteForward, key.NameTab,
	"Z", "Y", "S", "O", "E", "F", "H", "A", "+", "-", "0", "L", "1", "2", "Q", "M", "T", "K", "C",
}

const letters = "0123456789.-+eE,x mµ–"

// step does what four bytes say.
func (m *monkey) step(b [4]byte) {
	place := func(x, y byte) f32.Point {
		return f32.Pt(float32(x)/250*float32(m.Size.X)-5, float32(y)/250*float32(m.Size.Y)-5)
	}
	part := func(i int) f32.Point {
		nodes := m.Nodes()
		box := nodes[i%len(nodes)].Desc.Bounds
		return f32.Pt(float32(box.Min.X+min(box.Dx(), 200)/2), float32(box.Min.Y+min(box.Dy(), 30)/2))
	}
	mods := [...]key.Modifiers{0, 0, 0, key.ModShortcut, key.ModShift, key.ModShortcut | key.ModShift}
	buttons := [...]pointer.Buttons{pointer.ButtonPrimary, pointer.ButtonPrimary, pointer.ButtonPrimary, pointer.ButtonSecondary, pointer.ButtonTertiary}
	if (m.modal.open() || m.doc.Showing()) && b[3]%8 == 0 { // lest it stays where nothing can be changed
		m.Press(key.NameEscape, 0)
		return
	}
	switch b[0] % 12 {
	case 0:
		m.ClickAt(part(int(b[1])<<8 | int(b[2])))
	case 1, 2: // press on a part, more often on one to drag
		m.held, m.at = part(int(b[1])<<8|int(b[2])), buttons[int(b[3])%len(buttons)]
		if p := m.handles(); len(p) > 0 && b[3]%2 == 0 {
			m.held = p[(int(b[1])<<8|int(b[2]))%len(p)]
		}
		m.pointer(pointer.Press, m.held, m.at)
	case 3, 4, 5: // move, with the button or without
		m.held = m.held.Add(f32.Pt(float32(int8(b[1]))/4, float32(int8(b[2]))/4))
		m.pointer(pointer.Move, m.held, m.at)
	case 6:
		m.at = 0
		m.pointer(pointer.Release, m.held, 0)
	case 7:
		m.held = place(b[1], b[2])
		m.pointer(pointer.Move, m.held, m.at)
	case 8:
		m.Scroll(place(b[1], b[2]), float32(int8(b[3]))*3, mods[int(b[3])%len(mods)])
	case 9:
		m.Press(names[int(b[1])%len(names)], mods[int(b[2])%len(mods)])
	case 10:
		r := []rune(letters)
		m.Type(string(r[int(b[1])%len(r)]) + string(r[int(b[2])%len(r)]))
	case 11:
		switch b[1] % 4 {
		case 0:
			m.Tab(b[2]%2 == 0)
		case 1:
			m.pointer(pointer.Cancel, m.held, 0)
			m.at = 0
		case 2:
			m.MayClose()
			m.Frame()
		default:
			m.Now = m.Now.Add(time.Duration(b[2]) * 5 * time.Millisecond)
			m.Frame()
		}
	}
}

// handles lists where there is something to drag.
func (m *monkey) handles() (p []f32.Point) {
	for _, n := range m.Nodes() {
		if strings.Contains(n.Desc.Label, " of span ") {
			p = append(p, m.spot(n.Desc.Label))
		}
	}
	if _, shown := m.Find("timing curve"); !shown {
		return p // behind a card
	}
	if t, ok := shape.Timing(m.doc.File(), &m.Workbench.at); ok {
		p = append(p, m.handle(float32(t.X1), float32(t.Y1)), m.handle(float32(t.X2), float32(t.Y2)))
	}
	return p
}

// valid fails when the open file is not one that would be read again.
func (m *monkey) valid() {
	m.T.Helper()
	text, err := m.doc.Text()
	if err != nil {
		m.T.Fatalf("does not encode: %v", err)
	}
	f, err := workfile.Read("monkey", text)
	if err != nil {
		m.T.Fatalf("is refused when read again: %v", err)
	}
	if !f.Equal(m.doc.Own()) {
		m.T.Fatalf("reads differently:\n%s", text)
	}
	if t := m.Workbench.at.Time; !(t >= 0 && t <= m.doc.Result().Trajectory.Duration()) {
		m.T.Fatalf("time %v", t)
	}
}

// home takes everything back and fails when that is not the first file.
func (m *monkey) home() {
	m.T.Helper()
	m.pointer(pointer.Cancel, m.held, 0)
	m.endLive()
	m.endTrial()
	m.doc.Cancel()
	for {
		if _, ok := m.doc.CanUndo(); !ok {
			break
		}
		m.doc.Undo()
	}
	first, err := workfile.Read("first", coarse(m.rig.T.(testing.TB)))
	if err != nil {
		m.T.Fatalf("%v", err)
	}
	if !m.doc.File().Equal(first) {
		m.T.Fatalf("undoing everything gives another file:\n%s", m.text())
	}
}

// Random events with a fixed seed harm nothing.
func TestMonkey(t *testing.T) {
	total := 0
	for seed := range uint64(4) {
		m := newMonkey(t)
		r := rand.New(rand.NewPCG(seed, 1))
		serial := m.doc.Serial()
		for i := range 1000 {
			var b [4]byte
			for j := range b {
				b[j] = byte(r.Uint32())
			}
			m.step(b)
			if i%20 == 0 {
				m.valid()
			}
		}
		m.valid()
		total += m.doc.Serial() - serial
		m.home()
		m.Workbench.at.Playing = false
		m.modal.close()
		m.Settle()
	}
	if total < 80 {
		t.Errorf("only %d rehearsals, the monkeys do too little", total)
	}
}

// FuzzEvents gives a window any events: no panic, and the file stays one that
// can be read.
func FuzzEvents(f *testing.F) {
	f.Add([]byte{1, 0, 90, 0, 3, 0, 40, 0, 6, 0, 0, 0, 9, 12, 3, 0})
	f.Add([]byte{9, 16, 3, 0, 10, 4, 5, 0, 9, 4, 0, 0})
	f.Add([]byte{9, 14, 3, 0, 10, 4, 5, 0, 9, 4, 0, 0, 9, 5, 0, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		m := newMonkey(t)
		for n := 0; len(data) >= 4 && n < 200; n++ {
			m.step([4]byte(data))
			data = data[4:]
		}
		m.valid()
		m.home()
	})
}
