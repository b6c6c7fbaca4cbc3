// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/kin/clearance"
	"gaitwright/motion"
)

func TestApartAgainstAllCapsules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		any := func(name string) limb {
			l := limb{radius: rapid.Float64Range(0, 0.02).Draw(t, name)}
			for n := range l.at {
				c := rapid.SliceOfN(rapid.Float64Range(-0.1, 0.1), 3, 3).Draw(t, name)
				l.at[n] = r3.Vec{X: c[0], Y: c[1], Z: c[2] / 10}
			}
			for n := range l.half {
				l.half[n] = r3.Norm(r3.Sub(l.at[n], l.at[n+1])) / 2
			}
			return l
		}
		a, b := any("a"), any("b")
		want := math.Inf(1)
		for m := range 3 {
			for n := range 3 {
				if m+n > 0 {
					want = min(want, clearance.Between(&clearance.Capsule{A: a.at[m], B: a.at[m+1], R: a.radius},
						&clearance.Capsule{A: b.at[n], B: b.at[n+1], R: b.radius}))
				}
			}
		}
		if got, _, _ := apart(&a, &b, false); math.Abs(got-want) > 1e-12 {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}

func TestCapsuleBoundsTheDistanceFromBelow(t *testing.T) {
	r := sixLegged()
	box := clearance.Box{Outline: r.Body.Outline, Bottom: r.Body.Bottom, Top: r.Body.Top}
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SliceOfN(rapid.Float64Range(-0.25, 0.25), 6, 6).Draw(t, "ends")
		l := limb{radius: 0.01}
		a, b := r3.Vec{X: c[0], Y: c[1], Z: c[2] / 2}, r3.Vec{X: c[3], Y: c[4], Z: c[5] / 2}
		exact := box.Segment(a, b) - l.radius
		got := l.capsule(&box, a, b, 0.003)
		if got > exact+1e-9 || got != exact && got <= 0.003 {
			t.Fatalf("got %v, exactly %v", got, exact)
		}
	})
}

// Two legs that go straight at each other, as fast as the bound allows for,
// are seen at the first sample that is too near.
func TestLegsGoingStraightAtEachOther(t *testing.T) {
	r := sixLegged()
	l := Defaults()
	tr := mustSample(t, r, clean(r), 500)
	place := func(k, leg int, x float64) {
		for n := range 3 {
			o := (k*6+leg)*9 + n*3
			tr.Points[o], tr.Points[o+1], tr.Points[o+2] = x, 0, 1+0.1*float64(n)
		}
	}
	first := -1
	for k := range tr.N {
		x := max(0, 0.9-0.0007*float64(k))
		place(k, LF, x)
		place(k, LM, -x)
		if d := 2*x - r.Legs[LF].LinkRadius - r.Legs[LM].LinkRadius; d < l.Clearance-1e-12 && first < 0 {
			first = k
		}
	}
	stop := -1.0
	for _, f := range of(judge(r, tr, l), "legs-touch") {
		if f.Leg == LF && f.Other == LM {
			if f.Level == Caution {
				t.Errorf("a caution that a stop follows: %+v", f)
			}
			if stop < 0 {
				stop = f.From
			}
		}
	}
	if want := tr.Time(first); stop < want || stop > want+0.012 {
		t.Errorf("the stop begins at %v s, the legs are too near from %v s on", stop, want)
	}
}

// A seam that jumps far is told once, not again between the samples.
func TestAJumpIsToldOnce(t *testing.T) {
	r := sixLegged()
	p := clean(r)
	s := stand(r, LM)
	far := r3.Add(s, r3.Vec{X: 0.08})
	p.Feet[LM] = []motion.FootPiece{swing(0, 2, s, s, 0.03), swing(2, 4, far, far, 0.03)}
	found := of(judge(r, mustSample(t, r, p, rate), Defaults()), "jump")
	if len(found) != 1 || found[0].Worst != 2 || found[0].Value < 20 {
		t.Errorf("got %+v", found)
	}
}

// A jump is told where the leg reaches both sides of it; where it does not,
// the speeds across it are not told either.
func TestAJumpBesideAMiss(t *testing.T) {
	r := sixLegged()
	p := clean(r)
	s := stand(r, LM)
	p.Feet[LM] = []motion.FootPiece{planted(0, 1, s), planted(1, 4, r3.Add(s, r3.Vec{X: 0.02}))}
	k := int(1 * rate)
	for missed, want := range map[int]int{k - 2: 1, k - 1: 0, k: 0, k + 1: 1} {
		tr := mustSample(t, r, p, rate)
		tr.Reach[missed*6+LM] = -0.001
		found := judge(r, tr, Defaults())
		if n := len(of(found, "jump")); n != want {
			t.Errorf("missed at sample %d: %d jumps, want %d", missed-k, n, want)
		}
		if n := len(of(found, "joint-speed")); n != 0 {
			t.Errorf("missed at sample %d: %d speeds, want none", missed-k, n)
		}
	}
}

