// SPDX-License-Identifier: MIT

package app

import (
	"math"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/shape"
	"gaitwright/motion/workfile/edit"
)

// raised is the span before the hit; its end is a corner of the path.
const raised = 1

// kind gives what the plate says of the end of a span.
func (r *rig) kind(span int) string {
	r.T.Helper()
	return r.MustFind("end point of span " + string(rune('1'+span)) + " from the side").Desc.Description
}

func (r *rig) bent(span int) (in, out r3.Vec) {
	r.T.Helper()
	in, out, ok := edit.Bend{Span: span}.Handles(r.doc.File())
	if !ok {
		r.T.Fatalf("no bend at the end of span %d", span+1)
	}
	return in, out
}

// A corner is made smooth by the key, a drag of one handle then turns the
// other, from either leg of the pair; set free, it does not.
func TestSmoothBend(t *testing.T) {
	t.Parallel()
	for _, leg := range []int{0, 3} {
		r := atHit(t)
		r.at.Choose(r.doc, leg)
		r.Settle()
		r.ClickAt(r.point("end point", raised, "from the side"))
		r.Settle()
		if got := r.kind(raised); got != "corner" {
			t.Fatalf("the demo's bend is said to be %q", got)
		}
		r.Press("S", 0)
		r.Settle()
		if label, _ := r.doc.CanUndo(); label != "make a bend smooth" || r.kind(raised) != "smooth" {
			t.Fatalf("%q, %q", label, r.kind(raised))
		}
		r.MustFind("smooth") // the button says it too
		_, before := r.bent(raised)
		for _, part := range []string{"end handle", "start handle"} {
			span := raised
			if part == "start handle" {
				span++
				r.Click("next span")
				r.Settle()
			}
			r.Click(part)
			r.Settle()
			p := r.point(part, span, "from the side")
			was := r.text()
			r.press(p)
			r.move(p.Add(f32.Pt(-7, 11)))
			r.move(p.Add(f32.Pt(-9, 14)))
			if in, out := r.bent(raised); !edit.InLine(in, out) {
				t.Errorf("leg %d, %s: %v and %v are not in line", leg, part, in, out)
			}
			r.release(p.Add(f32.Pt(-9, 14)))
			in, out := r.bent(raised)
			if part == "end handle" && (out == before || math.Abs(r3.Norm(out)-r3.Norm(before)) > 0.02) {
				t.Errorf("leg %d: the other handle went from %v to %v", leg, before, out)
			}
			if !edit.InLine(in, out) || r.kind(raised) != "smooth" {
				t.Errorf("leg %d, %s: %v and %v, %s", leg, part, in, out, r.kind(raised))
			}
			r.Press("Z", key.ModShortcut)
			r.Settle()
			if r.text() != was {
				t.Errorf("leg %d, %s: one undo does not take the drag back", leg, part)
			}
		}
		r.Click("smooth") // free it, by the button
		r.Settle()
		if r.kind(raised) != "corner" {
			t.Errorf("leg %d: still %q", leg, r.kind(raised))
		}
		_, out := r.bent(raised)
		r.Click("span before")
		r.Click("end handle")
		r.Settle()
		p := r.point("end handle", raised, "from the side")
		r.Drag(p, p.Add(f32.Pt(-9, 14)), 3)
		r.Settle()
		if in, now := r.bent(raised); now != out || edit.InLine(in, now) {
			t.Errorf("leg %d: a free handle turned the other from %v to %v", leg, out, now)
		}
	}
}

// A typed number keeps a smooth bend smooth as a drag does.
func TestTypingKeepsSmooth(t *testing.T) {
	r := atHit(t)
	r.ClickAt(r.point("end point", raised, "from the side"))
	r.Press("S", 0)
	r.Click("end handle")
	r.Settle()
	r.Click("x of the end handle")
	r.Type("-25")
	r.Press(key.NameReturn, 0)
	r.Settle()
	in, out := r.bent(raised)
	if in.X != -25 || !edit.InLine(in, out) {
		t.Errorf("%v and %v", in, out)
	}
}

