// SPDX-License-Identifier: MIT

package strips

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/app/draw"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

func (r *rig) names(open bool) (out []string) {
	for _, v := range r.panel.rows {
		if v.open == open {
			out = append(out, r.panel.derived.strips[v.strip].name)
		}
	}
	return out
}

// texts gives the words on everything that can be seen.
func (r *rig) texts() (out []string) {
	for _, n := range r.Nodes() {
		out = append(out, n.Desc.Label, n.Desc.Description)
	}
	return out
}

func (r *rig) reads(text string) bool {
	return slices.ContainsFunc(r.texts(), func(s string) bool { return strings.Contains(s, text) })
}

func closeTo(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// An idle panel asks for no frame, whatever the size and the scale.
func TestSettles(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2, 3} {
		for _, size := range []image.Point{{1280, 500}, {1024, 240}, {640, 210}, {300, 195}, {40, 30}, {1, 1}} {
			r := open(t, weak(t), scale, image.Pt(int(float32(size.X)*scale), int(float32(size.Y)*scale)))
			r.Settle()
			r.ClickAt(f32.Pt(float32(r.Size.X)/2, float32(r.Size.Y)-3))
			r.Settle()
		}
	}
}

// In a clean motion stability alone is open; else first what findings point at,
// in their order, then stability, three at most; and nothing without room.
func TestOpensWhatMatters(t *testing.T) {
	r := open(t, demo, 1, usual)
	if got := r.names(true); len(got) != 1 || got[0] != "stability" {
		t.Errorf("of the demo %v are open", got)
	}
	r = open(t, weak(t), 1, usual)
	all := r.doc.Result().Findings
	var want []string
	for i := range all {
		name := ""
		switch f := &all[i]; f.Word {
		case "supply-current":
			name = "supply"
		case "joint-torque", "joint-speed", "servo-heat", "hard-landing":
			name = r.doc.Result().Built.Robot.Legs[f.Leg].Name
		case "tips-slow", "tips-fast":
			name = "stability"
		default:
			t.Fatalf("%s was not foreseen", f.Word)
		}
		if !slices.Contains(want, name) {
			want = append(want, name)
		}
	}
	if len(want) < mostOpen {
		t.Fatalf("the findings point at %v only", want)
	}
	if got := r.names(true); !slices.Equal(got, want[:mostOpen]) {
		t.Errorf("of the weak demo %v are open, the findings point at %v", got, want)
	}
	if got := r.names(false); !slices.Equal(got[:len(want)-mostOpen], want[mostOpen:]) {
		t.Errorf("then come %v, the findings point at %v", got, want)
	}
	// What is fine is never open above or beside what is folded though it fails.
	for _, v := range r.panel.rows {
		if s := &r.panel.derived.strips[v.strip]; v.open && r.panel.derived.first[v.strip] == none {
			t.Errorf("%s is open", s.name)
		}
	}
	// Open strips take all room that folded ones leave, and no row is out of
	// it while there is enough.
	r = open(t, demo, 1, usual.Add(image.Pt(0, int(foldedHeight))))
	if _, v := r.row("stability"); v.box.Dy() != int(grownHeight) {
		t.Errorf("stability is %d px high with room to spare", v.box.Dy())
	}
	r = open(t, weak(t), 1, image.Pt(1280, 190+30+6*17+3*70))
	if v := r.panel.rows; v[len(v)-1].box.Max.Y != 30+6*17+3*70 || v[0].box.Dy() != 70 {
		t.Errorf("the rows end at %v, the first is %d px high", v[len(v)-1].box.Max.Y, v[0].box.Dy())
	}
	r = open(t, weak(t), 1, image.Pt(1280, 190+40))
	if got := r.names(true); len(got) != 0 {
		t.Errorf("without room %v are open", got)
	}
}

// What the person opened or folded stays so, whatever the review says later.
func TestThePersonsChoiceCounts(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.Click("strip stability")
	r.Click("strip RM")
	if r.isOpen("stability") || !r.isOpen("RM") {
		t.Fatalf("open: %v", r.names(true))
	}
	weaken := func(f *workfile.File) {
		s := f.Servos["standard"]
		five := 5.0
		s.StallKgfCm = &five
		f.Servos["standard"] = s
	}
	if err := r.doc.Change("weaken", weaken); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	if r.isOpen("stability") || !r.isOpen("RM") || !r.isOpen("LM") {
		t.Errorf("after a change %v are open", r.names(true))
	}
	r.doc.Undo()
	r.Settle()
	if r.isOpen("stability") || !r.isOpen("RM") || r.isOpen("LM") {
		t.Errorf("after undo %v are open", r.names(true))
	}
}

