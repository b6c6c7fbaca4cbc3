// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"math"
	"testing"
	"time"

	"gioui.org/io/key"
)

var usual = image.Pt(1280, 190)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.6f, want %.6f", what, got, want)
	}
}

// pass lets time go by in n frames.
func (r *rig) pass(by time.Duration, n int) {
	for range n {
		r.Now = r.Now.Add(by / time.Duration(n))
		r.Frame()
	}
}

func TestPlayFollowsTheClockNotTheFrames(t *testing.T) {
	for _, frames := range []int{1, 4, 100} {
		for _, speed := range []float64{1, 0.25} {
			r := open(t, demo, 1, usual)
			r.at.Speed = speed
			r.Click("play")
			r.pass(2*time.Second, frames)
			near(t, "the time", r.at.Time, 2*speed, 1e-9)
			r.Awake() // forgets what earlier frames asked for
			r.Frame()
			at, again := r.Awake()
			if want := r.Now.Add(time.Second / 60); !again || !at.Equal(want) {
				t.Errorf("the next frame is asked for at %v (%v), want %v", at, again, want)
			}
			r.Click("pause")
			stopped := r.at.Time
			r.pass(time.Second, 3)
			near(t, "the time after a pause", r.at.Time, stopped, 0)
			r.Settle()
			r.Click("play")
			r.pass(time.Second, 2)
			near(t, "the time played on", r.at.Time, stopped+speed, 1e-9)
		}
	}
}

func TestPlayStopsAtTheEndOrLoops(t *testing.T) {
	r := open(t, demo, 1, usual)
	end := r.doc.Result().Trajectory.Duration()
	r.at.GoTo(r.doc, end-0.5)
	r.Click("play")
	r.pass(2*time.Second, 5)
	near(t, "the time", r.at.Time, end, 0)
	if r.at.Playing {
		t.Error("still playing at the end")
	}
	r.Settle()

	r.Click("play")
	near(t, "played again from the end, the time", r.at.Time, 0, 0)
	r.Click("loop")
	if n := r.MustFind("loop"); !n.Desc.Selected {
		t.Error("the loop button does not show that it is on")
	}
	r.pass(time.Duration((end+1.5)*float64(time.Second)), 7)
	near(t, "after a round, the time", r.at.Time, 1.5, 1e-6)
	if !r.at.Playing {
		t.Error("a loop stopped")
	}
	r.Click("loop")
	if r.at.Loop {
		t.Error("a second click leaves the loop on")
	}
}

func TestIdleSettles(t *testing.T) {
	r := open(t, faulty(t), 1, usual)
	r.Settle()
	n := r.Frames
	r.Settle()
	if r.Frames != n+1 {
		t.Errorf("an idle panel took %d frames", r.Frames-n)
	}
}

func TestSteps(t *testing.T) {
	r := open(t, demo, 1, usual)
	end := r.doc.Result().Trajectory.Duration()
	for _, tc := range []struct {
		from float64
		n    int
		want float64
	}{
		{1, 1, 1.01}, {1, -1, 0.99}, {1, 10, 1.1}, {1.234, 1, 1.24}, {1.234, -1, 1.23},
		{0.07, 1, 0.08}, {0.29, 1, 0.30}, {0.29, -1, 0.28}, // not whole in binary
		{0, -1, 0}, {end, 1, end}, {2, 0, 2},
	} {
		r.at.GoTo(r.doc, tc.from)
		r.panel.Step(r.doc, &r.at, tc.n)
		near(t, "the time", r.at.Time, tc.want, 1e-12)
	}
	// From start to end and back, a step at a time, without drift.
	r.at.GoTo(r.doc, 0)
	for i := 1; i <= 300; i++ {
		r.panel.Step(r.doc, &r.at, 1)
		if r.at.Time != float64(i)/100 {
			t.Fatalf("step %d is at %v", i, r.at.Time)
		}
	}
	r.at.Playing = true
	r.panel.Step(r.doc, &r.at, -1)
	if r.at.Playing || r.at.Time != 2.99 {
		t.Errorf("a step back while playing: playing %v at %v", r.at.Playing, r.at.Time)
	}
}

