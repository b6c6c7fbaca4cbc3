// SPDX-License-Identifier: MIT

package timeline

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/f32"

	"gaitwright/motion/record"
)

// played lays the log of a robot over the timeline: LF comes down 60 ms late,
// LM 45 ms early, LR leaves a step out, RF makes one too many, RM has no
// switch, RR is on time.
func played(t testing.TB, r *rig) *record.Comparison {
	t.Helper()
	res := r.doc.Result()
	m := res.Trajectory
	left := record.Planned(m, 2)[1]
	var b strings.Builder
	b.WriteString("motion_s,LF_down,LM_down,LR_down,RF_down,RR_down\n")
	for s := 0.4; s < m.Duration()-0.5; s += 0.005 {
		planted := func(leg int, s float64) bool { return m.Planted[m.Index(s)*m.Legs+leg] }
		down := []bool{planted(0, s-0.06), planted(1, s+0.045), planted(2, s), planted(3, s), planted(5, s)}
		if s > left-0.1 && s < left+0.55 {
			down[2] = false
		}
		if s > 7 && s < 7.1 {
			down[3] = false
		}
		fmt.Fprintf(&b, "%.3f", s)
		for _, d := range down {
			fmt.Fprintf(&b, ",%d", map[bool]int{true: 1}[d])
		}
		b.WriteString("\n")
	}
	rec, err := record.Read(strings.NewReader(b.String()), res.Built)
	if err != nil {
		t.Fatal(err)
	}
	c, err := record.Compare(rec, m, math.NaN())
	if err != nil {
		t.Fatal(err)
	}
	r.panel.Measured(rec, c)
	return c
}

// stepSpots gives the steps of a leg as drawn.
func (r *rig) stepSpots(leg int) (out []spot) {
	for _, s := range r.panel.spots {
		if s.kind == stepSpot && s.row == leg {
			out = append(out, s)
		}
	}
	return out
}

// middle gives where a spot lies in the window, px.
func (r *rig) middle(s spot) f32.Point {
	y := float32(transportHeight) * r.Metric.PxPerDp
	return f32.Pt(float32(s.box.Min.X+s.box.Max.X)/2, y+float32(s.box.Min.Y+s.box.Max.Y)/2)
}

// TestMeasured hovers and clicks the steps of each leg.
func TestMeasured(t *testing.T) {
	for _, c := range []struct {
		name  string
		scale float32
		high  int
	}{{"usual", 1, 230}, {"least rows", 1, 190}, {"twice", 2, 460}} {
		t.Run(c.name, func(t *testing.T) {
			r := open(t, demo, c.scale, image.Pt(int(1280*c.scale), c.high))
			cmp := played(t, r)
			r.Settle()
			r.MustFind("LF came down 60 ms late, at " + fmt.Sprintf("%.3f s", record.Planned(r.doc.Result().Trajectory, 0)[0]+0.06))
			for leg, want := range map[int]string{0: "60 ms late", 1: "ms early", 2: "did not come down", 3: "where no step is drawn", 5: "on time"} {
				var hit *spot
				for _, s := range r.stepSpots(leg) {
					if strings.Contains(r.panel.stepWords(s.index), want) {
						hit = &s
						break
					}
				}
				if hit == nil {
					t.Errorf("leg %d: no step reads %q", leg, want)
					continue
				}
				r.at.Leg, r.at.Time, r.at.Playing = 4, 0, true
				r.ClickAt(r.middle(*hit))
				s := r.panel.measured.steps[hit.index]
				if r.at.Leg != leg || r.at.Time != s.at || r.at.Playing {
					t.Errorf("leg %d: a click goes to leg %d, %v s, want %v", leg, r.at.Leg, r.at.Time, s.at)
				}
				r.at.Playing = false
			}
			if n := len(r.stepSpots(4)); n != 0 {
				t.Errorf("%d steps of a leg without a switch", n)
			}
			if n := len(cmp.Extra); n != 1 {
				t.Errorf("%d extra", n)
			}
			r.panel.Measured(nil, nil)
			r.Settle()
			if n := len(r.stepSpots(0)); n != 0 {
				t.Errorf("%d steps of nothing", n)
			}
		})
	}
}

// TestNextOff goes through what is marked, on and back, and ends.
func TestNextOff(t *testing.T) {
	r := open(t, demo, 1, usual)
	played(t, r)
	r.Settle()
	off := 0
	for i := range r.panel.measured.steps {
		if r.panel.measured.steps[i].off() {
			off++
		}
	}
	r.at.Time, r.at.Leg = 0, 0
	last, n := -1., 0
	for r.panel.NextOff(r.doc, &r.at, 1) {
		if r.at.Time < last-1e-6 {
			t.Fatalf("from %v back to %v s", last, r.at.Time)
		}
		last = r.at.Time
		if n++; n > off {
			break
		}
	}
	if n != off || off < 5 {
		t.Errorf("%d of %d", n, off)
	}
	for n = 1; r.panel.NextOff(r.doc, &r.at, -1); n++ {
		if n > off {
			break
		}
	}
	if n != off {
		t.Errorf("back: %d of %d", n, off)
	}
}

// A crowd of steps is one spot, and the worst of it is told.
func TestStepCrowd(t *testing.T) {
	r := open(t, demo, 1, image.Pt(260, 230))
	played(t, r)
	r.Settle()
	for leg := range 6 {
		all, shown := r.panel.measured.first[leg+1]-r.panel.measured.first[leg], 0
		for _, s := range r.stepSpots(leg) {
			shown += s.n
			for k := r.panel.measured.first[leg]; k < r.panel.measured.first[leg+1]; k++ {
				if a := r.panel.axis(r.panel.derived.length); a.column(r.panel.measured.steps[k].at) == s.x && r.panel.measured.steps[k].bad() > r.panel.measured.steps[s.index].bad() {
					t.Errorf("leg %d: a worse one is hidden", leg)
				}
			}
		}
		if shown != all {
			t.Errorf("leg %d: %d of %d steps", leg, shown, all)
		}
	}
}

// A robot with fewer legs than the log shows instead: nothing of it is left,
// and old spots lead nowhere.
func TestMeasuredStale(t *testing.T) {
	r := open(t, demo, 1, usual)
	played(t, r)
	r.Settle()
	at := r.middle(r.stepSpots(0)[0])
	r.panel.Measured(nil, nil)
	r.ClickAt(at)
	r.Settle()
}