// While something is dragged the rows stay where they are and the numbers are
// called coarse.
func TestDragging(t *testing.T) {
	r := open(t, demo, 1, usual)
	before := append(r.names(true), r.names(false)...)
	if r.reads("sampled coarsely") {
		t.Error("coarse without a drag")
	}
	if err := r.doc.Drag("weaken", func(f *workfile.File) {
		s := f.Servos["standard"]
		five := 5.0
		s.StallKgfCm = &five
		f.Servos["standard"] = s
	}); err != nil {
		t.Fatal(err)
	}
	r.Frame()
	if after := append(r.names(true), r.names(false)...); !slices.Equal(before, after) {
		t.Errorf("while dragging %v, before %v", after, before)
	}
	if !r.reads("sampled coarsely") {
		t.Error("a coarse sampling is not called so")
	}
	r.doc.Drop()
	r.Settle()
	if r.reads("sampled coarsely") || !r.isOpen("LM") {
		t.Errorf("after the drag %v are open", r.names(true))
	}
}

func TestKeys(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 190+80))
	for range 60 {
		if r.Tab(false); r.Focused(r.panel.Tag()) {
			break
		}
	}
	if !r.Focused(r.panel.Tag()) {
		t.Fatal("Tab does not reach the strips")
	}
	at := func(i int) string { return r.panel.derived.strips[r.panel.rows[i].strip].name }
	r.Press(key.NameDownArrow, 0)
	r.Press(key.NameDownArrow, 0)
	name := at(2)
	for _, step := range []struct {
		key  key.Name
		want bool
	}{
		{key.NameReturn, true}, {key.NameReturn, false}, {key.NameRightArrow, true}, {key.NameRightArrow, true},
		{key.NameLeftArrow, false}, {key.NameLeftArrow, false}, {key.NameEnter, true},
	} {
		r.Press(step.key, 0)
		if r.isOpen(name) != step.want {
			t.Errorf("after %s, %s open=%v", step.key, name, !step.want)
		}
	}
	s, v := r.row(name)
	if !v.box.In(image.Rectangle{Max: r.Size}) {
		t.Errorf("the row of the keys lies at %v", v.box)
	}
	r.at.Playing = true
	r.Press(key.NameReturn, key.ModShift)
	closeTo(t, "the time", r.at.Time, s.worst.at, 0)
	if r.at.Leg != s.leg || r.at.Playing {
		t.Errorf("leg %d, playing %v", r.at.Leg, r.at.Playing)
	}
	r.Press(key.NameEnd, 0)
	last := at(len(r.panel.rows) - 1)
	if _, v := r.row(last); !v.box.In(image.Rectangle{Max: r.Size}) {
		t.Errorf("the last row lies at %v", v.box)
	}
	r.Press(key.NameHome, 0)
	r.Press(key.NameUpArrow, 0)
	r.Press(key.NameReturn, 0)
	if r.isOpen("stability") != true {
		t.Error("Enter on the first row does not open it")
	}
	r.Settle()
}

// A click goes to the time, and to the leg, as on the timeline; its keys go
// there too.
func TestClickGoesToTime(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		r := open(t, demo, scale, usual.Mul(int(scale)))
		px := r.doc.Result().Trajectory.Duration() / 1166 / float64(scale)
		r.Click("strip RR")
		for name, leg := range map[string]int{"RR": 5, "LM": 1, "stability": -1} {
			r.at.Choose(r.doc, 3)
			r.ClickAt(r.point(name, 2.25))
			closeTo(t, name+": the time clicked", r.at.Time, 2.25, px)
			if want := map[bool]int{true: leg, false: 3}[leg >= 0]; r.at.Leg != want {
				t.Errorf("%s: leg %d, want %d", name, r.at.Leg, want)
			}
			if !r.Focused(r.time.Tag()) {
				t.Errorf("%s: the keys do not go to the timeline", name)
			}
			r.Drag(r.point(name, 1), r.point(name, 5.5), 5)
			closeTo(t, name+": the time dragged to", r.at.Time, 5.5, px)
		}
		// The words of a folded row go to the very instant.
		s, v := r.row("LF")
		r.at.Choose(r.doc, 3)
		r.ClickAt(f32.Pt(float32(v.worst.Max.X-4), float32(v.worst.Min.Y+v.worst.Max.Y)/2))
		closeTo(t, "the worst instant", r.at.Time, s.worst.at, 0)
		if r.at.Leg != 0 {
			t.Errorf("leg %d", r.at.Leg)
		}
		r.Click(s.name + " " + s.says())
		closeTo(t, "the worst instant by its words", r.at.Time, s.worst.at, 0)
		r.Settle()
	}
}

