// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"image"
	"io/fs"
	"math/rand/v2"
	"path"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"

	"gaitwright/app/document"
	"gaitwright/app/shape"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/merge"
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
	held  f32.Point
	at    pointer.Buttons
	ticks time.Duration        // time stamp of the last pointer event
	parts []input.SemanticNode // of the last frame

	keys  []key.Filter // that the window answers
	doc0  *document.Document
	first *workfile.File // with which that began
	names []string       // of the documents so far
}

// coarse is a workfile sampled coarsely, since monkeys rehearse it often.
func coarse(t testing.TB, text []byte) []byte {
	t.Helper()
	f, err := workfile.Read("monkey", text)
	if err != nil {
		t.Fatal(err)
	}
	rate := 40.0
	f.Limits.Rate = &rate
	text, err = f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func newMonkey(t *testing.T, text []byte) *monkey {
	t.Helper()
	file := filepath.Join(t.TempDir(), "monkey.toml")
	m := &monkey{rig: openWith(t, Config{Name: "monkey", Path: file, Text: text, Files: newIsland()}, small, 1)}
	m.modal.changes.Instants = 1
	t.Cleanup(m.modal.changes.Close)
	for _, p := range m.doc.Result().Trajectory.Parts {
		if p.Kind == "move" {
			m.Workbench.at.GoTo(m.doc, p.From+1.7)
		}
	}
	for i := range m.acts {
		m.keys = append(m.keys, m.acts[i].keys...)
	}
	m.frame()
	return m
}

// more are keys that parts of the window answer beside its own.
var more = [...]key.Name{
	key.NameLeftArrow, key.NameRightArrow, key.NameUpArrow, key.NameDownArrow, key.NameReturn, key.NameEnter, key.NameEscape,
	key.NameHome, key.NameEnd, key.NamePageUp, key.NamePageDown, key.NameSpace, key.NameDeleteBackward, key.NameDeleteForward,
	key.NameTab, "A", "C", "X", "V", "R", "S", "+", "-",
}

var modifiers = [...]key.Modifiers{0, 0, 0, 0, key.ModShortcut, key.ModShift, key.ModShortcut | key.ModShift, key.ModAlt}

// typed are texts that make sense in one field or another.
var typed = [...]string{"0", "1", "-40", "12.5", "300", "1500", "1e9", "x", "−3", "µ,", "wave", "LF", "up", " ", "90\t7", "\t", ".5", "éß"}

// frame lets the window take what was put in, and looks that it stays sound.
func (m *monkey) frame() {
	m.T.Helper()
	m.Frame()
	m.parts = m.parts[:0]
	d := m.doc
	if d.Result() == nil {
		m.T.Fatalf("no rehearsal")
	}
	if at := m.Workbench.at.Time; !(at >= 0 && at <= d.Result().Trajectory.Duration()) {
		m.T.Fatalf("the time is %v of %v s", at, d.Result().Trajectory.Duration())
	}
	if d != m.doc0 { // another robot: it is what undoing ends with
		m.doc0 = d
		m.first = m.began()
		m.names = append(m.names, m.Name())
	}
}

// began takes everything back, to see with what the document began, and makes
// it anew.
func (m *monkey) began() *workfile.File {
	n := 0
	for ; ; n++ {
		if _, ok := m.doc.CanUndo(); !ok {
			break
		}
		m.doc.Undo()
	}
	f := m.doc.Own().Clone()
	for range n {
		m.doc.Redo()
	}
	return f
}

// part gives where one of the named parts of the window lies.
func (m *monkey) part(i int) f32.Point {
	if len(m.parts) == 0 {
		for _, n := range m.Nodes() {
			if b := n.Desc.Bounds; !b.Intersect(image.Rectangle{Max: m.Size}).Empty() {
				m.parts = append(m.parts, n)
			}
		}
	}
	if len(m.parts) == 0 {
		return f32.Point{}
	}
	box := m.parts[i%len(m.parts)].Desc.Bounds
	return f32.Pt(float32(box.Min.X+min(box.Dx(), 200)/2), float32(box.Min.Y+min(box.Dy(), 30)/2))
}

// put adds a pointer event without a frame.
func (m *monkey) put(k pointer.Kind, mods key.Modifiers) {
	m.ticks += 20 * time.Millisecond
	m.Queue(pointer.Event{Kind: k, Source: pointer.Mouse, Buttons: m.at, Position: m.held, Modifiers: mods, Time: m.ticks})
}

// step does what four bytes say. Some events share a frame, as those of a quick
// hand do.
func (m *monkey) step(b [4]byte) {
	place := func(x, y byte) f32.Point {
		return f32.Pt(float32(x)/250*float32(m.Size.X)-5, float32(y)/250*float32(m.Size.Y)-5)
	}
	n := int(b[1])<<8 | int(b[2])
	mods := modifiers[int(b[3])%len(modifiers)]
	buttons := [...]pointer.Buttons{pointer.ButtonPrimary, pointer.ButtonPrimary, pointer.ButtonPrimary, pointer.ButtonSecondary, pointer.ButtonTertiary}
	press := func(name key.Name, mods key.Modifiers) {
		m.Queue(event.Event(key.Event{Name: name, Modifiers: mods, State: key.Press}), key.Event{Name: name, Modifiers: mods, State: key.Release})
	}
	if (m.modal.open() || m.doc.Showing()) && b[3]%16 == 1 { // lest it stays where nothing can be changed
		press(key.NameEscape, 0)
		m.frame()
		return
	}
	switch b[0] % 16 {
	case 2: // a field, and what is typed into it
		if p := m.fields(); len(p) > 0 {
			m.ticks, m.held, m.at = m.ticks+time.Second, p[n%len(p)], pointer.ButtonPrimary
			m.put(pointer.Press, 0)
			m.at = 0
			m.put(pointer.Release, 0)
			m.frame()
			m.Burst(typed[int(b[3])%len(typed)])
			press(key.NameReturn, 0)
		}
	case 0, 1: // a click
		m.ticks += time.Duration(b[3]%4) * 200 * time.Millisecond // or two, or three
		m.held = m.part(n)
		m.at = pointer.ButtonPrimary
		m.put(pointer.Press, mods)
		m.at = 0
		m.put(pointer.Release, mods)
	case 3, 4: // press on a part, more often on one to drag
		m.held, m.at = m.part(n), buttons[int(b[3])%len(buttons)]
		if p := m.handles(); len(p) > 0 && b[3]%2 == 0 {
			m.held = p[n%len(p)]
		}
		m.put(pointer.Press, mods)
	case 5, 6, 7: // move, with the button or without
		m.held = m.held.Add(f32.Pt(float32(int8(b[1]))/4, float32(int8(b[2]))/4))
		m.put(pointer.Move, mods)
	case 8:
		m.at = 0
		m.put(pointer.Release, mods)
	case 9:
		m.held = place(b[1], b[2])
		m.put(pointer.Move, mods)
	case 10:
		m.held = place(b[1], b[2])
		m.Queue(pointer.Event{Kind: pointer.Scroll, Source: pointer.Mouse, Position: m.held, Scroll: f32.Pt(0, float32(int8(b[3]))*3), Modifiers: mods, Time: m.ticks})
	case 11: // a shortcut
		k := m.keys[n%len(m.keys)]
		press(k.Name, k.Required)
	case 12:
		press(more[n%len(more)], mods)
	case 13, 14:
		m.Burst(typed[n%len(typed)])
		if b[3]%3 == 0 {
			press(key.NameReturn, 0)
		}
	case 15:
		switch b[1] % 8 {
		case 0, 1:
			m.Tab(b[2]%2 == 0)
		case 2:
			m.at = 0
			m.put(pointer.Cancel, 0)
		case 3:
			m.MayClose()
		case 4: // the window is made smaller or larger, down to nothing
			m.Size = image.Pt(int(b[2])*8, int(b[3])*5)
			if b[2]%3 > 0 {
				m.Size = small
			}
		case 5: // and taken to another display
			s := 1 + float32(b[2]%5)/2
			m.Metric.PxPerDp, m.Metric.PxPerSp = s, s
			if b[2]%3 > 0 {
				m.Metric.PxPerDp, m.Metric.PxPerSp = 1, 1
			}
		default:
			m.Now = m.Now.Add(time.Duration(b[2]) * 5 * time.Millisecond)
		}
	}
	if b[0] >= 128 { // every other one
		m.frame()
	}
}

// fields lists where something can be typed.
func (m *monkey) fields() (p []f32.Point) {
	m.part(0)
	for i := range m.parts {
		if d := &m.parts[i].Desc; d.Class == semantic.Editor && d.Label != "" && !d.Disabled {
			p = append(p, f32.Pt(float32(d.Bounds.Min.X+d.Bounds.Max.X)/2, float32(d.Bounds.Min.Y+d.Bounds.Max.Y)/2))
		}
	}
	return p
}

// handles lists where there is something to drag.
func (m *monkey) handles() (p []f32.Point) {
	m.part(0)
	var timing image.Rectangle
	for i := range m.parts {
		l := m.parts[i].Desc.Label
		if strings.Contains(l, " of span ") {
			b := m.parts[i].Desc.Bounds
			p = append(p, f32.Pt(float32(b.Min.X+b.Max.X)/2, float32(b.Min.Y+b.Max.Y)/2))
		}
		if l == "timing curve" {
			timing = m.parts[i].Desc.Bounds.Inset(int(22 * m.Metric.PxPerDp))
		}
	}
	if timing.Empty() { // behind a card
		return p
	}
	if t, ok := shape.Timing(m.doc.File(), &m.Workbench.at); ok {
		for _, h := range [][2]float64{{t.X1, t.Y1}, {t.X2, t.Y2}} {
			p = append(p, f32.Pt(float32(timing.Min.X)+float32(h[0])*float32(timing.Dx()), float32(timing.Max.Y)-float32(h[1])*float32(timing.Dy())))
		}
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
		step, _ := m.doc.CanUndo()
		m.T.Fatalf("after %q it reads differently: %v\n%s", step, merge.Diff(f, m.doc.Own()), text)
	}
	if err := m.doc.Own().Check(); err != nil {
		m.T.Fatalf("%v", err)
	}
}

// home takes everything back and fails when that is not the first file.
func (m *monkey) home() {
	m.T.Helper()
	m.at = 0
	m.put(pointer.Cancel, 0)
	m.Size, m.Metric.PxPerDp, m.Metric.PxPerSp = small, 1, 1
	m.modal.close()
	m.frame()
	m.endLive()
	m.endTrial()
	m.doc.Cancel()
	for {
		if _, ok := m.doc.CanUndo(); !ok {
			break
		}
		m.doc.Undo()
	}
	if !m.doc.Own().Equal(m.first) {
		m.T.Fatalf("undoing everything gives another file:\n%s", m.text())
	}
	m.valid()
	m.Workbench.at.Tidy(m.doc)
	m.Workbench.at.Playing = false
	m.modal.close()
	m.Settle()
}

// Random events with fixed seeds harm nothing: whatever is clicked, dragged,
// scrolled, typed and pressed, in windows of any size, no panic follows, the
// document can be written and read again, the time lies within the motion, and
// undoing everything gives what it began with. 50,000 events, on several
// robots; -short has a tenth of them.
func TestMonkey(t *testing.T) {
	t.Chdir(t.TempDir()) // tables go to a folder there
	events := 6250
	if testing.Short() {
		events = 625
	}
	var rehearsals, steps, robots atomic.Int64
	t.Run("seeds", func(t *testing.T) {
		for seed := range uint64(8) {
			name := [...]string{"demo", "walker", "new", "brisk"}[seed%4]
			text := map[string][]byte{"demo": assets.Demo, "walker": assets.Walker, "new": assets.New, "brisk": brisk(t)}[name]
			t.Run(fmt.Sprintf("%d on %s", seed, name), func(t *testing.T) {
				t.Parallel()
				m := newMonkey(t, coarse(t, text))
				r := rand.New(rand.NewPCG(seed, 1))
				serial := m.doc.Serial()
				for i := range events {
					var b [4]byte
					for j := range b {
						b[j] = byte(r.Uint32())
					}
					m.step(b)
					if i%100 == 0 {
						m.frame()
						m.valid()
					}
				}
				m.frame()
				m.valid()
				rehearsals.Add(int64(m.doc.Serial() - serial))
				if _, ok := m.doc.CanUndo(); ok {
					steps.Add(1)
				}
				robots.Add(int64(len(m.names)))
				m.home()
			})
		}
	})
	t.Logf("%d rehearsals, %d of 8 windows end with something to undo, %d documents", rehearsals.Load(), steps.Load(), robots.Load())
	if least := int64(events / 20); rehearsals.Load() < least {
		t.Errorf("only %d rehearsals, the monkeys do too little", rehearsals.Load())
	}
}

// FuzzEvents gives a window any events: no panic, and the file stays one that
// can be read.
func FuzzEvents(f *testing.F) {
	f.Add([]byte{0x83, 0, 90, 0, 0x85, 0, 40, 0, 0x88, 0, 0, 0, 0x8c, 0, 3, 0})
	f.Add([]byte{0x8c, 0, 9, 0, 0x8d, 0, 5, 3, 0x8b, 0, 4, 0})
	f.Add([]byte{0x82, 0, 2, 3, 0x0d, 0, 5, 0, 0x8b, 0, 4, 0, 0x8c, 0, 5, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		t.Chdir(t.TempDir())
		m := newMonkey(t, coarse(t, assets.Demo))
		for n := 0; len(data) >= 4 && n < 200; n++ {
			m.step([4]byte(data))
			data = data[4:]
		}
		m.frame()
		m.valid()
		m.home()
	})
}
