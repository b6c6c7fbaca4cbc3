// SPDX-License-Identifier: MIT

package strips

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/kin"
	"gaitwright/motion/record"
)

// played lays the log of a robot over the strips: its joints are 60 ms late and
// up to 2° off, RR's tibia is not reported, LF's femur is not from 4 to 5 s, and
// at 6 s LM's coxa is 12° off for some looks.
func played(t testing.TB, r *rig) *record.Comparison {
	t.Helper()
	res := r.doc.Result()
	m := res.Trajectory
	var b strings.Builder
	b.WriteString("motion_s")
	for i := range m.Legs {
		for j := range kin.Joints {
			fmt.Fprintf(&b, ",%s_%s_deg", res.Built.Robot.Legs[i].Name, kin.JointName(j))
		}
	}
	b.WriteString("\n")
	for s := 0.6; s < m.Duration()-1; s += 0.02 {
		fmt.Fprintf(&b, "%.3f", s)
		for i := range m.Legs {
			for j := range kin.Joints {
				if i == 5 && j == 2 || i == 0 && j == 1 && s > 4 && s < 5 {
					b.WriteString(",")
					continue
				}
				q := m.JointsAt(m.Index(s-0.06), i)[j]*degree + 2*math.Sin(3*s+float64(i+j))
				if i == 1 && j == 0 && s > 6 && s < 6.1 {
					q += 12
				}
				fmt.Fprintf(&b, ",%.3f", q)
			}
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

// TestAngles: the joint that was farthest off comes first and says so, a click
// goes there, what was not reported says so, and the other views are as before.
func TestAngles(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.Settle()
	before := fmt.Sprint(r.panel.derived.order)
	r.Click("angle of each joint")
	r.Settle()
	if s, _ := r.row("LF femur"); !strings.HasPrefix(s.says(), "drawn from ") {
		t.Errorf("without a log: %q", s.says())
	}
	if n := len(r.panel.rows); n != 3+18 {
		t.Errorf("%d rows", n)
	}
	c := played(t, r)
	r.Settle()
	first := &r.panel.derived.strips[r.panel.derived.order[0]]
	var worst record.Follow
	for _, f := range c.Follow {
		if math.Abs(f.Worst) > math.Abs(worst.Worst) {
			worst = f
		}
	}
	name := r.doc.Result().Built.Robot.Legs[worst.Leg].Name + " " + kin.JointName(worst.Joint)
	if first.name != name || math.Abs(first.worst.value-worst.Worst*degree) > 1e-9 || first.worst.at != worst.At {
		t.Errorf("first is %s: %s, want %s off by %v", first.name, first.says(), name, worst.Worst*degree)
	}
	if !r.isOpen(name) {
		t.Error("it is not open")
	}
	if s, _ := r.row("RR tibia"); s.measured != nil || s.worst.ok || len(s.gaps) != 0 {
		t.Errorf("RR tibia: %q", s.says())
	}
	s, _ := r.row("LF femur")
	if g, ok := s.gapAt(4.5); !ok || g.from < 3.9 || g.to > 5.1 {
		t.Errorf("no gap: %v", s.gaps)
	}
	if _, ok := s.gapAt(0.2); !ok {
		t.Errorf("no gap before the log: %v", s.gaps)
	}
	// A folded row's words go to its worst instant.
	folded := "LF femur"
	r.panel.set(folded, false)
	r.Settle()
	s, v := r.row(folded)
	r.at.Time, r.at.Leg, r.at.Playing = 0, 3, false
	r.Click(s.name + " " + s.says())
	if r.at.Time != s.worst.at || r.at.Leg != 0 {
		t.Errorf("a click goes to %v s, leg %d; want %v (%v)", r.at.Time, r.at.Leg, s.worst.at, v.worst)
	}
	r.panel.Measured(nil, nil)
	r.Settle()
	if s, _ := r.row("LF femur"); s.measured != nil {
		t.Error("the log still shows")
	}
	r.Click("torque and speed together")
	r.Settle()
	if after := fmt.Sprint(r.panel.derived.order); after != before {
		t.Errorf("the rows are in another order: %s, before %s", after, before)
	}
}

// The height that the strips like to have does not change with what they show.
func TestAnglesKeepTheRoom(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.Settle()
	var gtx = r.last
	was := r.panel.Height(gtx, r.doc, 10000)
	r.Click("angle of each joint")
	r.Settle()
	if now := r.panel.Height(r.last, r.doc, 10000); now != was {
		t.Errorf("%d px, before %d", now, was)
	}
}

// TestTrail compares the thinned line with all rows, column by column, and
// where it is broken; the points do not grow with the log.
func TestTrail(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		n := 2 + rnd.IntN(5000)
		l := &trail{shift: rnd.Float64(), stride: 1, scale: 1, rest: 0.25}
		s := 0.
		for range n {
			s += 0.001 + 0.02*rnd.Float64()
			if rnd.IntN(400) == 0 {
				s += 0.5
			}
			v := math.Sin(s) + 0.2*rnd.Float64()
			if rnd.IntN(10) == 0 {
				v = math.NaN()
			}
			l.times, l.data = append(l.times, s), append(l.data, v)
		}
		from := rnd.Float64() * s
		to := from + rnd.Float64()*s/2 + 0.01
		const wide = 300
		x := func(s float64) float64 { return (s - from) / (to - from) * wide }
		got := l.trace(from, to, x, func(v float64) float64 { return v }, nil)
		type reach struct{ lo, hi float64 }
		columns := func(pts []r2.Vec) map[int]reach {
			out := map[int]reach{}
			for _, p := range pts {
				if p.X != p.X || p.X < 0 || p.X > wide {
					continue
				}
				c := int(math.Floor(p.X))
				v, ok := out[c]
				if !ok {
					v = reach{p.Y, p.Y}
				}
				out[c] = reach{min(v.lo, p.Y), max(v.hi, p.Y)}
			}
			return out
		}
		var all []r2.Vec
		breaks, last := 0, math.NaN()
		for k := range n {
			at, v := l.time(k), l.at(k)
			if v != v {
				continue
			}
			if at >= from && at <= to {
				if at-last > l.rest && last >= from {
					breaks++
				}
				all = append(all, r2.Vec{X: x(at), Y: v})
			}
			last = at
		}
		a, b := columns(got), columns(all)
		for c, v := range b {
			if a[c] != v {
				t.Fatalf("column %d: %v, want %v", c, a[c], v)
			}
		}
		inside := 0
		for i, p := range got {
			if p.X != p.X && i > 0 && got[i-1].X >= 0 && i+1 < len(got) && got[i+1].X <= wide {
				inside++
			}
		}
		if inside != breaks {
			t.Fatalf("%d breaks, want %d", inside, breaks)
		}
		if len(got) > 4*(wide+4)+breaks+4 {
			t.Fatalf("%d points", len(got))
		}
	}
}

// A log of a robot with fewer legs, as while another file is on its way, shows
// nothing and harms nothing.
func TestAnglesOfAnother(t *testing.T) {
	r := open(t, demo, 1, usual)
	rec := &record.Record{Legs: 2, Time: []float64{0, 1}, Down: make([]int8, 4), Angle: make([]float64, 12)}
	r.panel.Measured(rec, &record.Comparison{})
	r.Click("angle of each joint")
	r.Settle()
	if s, _ := r.row("RR tibia"); s.measured != nil {
		t.Error("it shows")
	}
}

// BenchmarkTrail draws a log of an hour at 50 looks a second anew.
func BenchmarkTrail(b *testing.B) {
	l := &trail{stride: 1, scale: 1, rest: 0.25}
	for k := range 180_000 {
		s := float64(k) / 50
		l.times, l.data = append(l.times, s), append(l.data, math.Sin(s))
	}
	var pts []r2.Vec
	b.ReportAllocs()
	for b.Loop() {
		pts = l.trace(0, 3600, func(s float64) float64 { return s / 3 }, func(v float64) float64 { return v }, pts[:0])
	}
}

// sized is a size of the panel for the pictures.
func sized(scale float32) image.Point { return image.Pt(int(1000*scale), int(620*scale)) }