// The wheel zooms both, about the pointer, and a double click shows all.
func TestSharesTheAxis(t *testing.T) {
	r := open(t, demo, 1, usual)
	end := r.doc.Result().Trajectory.Duration()
	p := r.point("LF", 4)
	before := r.time.Axis(r.doc).Time(float64(p.X))
	r.Scroll(p, -10, 0)
	closeTo(t, "the time under the pointer", r.time.Axis(r.doc).Time(float64(p.X)), before, 1e-9)
	from, to := r.time.Axis(r.doc).Between()
	closeTo(t, "the stretch that shows", to-from, end/1.25, 1e-9)
	r.Scroll(p, -10, key.ModShift)
	f1, t1 := r.time.Axis(r.doc).Between()
	closeTo(t, "the stretch after a shift", t1-f1, to-from, 1e-9)
	if f1 >= from {
		t.Errorf("shift and wheel move from %v to %v", from, f1)
	}
	r.DoubleClickAt(p)
	if from, to := r.time.Axis(r.doc).Between(); from != 0 || to != end {
		t.Errorf("a double click shows %v to %v", from, to)
	}
}

// The card says what the loads say, by their own arrays.
func TestHoverReadsValues(t *testing.T) {
	r := open(t, demo, 1, usual)
	tr, l := r.doc.Result().Trajectory, r.doc.Result().Loads
	p := r.point("LF", 9.5)
	k := tr.Index(r.time.Axis(r.doc).Time(float64(p.X)))
	r.MoveTo(p)
	r.Settle()
	want := []string{"LF, " + draw.Number(tr.Time(k), 3) + " s"}
	for j := range kin.Joints {
		line := l.LineAt(k, j)
		line = line.Derated(r.doc.Result().Built.Limits.Derating)
		tau, v := l.Torque[k*18+j], tr.V[k*18+j]
		most, fastest := line.Stall, line.NoLoad
		if tau*v > 0 { // what each leaves of the other
			most, fastest = line.Stall*(1-math.Abs(v)/line.NoLoad), line.NoLoad*(1-math.Abs(tau)/line.Stall)
		}
		want = append(want,
			fmt.Sprintf("%.0f %%", 100*line.Use(tau, v)),
			draw.Figures(math.Abs(tau), 3)+" of "+draw.Figures(most, 3)+" N·m",
			fmt.Sprintf("%.0f of %.0f°/s", math.Abs(v)*180/math.Pi, fastest*180/math.Pi))
	}
	p = r.point("stability", 9.5)
	check := func(want []string) {
		t.Helper()
		for _, s := range want {
			if !slices.Contains(r.texts(), s) {
				t.Errorf("nothing reads %q", s)
			}
		}
	}
	check(want)
	r.MoveTo(p)
	r.Settle()
	check([]string{draw.Number(tr.Margin[k]*1000, 1) + " mm", draw.Number(l.Dynamic[k]*1000, 1) + " mm",
		draw.Number(l.Energy[k]*1000, 1) + " mm", "wanted 10.0 mm", "wanted 5.0 mm"})
	r.MoveTo(r.point("supply", 9.5))
	r.Settle()
	check([]string{draw.Number(l.Current[k], 1) + " A", "limit 15.0 A", draw.Number(l.Voltage[k], 2) + " V"})
	r.MoveTo(f32.Pt(20, 20))
	if slices.Contains(r.texts(), "limit 15.0 A") {
		t.Error("the card stays when the pointer has left")
	}
}

