// SPDX-License-Identifier: MIT

package strips

import (
	"fmt"
	"image"
	"math"
	"testing"

	"gaitwright/app/draw"
	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// The strip says the least reserve of the feet that are down, which foot has
// it and when, and the reserve of the chosen leg; a click goes there.
func TestStepDownStrip(t *testing.T) {
	r := open(t, demo, 1, usual)
	if r.isOpen(stepDownName) {
		t.Error("it opens by itself")
	}
	res := r.doc.Result()
	tr, legs := res.Trajectory, res.Built.Robot.Legs
	worst, at, which := math.Inf(1), 0, 0
	for k := range tr.N {
		for i := range tr.Legs {
			if d, ok := pace.Below(&res.Built.Robot, tr, k, i); ok && tr.Planted[k*tr.Legs+i] && d < worst {
				worst, at, which = d, k, i
			}
		}
	}
	s, _ := r.row(stepDownName)
	closeTo(t, "the least reserve, mm", s.worst.value, worst*1000, 1e-9)
	closeTo(t, "when", s.worst.at, tr.Time(at), 1e-9)
	want := fmt.Sprintf("%s %s mm at %s s", legs[which].Name, draw.Number(worst*1000, 1), draw.Number(tr.Time(at), 2))
	if s.says() != want {
		t.Errorf("it says %q, want %q", s.says(), want)
	}
	r.at.Choose(r.doc, (which+1)%len(legs))
	r.Settle()
	r.Click(stepDownName + " " + s.says())
	closeTo(t, "the time", r.at.Time, tr.Time(at), 1e-9)
	if r.at.Leg != which {
		t.Errorf("leg %d, want %d", r.at.Leg, which)
	}

	r.Click("strip " + stepDownName)
	r.Settle()
	if !r.isOpen(stepDownName) {
		t.Fatal("it does not open")
	}
	for _, leg := range []int{which, 3} {
		r.at.Leg = leg
		r.Settle()
		p := r.point(stepDownName, 9.5)
		r.MoveTo(p)
		r.Settle()
		k := tr.Index(r.time.Axis(r.doc).Time(float64(p.X)))
		d, ok := pace.Below(&res.Built.Robot, tr, k, leg)
		if !ok {
			t.Fatalf("leg %d does not reach the ground", leg)
		}
		for _, words := range []string{"leg " + legs[leg].Name, draw.Number(d*1000, 1) + " mm", "least of the feet down"} {
			if !r.reads(words) {
				t.Errorf("nothing reads %q", words)
			}
		}
	}
	numbers(t, r)
}

// Where it cannot be told there is a gap that says why.
func TestStepDownGaps(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.doc.SetOnStand(true)
	r.Settle()
	if s, _ := r.row(stepDownName); s.worst.ok || s.says() != "no number: hung on a stand" {
		t.Errorf("on a stand: %q", s.says())
	}
	r.Click("strip " + stepDownName)
	r.Settle()
	numbers(t, r)
	r.doc.SetOnStand(false)
	r.Settle()
	if s, _ := r.row(stepDownName); !s.worst.ok {
		t.Errorf("down again: %q", s.says())
	}
}

// While something is dragged it is worked out only if it is open.
func TestStepDownWhileDragging(t *testing.T) {
	for _, unfolded := range []bool{false, true} {
		r := open(t, demo, 1, usual)
		if unfolded {
			r.Click("strip " + stepDownName)
			r.Settle()
		}
		if err := r.doc.Drag("raise", raised); err != nil {
			t.Fatal(err)
		}
		r.Frame()
		if s, _ := r.row(stepDownName); s.worst.ok != unfolded || !unfolded && s.says() != "worked out when you let go" {
			t.Errorf("open %v: %q", unfolded, s.says())
		}
		r.doc.Drop()
		r.Settle()
		if s, _ := r.row(stepDownName); !s.worst.ok {
			t.Errorf("open %v, after the drag: %q", unfolded, s.says())
		}
	}
}

func raised(f *workfile.File) { f.Robot.StandHeight += 3 }

func TestRound(t *testing.T) {
	for _, c := range [][2]float64{{1, 1}, {1.9, 1}, {2, 2}, {4.9, 2}, {5, 5}, {9.99, 5}, {10, 10}, {57, 50}, {212, 200}} {
		closeTo(t, fmt.Sprint(c[0]), round(c[0]), c[1], 1e-9)
	}
}

// another plays the demo with a change.
func another(t *testing.T, r *rig, edit func(*workfile.File)) *rehearsal.Rehearsal {
	t.Helper()
	f := r.doc.File().Clone()
	edit(f)
	out, err := rehearsal.Run(f, rehearsal.Options{OnStand: r.doc.OnStand()})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The lines of another motion are drawn while it lies over this one, and only
// then; its numbers are its own.
func TestOverlay(t *testing.T) {
	r := open(t, demo, 1, usual)
	o := another(t, r, raised)
	over := func(o *rehearsal.Rehearsal, name string) {
		r.panel.Overlay(o, name)
		r.Settle()
	}
	over(o, "snapshot 1")
	for _, name := range []string{"stability", stepDownName, "supply", "LF", "RR"} {
		s := r.panel.ghost.find(name)
		if s == nil {
			t.Fatalf("no lines for %q", name)
		}
		if mine, _ := r.row(name); len(s.lines) != len(mine.lines) || &s.lines[0].data[0] == &mine.lines[0].data[0] {
			t.Errorf("%s: %d lines", name, len(s.lines))
		}
	}
	if !r.reads("snapshot 1") {
		t.Error("the key does not say what lies over")
	}
	made := r.panel.ghost.made
	over(o, "snapshot 1")
	if r.panel.ghost.made != made {
		t.Error("it is worked out again")
	}
	r.Click("speed alone")
	r.Settle()
	if r.panel.ghost.made == made || r.panel.ghost.view != speed {
		t.Error("another view does not show")
	}
	over(nil, "")
	if r.panel.ghost.find("LF") != nil || r.reads("snapshot 1") || r.panel.ghost.all.shares != nil {
		t.Error("it stays")
	}
	for _, size := range []image.Point{{1024, 240}, {300, 195}} {
		q := open(t, weak(t), 1, size)
		q.panel.Overlay(o, "snapshot 1")
		q.Settle()
	}
}