// Dragged near the ground a foot lands on it, with a word that says so; with
// the modifier, or with snapping off, it goes where the pointer is.
func TestSnapToGround(t *testing.T) {
	t.Parallel()
	low := func(mod key.Modifiers, say bool) float64 {
		r := atHit(t)
		if !say {
			r.ClickAt(r.point("end point", raised, "from the side"))
			r.Press("R", key.ModShift) // before the first: off
			r.Settle()
			r.MustFind("snap: off")
		}
		// The plate alone is large enough to aim.
		r.DoubleClickAt(r.spot("plate from the side").Add(f32.Pt(-80, 0)))
		r.Settle()
		p := r.point("end point", raised, "from the side")
		r.press(p)
		// As far down as 2.4 mm above the ground, by the scale of the plate.
		q := r.point("end point", hit, "from the side")
		scale := (q.Y - p.Y) / float32(r.span(raised).End[2]-r.span(hit).End[2]) // px/mm
		to := p.Add(f32.Pt(-30, scale*(130-2.4)))
		for i := range 4 {
			r.pointerWith(pointer.Move, p.Add(to.Sub(p).Mul(float32(i+1)/4)), pointer.ButtonPrimary, mod)
		}
		r.Frame()
		said := false
		for _, n := range r.Nodes() {
			said = said || strings.HasPrefix(n.Desc.Label, "caught on ") && strings.HasSuffix(n.Desc.Label, "ground")
		}
		if said != (say && mod == 0) {
			t.Errorf("with %v: it says caught on the ground: %v", mod, said)
		}
		r.pointerWith(pointer.Release, to, 0, mod)
		r.Settle()
		if r.doc.Err() != nil {
			t.Fatal(r.doc.Err())
		}
		return r.span(raised).End[2]
	}
	if z := low(0, true); z != 0 {
		t.Errorf("z=%v, want on the ground", z)
	}
	for _, z := range []float64{low(key.ModShortcut, true), low(0, false)} {
		if z == 0 || math.Abs(z-2.4) > 1.5 {
			t.Errorf("z=%v, want near 2.4, where the pointer is", z)
		}
	}
}

func (r *rig) pointerWith(k pointer.Kind, p f32.Point, b pointer.Buttons, m key.Modifiers) {
	r.clock += 16e6
	r.Queue(pointer.Event{Kind: k, Source: pointer.Mouse, Buttons: b, Position: p, Time: r.clock, Modifiers: m})
	r.Frame()
}

// On the grid the numbers become round.
func TestSnapToGrid(t *testing.T) {
	t.Parallel()
	r := atHit(t)
	r.ClickAt(r.point("end point", hit, "from the side"))
	r.Scroll(r.point("end point", hit, "from the side"), -250, 0) // near, so that no other point is
	r.Settle()
	for _, step := range []float64{1, 5, 10} {
		r.Press("R", 0)
		r.Settle()
		p := r.point("end point", hit, "from the side")
		by := f32.Pt(-25, -22)
		if step == 1 {
			by = f32.Pt(-13, -14)
		}
		r.Drag(p, p.Add(by), 4)
		r.Settle()
		end := *r.span(hit).End
		if end[0] == 66 && end[2] == 60 {
			t.Errorf("on a grid of %v mm nothing moved", step)
		}
		for _, i := range []int{0, 2} {
			if math.Mod(end[i], step) != 0 {
				t.Errorf("on a grid of %v mm: %v", step, end)
			}
		}
		if end[1] != -70 {
			t.Errorf("what the plate does not show went to %v", end)
		}
		r.Press("Z", key.ModShortcut)
		r.Settle()
	}
}

// While a point is dragged every plate shows the path as it was.
func TestGhostWhileDragging(t *testing.T) {
	r := atHit(t)
	p := r.point("end point", hit, "from the side")
	r.press(p)
	r.MustMiss("path before the drag from the side")
	r.move(p.Add(f32.Pt(-8, -12)))
	r.Frame()
	for _, side := range []string{"from the side", "from the front", "from above"} {
		g := r.spot("path before the drag " + side)
		if side == "from the side" && math.Hypot(float64(g.X-p.X), float64(g.Y-p.Y)) > 1.5 {
			t.Errorf("the ghost's point is at %v, it was at %v", g, p)
		}
	}
	r.release(p.Add(f32.Pt(-8, -12)))
	r.MustMiss("path before the drag from the side")
}

// The body leans by the handle ahead of it on each plate, in one step.
func TestLeanByDrag(t *testing.T) {
	t.Parallel()
	for side, axis := range map[string]int{"from the side": 1, "from the front": 0, "from above": 2} {
		r := atHit(t)
		r.Click("body")
		r.Settle()
		for range 3 { // the panel has one more row, and so one plate
			if _, ok := r.Find("plate " + side); ok {
				break
			}
			for _, n := range r.Nodes() {
				if s, ok := strings.CutPrefix(n.Desc.Label, "plate "); ok {
					r.DoubleClickAt(r.spot("plate " + s).Add(f32.Pt(-70, -60)))
				}
			}
			r.Settle()
		}
		n := r.at.Span
		lean := func() [3]float64 { return r.doc.File().Moves[0].Body[n].Lean }
		was, text := lean(), r.text()
		p := r.point("turning handle", n, side)
		o := r.point("end point", n, side)
		// A third of a radian about the origin, upwards: on the smallest plate
		// less than a seventh would be caught on the level.
		arm := p.Sub(o)
		const by = 1. / 3
		sn, cs := float32(math.Sin(by)), float32(math.Cos(by))
		to := o.Add(f32.Pt(arm.X*cs+arm.Y*sn, arm.Y*cs-arm.X*sn))
		r.press(p)
		r.move(p.Add(to.Sub(p).Mul(0.5)))
		r.move(to)
		want := was[axis] + by*180/math.Pi
		if axis == 1 { // nose up is a negative pitch
			want = was[axis] - by*180/math.Pi
		}
		if got := lean(); math.Abs(got[axis]-want) > 1 {
			t.Errorf("%s: lean went from %v to %v, want %v of axis %d", side, was, got, want, axis)
		}
		r.release(to)
		got := lean()
		for i := range got {
			if i != axis && got[i] != was[i] {
				t.Errorf("%s: axis %d went from %v to %v", side, i, was[i], got[i])
			}
		}
		if label, _ := r.doc.CanUndo(); label != "turn the body" {
			t.Errorf("%s: %q", side, label)
		}
		r.Press("Z", key.ModShortcut)
		r.Settle()
		if r.text() != text {
			t.Errorf("%s: one undo does not take the turn back", side)
		}
	}
}

