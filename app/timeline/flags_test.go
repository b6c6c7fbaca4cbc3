// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"math"
	"slices"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/motion/workfile"
)

// at gives the times of the marks of the file's first move, ms.
func (r *rig) marksAt() (at []float64) {
	for _, k := range r.doc.File().Moves[0].Marks {
		at = append(at, k.At)
	}
	return at
}

// pennant gives where the flag of a mark is drawn.
func (r *rig) pennant(name string) f32.Point {
	r.T.Helper()
	n, err := r.Clickable(name)
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	b := n.Desc.Bounds
	return f32.Pt(float32(b.Min.X)+6*r.Metric.PxPerDp, float32(b.Min.Y+b.Max.Y)/2)
}

// A mark dragged by a time is put there, with the later ones along or not; each
// drag is one undo step, and what shows stays while the hand is down.
func TestDragMark(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		for _, alone := range []bool{false, true} {
			r := open(t, demo, scale, image.Pt(int(1280*scale), int(240*scale)))
			was, text := r.marksAt(), r.doc.File().Clone()
			i := slices.IndexFunc(text.Moves[0].Marks, func(k workfile.Mark) bool { return k.Name == "hit" })
			px := r.doc.Result().Trajectory.Duration() * 1000 / (1166 * float64(scale))
			from := r.pennant("hit")
			to := from.Add(f32.Pt(20*scale, 0))
			by := 20 * float64(scale) * px
			mod := key.Modifiers(0)
			if alone {
				mod = key.ModShift
			}
			r.DragWith(pointer.ButtonPrimary, mod, from, to, 6)
			r.Settle()
			now := r.marksAt()
			for k := range was {
				want := was[k]
				if k == i || k > i && !alone {
					want += by
				}
				if math.Abs(now[k]-want) > px+1 {
					t.Errorf("%vx, alone=%v: mark %d at %v, want %v", scale, alone, k, now[k], want)
				}
			}
			if math.Round(now[i]) != now[i] {
				t.Errorf("at %v ms, not rounded", now[i])
			}
			if label, _ := r.doc.CanUndo(); label != "move a mark in time" {
				t.Errorf("label %q", label)
			}
			if !r.panel.window.all() {
				t.Errorf("shows %+v after the drag", r.panel.window)
			}
			r.doc.Undo()
			if !r.doc.File().Equal(text) {
				t.Error("one undo does not take the drag back")
			}
			if _, ok := r.doc.CanUndo(); ok {
				t.Error("the drag was more than one step")
			}
		}
	}
}

// While the hand is down the flag stays under the pointer and the verdict
// follows; Escape takes it back, and the hand lets go.
func TestMarkFollowsTheHand(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	was := r.doc.File()
	from := r.pennant("hit")
	clock := time.Hour
	send := func(k pointer.Kind, p f32.Point, b pointer.Buttons) {
		clock += 16 * time.Millisecond
		r.Queue(pointer.Event{Kind: k, Source: pointer.Mouse, Buttons: b, Position: p, Time: clock})
		r.Frame()
	}
	for _, end := range []string{"escape", "undo"} {
		send(pointer.Press, from, pointer.ButtonPrimary)
		if r.doc.Dragging() {
			t.Fatal("a press alone changes something")
		}
		before, found := len(r.doc.Result().Findings), 0
		for k := range 30 { // earlier and earlier: the strike gets too fast
			send(pointer.Move, from.Sub(f32.Pt(float32(k), 0)), pointer.ButtonPrimary)
			found = max(found, len(r.doc.Result().Findings))
		}
		if !r.doc.Dragging() || found <= before {
			t.Fatalf("dragging=%v, %d findings, before %d", r.doc.Dragging(), found, before)
		}
		r.Frame()
		if got := r.pennant("hit"); got.X > from.X-5 {
			t.Errorf("the flag is at %v, the pointer at %v", got, from.X-29)
		}
		if end == "escape" {
			r.Press(key.NameEscape, 0)
		} else {
			r.doc.Undo()
		}
		send(pointer.Move, from, pointer.ButtonPrimary)
		send(pointer.Move, from.Add(f32.Pt(9, 0)), pointer.ButtonPrimary)
		send(pointer.Release, from, 0)
		if r.doc.File() != was || r.doc.Dragging() || r.panel.grip != resting || !r.panel.window.all() {
			t.Errorf("%s: same=%v dragging=%v grip=%v", end, r.doc.File() == was, r.doc.Dragging(), r.panel.grip)
		}
	}
	// It stops before the mark before it.
	r.Drag(from, f32.Pt(0, from.Y), 4)
	r.Settle()
	at := r.marksAt()
	if r.doc.Err() != nil || at[2] != at[1]+1 {
		t.Errorf("%v %v", r.doc.Err(), at)
	}
}

