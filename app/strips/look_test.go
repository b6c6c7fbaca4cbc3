// SPDX-License-Identifier: MIT

package strips

import (
	"fmt"
	"image"
	"slices"
	"strings"
	"testing"

	"gaitwright/app/draw"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// A leg says its root-mean-square torque beside what its servo holds for long,
// open or folded, in the numbers of the loads and the datasheet, and the torque
// view draws that limit.
func TestHeldForLong(t *testing.T) {
	r := open(t, weak(t), 1, usual)
	res := r.doc.Result()
	for _, name := range []string{"RM", "LF"} {
		s, _ := r.row(name)
		worst, most, limit := 0, 0.0, 0.0
		for j := range kin.Joints {
			holds := res.Built.Limits.Holding * res.Built.Robot.Legs[s.leg].Servos[j].StallTorque
			if x := res.Loads.RMS[s.leg*kin.Joints+j] / holds; x > most {
				worst, most, limit = j, x, holds
			}
		}
		want := fmt.Sprintf("root mean square: %s %s of %s N·m held for long", kin.JointName(worst), draw.Figures(most*limit, 3), draw.Figures(limit, 3))
		if !r.reads(want) {
			t.Errorf("%s: nothing reads %q", name, want)
		}
	}
	if s, _ := r.row("RM"); len(s.rules) != 1 || s.noted == fine {
		t.Errorf("RM has %v, noted %v", s.rules, s.noted)
	}
	r.Click("torque alone")
	r.Settle()
	s, _ := r.row("RM")
	i := slices.IndexFunc(s.rules, func(v rule) bool { return v.name == "held for long" })
	if i < 0 {
		t.Fatalf("the torque view has %v", s.rules)
	}
	l := res.Loads.Lines[s.leg*kin.Joints]
	closeTo(t, "the limit, %", s.rules[i].at, 100*res.Built.Limits.Holding*res.Built.Robot.Legs[s.leg].Servos[0].StallTorque/(l.Stall*res.Built.Limits.Derating), 1e-9)
	if !r.reads("held for long (") {
		t.Error("the key does not explain it")
	}
}

// Each open strip has a key to its own lines and signs, and only to these.
func TestKeyOfEachStrip(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.Click("strip LF")
	r.Settle()
	for _, want := range []string{"static", "dynamic", "energy", "coxa", "femur", "tibia", "foot meets target, % of greatest speed", "goes on above 100 mm"} {
		if !slices.Contains(r.texts(), want) {
			t.Errorf("no key reads %q", want)
		}
	}
	if r.reads("coxa, static") {
		t.Error("one key stands for two strips")
	}
	r.Click("strip LF")
	r.Settle()
	if slices.Contains(r.texts(), "coxa") {
		t.Error("a folded strip has a key")
	}
}

// What goes on above the scale is marked where it does, by the loads' arrays.
func TestCuts(t *testing.T) {
	r := open(t, demo, 1, usual)
	res := r.doc.Result()
	s, _ := r.row("stability")
	n := 0
	for k := range res.Trajectory.N {
		at := res.Trajectory.Time(k)
		in := slices.ContainsFunc(s.above, func(v [2]float64) bool { return v[0] <= at && at <= v[1] })
		want := res.Trajectory.Margin[k]*1000 > s.hi || res.Loads.Dynamic[k]*1000 > s.hi || res.Loads.Energy[k]*1000 > s.hi
		if in != want {
			t.Fatalf("%v s: marked %v, above %v", at, in, want)
		}
		if want {
			n++
		}
	}
	if n == 0 || n == res.Trajectory.N {
		t.Fatalf("%d of %d samples are above", n, res.Trajectory.N)
	}
}

// The numbers at the end of the scale do not touch each other, at any height.
func TestScaleNumbersApart(t *testing.T) {
	several := 0
	for _, scale := range []float32{1, 2} {
		for h := 60; h < 330; h += 9 {
			r := open(t, weak(t), scale, image.Pt(1280, 190+h).Mul(int(scale)))
			for _, show := range []string{"torque alone", "speed alone", "torque and speed together"} {
				if _, ok := r.Find(show); ok {
					r.Click(show)
					r.Settle()
				}
				_, x1 := r.time.Axis(r.doc).Ends()
				var boxes []image.Rectangle
				for _, n := range r.Nodes() {
					if b := n.Desc.Bounds; b.Min.X == x1+int(2*scale) && b.Min.Y > r.top && n.Desc.Label != "" {
						boxes = append(boxes, image.Rect(b.Min.X, b.Min.Y, b.Min.X+1, b.Min.Y+int(12*scale)))
					}
				}
				if len(boxes) > 1 {
					several++
				}
				for i := range boxes {
					for j := range i {
						if boxes[i].Overlaps(boxes[j]) {
							t.Fatalf("%v, %d px: %v and %v", scale, h, boxes[i], boxes[j])
						}
					}
				}
			}
		}
	}
	if several < 50 {
		t.Errorf("only %d panels have numbers that might touch", several)
	}
}

// The card of values lies over no other open strip, and not over the present
// time where there is room beside it.
func TestCardKeepsClear(t *testing.T) {
	r := open(t, weak(t), 1, usual)
	r.at.GoTo(r.doc, 5)
	for _, name := range r.names(true) {
		for _, at := range []float64{0.5, 4.8, 5.2, 9, r.doc.Result().Trajectory.Duration() - 0.1} {
			r.MoveTo(r.point(name, at))
			r.Settle()
			s, v := r.row(name)
			box := image.Rectangle{}
			for _, n := range r.Nodes() {
				if strings.HasPrefix(n.Desc.Label, s.name+", ") {
					box = n.Desc.Bounds
				}
			}
			if box.Empty() {
				t.Fatalf("%s at %v s: no card", name, at)
			}
			for _, q := range r.panel.rows {
				if b := q.box.Add(image.Pt(0, r.top)); q.open && b.Max.Y <= v.box.Min.Y && box.Min.Y > b.Min.Y-20 {
					t.Errorf("%s at %v s: the card begins at %v, over %v", name, at, box.Min, b)
				}
			}
			now := r.time.Axis(r.doc).Column(5)
			if now > box.Min.X-8 && now < box.Min.X+200 {
				t.Errorf("%s at %v s: the card at %v lies over the present time at %d", name, at, box.Min, now)
			}
		}
	}
}

// A finding about no strip leaves the order; undone, the rows are as before.
func TestFindingsLeadTheOrder(t *testing.T) {
	r := open(t, demo, 1, usual)
	before := append(r.names(true), r.names(false)...)
	if err := r.doc.Change("less current", func(f *workfile.File) {
		two := 2.0
		f.Supply.Limit = &two
	}); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	if got := r.names(true); len(got) < 2 || got[0] != "supply" || got[1] != "stability" {
		t.Errorf("open: %v", got)
	}
	r.doc.Undo()
	r.Settle()
	if got := append(r.names(true), r.names(false)...); !slices.Equal(got, before) {
		t.Errorf("rows %v, before %v", got, before)
	}
}