// The body is shifted by dragging anywhere on its outline, and nudged and
// turned by the keys.
func TestBodyByOutlineAndKeys(t *testing.T) {
	r := atHit(t)
	r.Click("body")
	r.Settle()
	n := r.at.Span
	body := func() ([3]float64, [3]float64) {
		b := r.doc.File().Moves[0].Body[n]
		return b.Shift, b.Lean
	}
	was, lean := body()
	p := r.point("end point", n, "from the side").Add(f32.Pt(-20, 2)) // on the body, off its origin
	r.DragWith(pointer.ButtonPrimary, key.ModShortcut, p, p.Add(f32.Pt(10, -14)), 4)
	r.Settle()
	now, same := body()
	if !(now[0] > was[0]) || !(now[2] > was[2]) || now[1] != was[1] || same != lean {
		t.Errorf("shift went from %v to %v, lean from %v to %v", was, now, lean, same)
	}
	r.Press("Z", key.ModShortcut)
	r.Settle()
	r.Press(key.NamePageDown, 0) // behind the end of a span of the body comes what turns it
	r.Settle()
	r.Press(key.NameUpArrow, 0)
	r.Press(key.NameUpArrow, key.ModShift)
	r.Settle()
	if _, got := body(); math.Abs(got[1]-(lean[1]+1.1)) > 1e-9 {
		t.Errorf("lean went from %v to %v by 1° and 0.1°", lean, got)
	}
	// A foot has nothing to turn: its end is chosen.
	r.Click("LF and RF")
	r.Settle()
	if r.shape.Part != shape.End {
		t.Errorf("of the foot the %v is chosen", r.shape.Part)
	}
}

// Every control point is chosen by the keyboard, in the order of the path.
func TestChoosePointsByKey(t *testing.T) {
	r := atHit(t)
	r.ClickAt(r.point("end point", raised, "from the side"))
	r.Settle()
	type stop struct {
		span int
		part string
	}
	part := func() string { return [...]string{"end", "start handle", "end handle"}[r.shape.Part] }
	for range 20 {
		r.Press(key.NamePageUp, 0)
	}
	var got []stop
	for range 20 {
		if s := (stop{r.at.Span, part()}); len(got) == 0 || got[len(got)-1] != s {
			got = append(got, s)
		}
		r.Press(key.NamePageDown, 0)
	}
	var want []stop
	for span := 1; span <= 6; span++ { // the first and the last stand
		want = append(want, stop{span, "start handle"}, stop{span, "end handle"}, stop{span, "end"})
	}
	if len(got) != len(want) {
		t.Fatalf("%v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("stop %d is %v, want %v", i, got[i], want[i])
		}
	}
	r.Settle()
}

// The timing tells the speed that it gives and the joint that turns fastest,
// while a handle of it is dragged.
func TestTimingTellsSpeedAndJoint(t *testing.T) {
	r := atHit(t)
	said := func(prefix string) string {
		for _, n := range r.Nodes() {
			if s, ok := strings.CutPrefix(n.Desc.Label, prefix); ok {
				return s
			}
		}
		t.Fatalf("nothing begins with %q in\n%s", prefix, r.Dump())
		return ""
	}
	speed, joint := said("peak speed "), said("fastest joint: ")
	if !strings.HasSuffix(speed, " mm/s") || strings.Contains(joint, "too fast") {
		t.Fatalf("%q, %q", speed, joint)
	}
	from := r.handle(0.45, 0)
	r.press(from)
	r.move(r.handle(0.9, 0))
	r.move(r.handle(1, 0))
	r.Frame()
	if now := said("peak speed "); now == speed {
		t.Errorf("the speed stays at %q", now)
	}
	if now := said("fastest joint: "); !strings.Contains(now, "too fast") || r.stops() == 0 {
		t.Errorf("%q with %d stops", now, r.stops())
	}
	r.release(r.handle(1, 0))
}
