// SPDX-License-Identifier: MIT

package app

import (
	"image"
	"math"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/kin"
)

// In a low window one plate stands beside the timing, and Enter or a double
// click goes from one to the next.
func TestOnePlateAtATime(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		r := openWith(t, Config{Name: "demo", Text: assets.Demo}, small, scale)
		shows := []string{"plate from the side", "plate from above", "plate from the front"}
		for i := range 6 {
			for j, label := range shows {
				n, ok := r.Find(label)
				if ok != (j == i%3) {
					t.Fatalf("step %d: %s shows: %v", i, label, ok)
				}
				if ok && n.Desc.Bounds.Dy() < int(88*scale) {
					t.Errorf("%s is %d px high", label, n.Desc.Bounds.Dy())
				}
			}
			r.MustFind("timing curve")
			if i == 0 {
				r.Focus(r.shape.Tags()[0])
			}
			if i%2 == 0 {
				r.Press(key.NameReturn, 0)
			} else {
				b := r.MustFind(shows[i%3]).Desc.Bounds
				r.DoubleClickAt(f32.Pt(float32(b.Min.X+6), float32(b.Max.Y-6)))
			}
			r.Settle()
		}
	}
}

// The strips show their line of choices and two folded rows at least.
func TestStripsOfALowWindow(t *testing.T) {
	for name, text := range map[string][]byte{"demo": assets.Demo, "walker": assets.Walker} {
		r := openWith(t, Config{Name: name, Text: text}, small, 1)
		r.MustFind("torque alone")
		rows := 0
		for _, n := range r.Nodes() {
			if len(n.Desc.Label) > 6 && n.Desc.Label[:6] == "strip " && n.Desc.Bounds.In(image.Rectangle{Max: r.Size}) {
				rows++
			}
		}
		if rows < 2 {
			t.Errorf("%s: %d rows show", name, rows)
		}
	}
}

// A finding about no leg is about how the body is moved.
func TestFindingChoosesTheBody(t *testing.T) {
	r := fault(t, "tips-fast")
	if r.at.Track < 0 {
		t.Fatal("the body is chosen already")
	}
	r.goTo(0)
	r.Settle()
	f := &r.doc.Result().Findings[0]
	if f.Leg >= 0 || r.at.Track != -1 {
		t.Fatalf("leg %d, place %+v", f.Leg, r.at)
	}
	// The span under way ends on the first mark not before the worst instant.
	m := &r.doc.File().Moves[0]
	within := (f.Worst - r.strike()) * 1000
	want := 0
	for i := range m.Body {
		for _, k := range m.Marks {
			if k.Name == m.Body[i].To && k.At < within {
				want = i + 1
			}
		}
	}
	if r.at.Span != want {
		t.Errorf("span %d, want %d", r.at.Span, want)
	}
	r.at.Choose(r.doc, 0)
	if r.at.Track < 0 {
		t.Error("choosing a leg leaves the body chosen")
	}
}

// The share beside a joint is the one that its strip plots.
func TestJointsTellTheStripsShare(t *testing.T) {
	for _, text := range [][]byte{assets.Demo, assets.Walker} {
		r := open(t, text)
		res := r.doc.Result()
		s := res.Loads.Shares(res.Trajectory, res.Built.Limits.Derating, nil)
		for k := 0; k < res.Trajectory.N; k += 37 {
			for o := range res.Loads.Legs * kin.Joints {
				v, want := s.Line[k*res.Loads.Legs*kin.Joints+o], "–"
				if !math.IsNaN(v) {
					want = percent(100 * v)
				}
				if got := r.loadOf(k, o/kin.Joints, o%kin.Joints); got != want {
					t.Fatalf("sample %d, joint %d: %s, want %s", k, o, got, want)
				}
			}
		}
	}
}

// What the pointer shows goes when a card opens over the window.
func TestHoverGoesUnderACard(t *testing.T) {
	r := open(t, assets.Demo)
	b := r.MustFind("strips").Desc.Bounds
	r.MoveTo(f32.Pt(float32(b.Min.X+b.Dx()/2), float32(b.Min.Y+25)))
	r.Settle()
	r.MustFind("about the nearest edge")
	r.Press("W", 0)
	r.Settle()
	r.MustMiss("about the nearest edge")
}