func TestLeapStandsOutFromItsNeighbours(t *testing.T) {
	r := sixLegged()
	for _, c := range []struct {
		before, leap, after float64 // deg a sample
		want                int
	}{
		{0, 21, 0, 1}, {0, 19, 0, 0}, {25, 30, 25, 0}, {25, 70, 10, 0}, {10, 70, 25, 0}, {20, 70, 20, 1},
	} {
		tr := mustSample(t, r, clean(r), 20)
		q := 0.0
		for k := range tr.N {
			switch {
			case k == 10:
				q += c.leap
			case k == 9:
				q += c.before
			case k == 11:
				q += c.after
			}
			tr.Q[(k*6+LH)*3] = q / deg
		}
		n := 0
		for _, f := range of(judge(r, tr, Defaults()), "jump") {
			if f.Leg == LH && f.Worst == 0.5 {
				n++
			}
		}
		if n != c.want {
			t.Errorf("%v: got %d, want %d", c, n, c.want)
		}
	}
}

var amount = regexp.MustCompile(`([\d.]+) mm (forward|back|to the left|to the right|up|down)`)

// told reads a displacement from a remedy.
func told(t *testing.T, mend string) (v r3.Vec) {
	t.Helper()
	for _, m := range amount.FindAllStringSubmatch(mend, -1) {
		x, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		dir := map[string]r3.Vec{"forward": {X: 1}, "back": {X: -1}, "to the left": {Y: 1}, "to the right": {Y: -1}, "up": {Z: 1}, "down": {Z: -1}}[m[2]]
		v = r3.Add(v, r3.Scale(x/1000, dir))
	}
	return v
}

func TestMovingTheFootAsToldMendsJointLimit(t *testing.T) {
	r := sixLegged()
	both(func(i int) { r.Legs[i].Limits[kin.Femur].Hi = 0.7 })
	p := clean(r)
	found := of(judge(r, mustSample(t, r, p, rate), Defaults()), "joint-limit")
	if len(found) != 2 {
		t.Fatalf("got %+v", found)
	}
	for _, f := range found {
		front(p, r, f.Leg, r3.Add(raised, told(t, f.Mend)))
	}
	// The remedy is rounded to a millimetre, which is half a degree here.
	for _, f := range of(judge(r, mustSample(t, r, p, rate), Defaults()), "joint-limit") {
		if f.Value-f.Limit > 0.5 {
			t.Errorf("after the remedy: %+v", f)
		}
	}
}

// The body is told to go left, right, forward in its own axes.
func TestShiftingAsToldMendsTipsSlow(t *testing.T) {
	for _, yaw := range []float64{0, 0.3} {
		r := heavy()
		p := clean(r)
		at := r3.Vec{X: 0.02, Y: 0.01, Z: bodyHeight}
		set := func(at r3.Vec) {
			p.Body = []motion.BodyPiece{{To: 4, Shift: still(at), Lean: still(r3.Vec{Z: yaw})}}
		}
		set(at)
		found := of(judge(r, mustSample(t, r, p, 100), Defaults()), "tips-slow")
		if len(found) != 1 || !strings.HasPrefix(found[0].Mend, "shift the body") {
			t.Fatalf("got %+v", found)
		}
		turn := kin.RPY(0, 0, yaw)
		set(r3.Add(at, turn.Mul(told(t, found[0].Mend))))
		if found := of(judge(r, mustSample(t, r, p, 100), Defaults()), "tips-slow"); len(found) != 0 {
			t.Errorf("yaw %v: after the remedy: %+v", yaw, found)
		}
	}
}

// A direction is told in the axes of the heading.
func TestShiftDirections(t *testing.T) {
	for _, c := range []struct {
		v    r3.Vec
		want string
	}{
		{r3.Vec{X: 0.0141}, "15 mm forward"},
		{r3.Vec{X: -0.0141, Y: 0.003}, "15 mm back and 3.0 mm to the left"},
		{r3.Vec{X: 0.00001, Y: -0.02, Z: -0.02}, "20 mm to the right and 20 mm down"},
		{r3.Vec{X: 0.01, Y: 0.01, Z: 0.01}, "10 mm forward, 10 mm to the left and 10 mm up"},
		{r3.Vec{}, "0.0 mm"},
	} {
		if got := shift(c.v); got != c.want {
			t.Errorf("shift(%v) = %q, want %q", c.v, got, c.want)
		}
	}
}