// A click on a flag still goes to it and changes nothing.
func TestClickOnMarkChangesNothing(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	was := r.doc.File()
	r.ClickAt(r.pennant("hit"))
	r.Settle()
	if r.doc.File() != was || math.Abs(r.at.Time-r.panel.derived.marks[2].At) > 1e-9 {
		t.Errorf("same=%v, at %v s", r.doc.File() == was, r.at.Time)
	}
}

func TestMarksByKeys(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	r.ClickAt(r.pennant("hit"))
	r.Settle()
	r.Tab(false)
	if !r.Focused(&r.panel.marks) {
		t.Fatal("Tab does not go from the timeline to its marks")
	}
	was := r.marksAt()
	for _, s := range []struct {
		name  key.Name
		mod   key.Modifiers
		by    float64
		alone bool
	}{
		{key.NameRightArrow, 0, 10, false},
		{key.NameLeftArrow, key.ModShift, -1, false},
		{key.NameRightArrow, key.ModShortcut, 10, true},
		{key.NameLeftArrow, key.ModShift | key.ModShortcut, -1, true},
	} {
		before := r.marksAt()
		r.Press(s.name, s.mod)
		r.Settle()
		for k, v := range r.marksAt() {
			want := before[k]
			if k == 2 || k > 2 && !s.alone {
				want += s.by
			}
			if v != want {
				t.Errorf("%s %v: mark %d at %v, want %v", s.name, s.mod, k, v, want)
			}
		}
		if m := r.panel.derived.marks[2]; math.Abs(r.at.Time-m.At) > 1e-9 {
			t.Errorf("the time is %v, the mark's %v", r.at.Time, m.At)
		}
	}
	for range 4 {
		r.doc.Undo()
	}
	if !slices.Equal(r.marksAt(), was) {
		t.Errorf("four undos give %v, want %v", r.marksAt(), was)
	}
	// Another mark, and a typed time.
	r.Press(key.NameDownArrow, 0)
	for _, k := range []key.Name{"2", "2", "5", "9", key.NameDeleteBackward, "0"} {
		r.Press(k, 0)
	}
	r.Settle()
	r.MustFind("up again to 2250 ms of the move: Enter takes it")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if got := r.marksAt(); got[2] != was[2] || got[3] != 2250 || got[4] != was[4]+2250-was[3] {
		t.Errorf("typed: %v", got)
	}
	for _, k := range []key.Name{"7", key.NameEscape} {
		r.Press(k, 0)
		r.Settle()
	}
	r.Press(key.NameReturn, 0) // nothing typed: goes there
	r.Settle()
	if got := r.marksAt(); got[3] != 2250 {
		t.Errorf("after escape: %v", got)
	}
	r.Press(key.NameHome, 0)
	r.Press(key.NameUpArrow, 0)
	r.Settle()
	if r.panel.chosen != 0 || math.Abs(r.at.Time-r.panel.derived.marks[0].At) > 1e-9 {
		t.Errorf("chosen %d, time %v", r.panel.chosen, r.at.Time)
	}
	r.Press(key.NameEnd, 0)
	r.Settle()
	if r.panel.chosen != len(was)-1 {
		t.Errorf("chosen %d", r.panel.chosen)
	}
}

// An entry that plays the move at another speed: the flag under the pointer,
// the time in the move's own milliseconds.
func TestDragMarkOfAFastEntry(t *testing.T) {
	r := open(t, swap(t, demo, "speed = 1\n", "speed = 0.5\n"), 1, image.Pt(1280, 240))
	was := r.marksAt()
	px := r.doc.Result().Trajectory.Duration() * 1000 / 1166
	from := r.pennant("raised")
	r.Drag(from, from.Add(f32.Pt(30, 0)), 5)
	r.Settle()
	if got, want := r.marksAt()[1], was[1]+30*px*0.5; math.Abs(got-want) > px {
		t.Errorf("at %v, want %v", got, want)
	}
}

// Keys that come faster than frames all count.
func TestMarkKeysInOneFrame(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	r.ClickAt(r.pennant("hit"))
	r.Settle()
	r.Tab(false)
	was := r.marksAt()
	for range 3 {
		r.Queue(key.Event{Name: key.NameRightArrow, State: key.Press}, key.Event{Name: key.NameRightArrow, State: key.Release})
	}
	r.Frame()
	r.Settle()
	if got := r.marksAt(); got[2] != was[2]+30 || got[7] != was[7]+30 {
		t.Errorf("%v, before %v", got, was)
	}
}