// Where there is no number there is a gap with its reason, on ice as on a
// stand, and nowhere is NaN or an infinity written.
func TestGaps(t *testing.T) {
	r := open(t, slippery(t), 1, usual)
	l, tr := r.doc.Result().Loads, r.doc.Result().Trajectory
	s, _ := r.row("LF")
	missing := 0
	for k := range l.N {
		_, in := s.gapAt(tr.Time(k))
		if nan := math.IsNaN(l.Torque[k*18]); nan != in {
			t.Fatalf("%v s: torque %v, in a gap %v", tr.Time(k), l.Torque[k*18], in)
		} else if nan {
			missing++
		}
	}
	if missing == 0 || missing == l.N {
		t.Fatalf("%d of %d samples lack a number", missing, l.N)
	}
	gap := s.gaps[0]
	for _, g := range s.gaps {
		if g.to-g.from > gap.to-gap.from {
			gap = g
		}
	}
	r.MoveTo(r.point("LF", (gap.from+gap.to)/2))
	r.Settle()
	if !r.reads("no number: the ground cannot carry this: the feet would slide") {
		t.Errorf("no reason is given at %v s", (gap.from+gap.to)/2)
	}
	numbers(t, r)
	for _, show := range []string{"torque alone", "speed alone", "torque and speed together"} {
		r.Click(show)
		r.Settle()
		numbers(t, r)
	}
	r.doc.SetOnStand(true)
	r.Settle()
	if s, _ := r.row("stability"); s.worst.ok || s.says() != "no number: hung on a stand" {
		t.Errorf("on a stand: %+v", s.worst)
	}
	r.MoveTo(r.point("stability", 5))
	r.Settle()
	numbers(t, r)
}

func numbers(t *testing.T, r *rig) {
	t.Helper()
	for _, s := range r.texts() {
		if strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || strings.Contains(s, "∞") {
			t.Errorf("something reads %q", s)
		}
	}
}

// The choice changes what the legs show, and not which rows are where.
func TestTorqueAndSpeedAlone(t *testing.T) {
	r := open(t, demo, 1, usual)
	order := append(r.names(true), r.names(false)...)
	both, _ := r.row("LF")
	together := both.worst.value
	l, tr := r.doc.Result().Loads, r.doc.Result().Trajectory
	r.Click("speed alone")
	r.Settle()
	most := 0.0
	for k := range l.N {
		for o := range kin.Joints {
			line := l.LineAt(k, o)
			most = max(most, math.Abs(tr.V[k*18+o])/line.NoLoad*100)
		}
	}
	for _, b := range l.Blows {
		if tr.Impacts[b.Impact].Leg == 0 {
			most = max(most, 100*b.Speed/r.doc.Result().Built.Limits.Landing)
		}
	}
	s, _ := r.row("LF")
	closeTo(t, "the greatest speed, %", s.worst.value, most, 1e-9)
	r.Click("torque alone")
	r.Settle()
	if s, _ := r.row("LF"); s.worst.value >= together || len(s.stems) > 0 {
		t.Errorf("torque alone %v, together %v, %d landings", s.worst.value, together, len(s.stems))
	}
	if got := append(r.names(true), r.names(false)...); !slices.Equal(got, order) {
		t.Errorf("rows %v, before %v", got, order)
	}
}

// A limit is where it is drawn: the share of samples past it is that of the
// stretches marked.
func TestStretches(t *testing.T) {
	r := open(t, weak(t), 1, usual)
	l, tr := r.doc.Result().Loads, r.doc.Result().Trajectory
	s, _ := r.row("supply")
	for k := range l.N {
		in := slices.ContainsFunc(s.past, func(v [2]float64) bool { return v[0] <= tr.Time(k) && tr.Time(k) <= v[1] })
		if want := l.Current[k] > 14; in != want {
			t.Fatalf("%v s: %v A, marked %v", tr.Time(k), l.Current[k], in)
		}
	}
	for i := 1; i < len(s.past); i++ {
		if s.past[i][0] <= s.past[i-1][1] {
			t.Errorf("stretches touch: %v", s.past)
		}
	}
}

// Curves are drawn once, until the stretch of time or the motion changes.
func TestDrawingsAreKept(t *testing.T) {
	r := open(t, weak(t), 1, usual)
	traced := func(do func()) bool {
		r.panel.lines.pts = nil
		do()
		return r.panel.lines.pts != nil
	}
	if traced(func() { r.at.GoTo(r.doc, 3); r.Frame() }) {
		t.Error("another present time draws the curves again")
	}
	if !traced(func() { r.Scroll(r.point("stability", 4), -10, 0) }) {
		t.Error("zooming does not draw them again")
	}
	if !traced(func() {
		if err := r.doc.Change("raise", func(f *workfile.File) { f.Moves[0].Feet[0].Spans[1].End[2]++ }); err != nil {
			t.Fatal(err)
		}
		r.Frame()
	}) {
		t.Error("another rehearsal does not draw them again")
	}
}