func TestSpeeds(t *testing.T) {
	r := open(t, demo, 1, usual)
	for _, want := range []float64{2, 2} {
		r.panel.Faster(&r.at)
		near(t, "faster", r.at.Speed, want, 0)
	}
	for _, want := range []float64{1, 0.5, 0.25, 0.1, 0.05, 0.05} {
		r.panel.Slower(&r.at)
		near(t, "slower", r.at.Speed, want, 0)
	}
	r.at.Speed = 0.3
	r.panel.Faster(&r.at)
	near(t, "faster than 0.3", r.at.Speed, 0.5, 0)
	r.at.Speed = 0.3
	r.panel.Slower(&r.at)
	near(t, "slower than 0.3", r.at.Speed, 0.25, 0)

	r.Frame()
	r.Click("playback at 0.1")
	near(t, "the speed chosen", r.at.Speed, 0.1, 0)
	r.typed("playback speed", "1.5")
	near(t, "the speed typed", r.at.Speed, 1.5, 0)
	r.typed("playback speed", "3")
	near(t, "the speed after one too high", r.at.Speed, 1.5, 0)
	r.MustFind("must lie from 0.05 to 2 ×")
	r.typed("playback speed", "0.05")
	near(t, "the speed typed", r.at.Speed, 0.05, 0)
	r.MustMiss("must lie from 0.05 to 2 ×")
	r.Settle()
}

// typed replaces what is in a field and enters it.
func (r *rig) typed(field, text string) {
	r.T.Helper()
	n := r.MustFind(field)
	r.ClickAt(middle(n.Desc.Bounds))
	r.Press("A", key.ModShortcut)
	r.Type(text)
	r.Press(key.NameReturn, 0)
	r.Frame()
}

func TestTypedTime(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.at.Playing = true
	r.Frame()
	r.typed("present time", "4.125")
	near(t, "the time typed", r.at.Time, 4.125, 0)
	if r.at.Playing {
		t.Error("a typed time leaves it playing")
	}
	r.typed("present time", "400")
	near(t, "the time after one too late", r.at.Time, 4.125, 0)
}

func TestButtons(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.at.GoTo(r.doc, 2)
	r.Frame()
	r.Click("step on")
	near(t, "step on", r.at.Time, 2.01, 1e-12)
	r.Click("step back")
	r.Click("step back")
	near(t, "step back", r.at.Time, 1.99, 1e-12)
	r.Click("to start")
	near(t, "to start", r.at.Time, 0, 0)
}

func TestKeysOnTheCanvas(t *testing.T) {
	r := open(t, demo, 1, usual)
	end := r.doc.Result().Trajectory.Duration()
	r.at.GoTo(r.doc, 3)
	r.Press(key.NameRightArrow, 0)
	near(t, "without the focus, the time", r.at.Time, 3, 0)
	r.Focus(r.panel.Tag())
	for _, tc := range []struct {
		name key.Name
		mod  key.Modifiers
		want float64
	}{
		{key.NameRightArrow, 0, 3.01}, {key.NameRightArrow, key.ModShift, 3.11},
		{key.NameLeftArrow, 0, 3.10}, {key.NameLeftArrow, key.ModShift, 3},
		{key.NameEnd, 0, end}, {key.NameHome, 0, 0},
	} {
		r.Press(tc.name, tc.mod)
		near(t, string(tc.name), r.at.Time, tc.want, 1e-12)
	}
	r.Press(key.NameDownArrow, 0)
	r.Press(key.NameDownArrow, 0)
	r.Press(key.NameUpArrow, 0)
	if r.at.Leg != 1 {
		t.Errorf("down, down and up choose leg %d", r.at.Leg)
	}
	r.Press(key.NameSpace, 0)
	if !r.at.Playing {
		t.Error("space does not play")
	}
	r.Press(key.NameSpace, 0)
	if r.at.Playing {
		t.Error("space does not pause")
	}
	r.Press("+", 0)
	if r.panel.window.all() {
		t.Error("+ does not zoom in")
	}
	r.Press("0", 0)
	if !r.panel.window.all() {
		t.Error("0 does not show all")
	}
	r.Settle()
}

// The Tab key reaches the buttons, the fields and the canvas, and comes round.
func TestTabReachesTheCanvas(t *testing.T) {
	r := open(t, demo, 1, usual)
	for i := range 30 {
		r.Tab(false)
		if r.Focused(r.panel.Tag()) {
			if i < 8 {
				t.Errorf("the canvas comes at stop %d, before the buttons", i+1)
			}
			return
		}
	}
	t.Error("the Tab key does not reach the canvas")
}
