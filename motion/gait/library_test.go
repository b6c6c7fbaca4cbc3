// SPDX-License-Identifier: MIT

package gait

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
)

// rows numbers the left legs front to rear and then the right ones.
func rows(n int) (left, right []int) {
	for k := range n {
		left, right = append(left, k), append(right, n+k)
	}
	return left, right
}

// apart is the distance of two phases on the circle.
func apart(a, b float64) float64 { x := a - b; return math.Abs(x - math.Round(x)) }

// Touch-down lags, left legs front to rear, then right ones. Six legs: the rule
// of Song and Waldron, 1987; the pairs of the tetrapod and the names from memory.
// Four legs: Hildebrand, Science 150, 1965, from memory.
func TestLibraryPhases(t *testing.T) {
	want := map[string]struct {
		duty  float64
		phase []float64
	}{
		"3 tripod":   {1. / 2, []float64{0, 1. / 2, 0, 1. / 2, 0, 1. / 2}},
		"3 tetrapod": {2. / 3, []float64{0, 2. / 3, 1. / 3, 2. / 3, 1. / 3, 0}},
		"3 ripple":   {3. / 4, []float64{0, 3. / 4, 1. / 2, 1. / 2, 1. / 4, 0}},
		"3 wave":     {5. / 6, []float64{0, 5. / 6, 2. / 3, 1. / 2, 1. / 3, 1. / 6}},
		"2 crawl":    {5. / 6, []float64{0, 5. / 6, 1. / 2, 1. / 3}},
		"2 trot":     {1. / 2, []float64{0.5, 0, 0, 0.5}},
		"2 pace":     {1. / 2, []float64{0, 0, 0.5, 0.5}},
		"2 bound":    {2. / 5, []float64{0.5, 0, 0.5, 0}},
	}
	for _, n := range []int{2, 3} {
		left, right := rows(n)
		all, err := Library(left, right)
		if err != nil {
			t.Fatal(err)
		}
		if len(all) != 4 {
			t.Errorf("%d gaits for %d legs", len(all), 2*n)
		}
		for _, g := range all {
			w, ok := want[string(rune('0'+n))+" "+g.Name]
			if !ok || g.Duty != w.duty {
				t.Fatalf("%d legs, %s: duty got=%v, want=%v", 2*n, g.Name, g.Duty, w.duty)
			}
			for i := range g.Phase {
				if apart(g.Phase[i], w.phase[i]) > 1e-12 {
					t.Errorf("%d legs, %s, leg %d: got=%v, want=%v", 2*n, g.Name, i, g.Phase[i], w.phase[i])
				}
			}
			g.Period, g.StepHeight = 1, 0.03
			if err := g.Check(2 * n); err != nil {
				t.Error(err)
			}
		}
	}
}

// Touch-down order of the crawl: left front, right rear, right front, left rear
// (McGhee and Frank, 1968; from memory).
func TestCrawlOrder(t *testing.T) {
	all, err := Library([]int{0, 1}, []int{2, 3})
	if err != nil {
		t.Fatal(err)
	}
	p := all[0].Phase
	if !(p[0] == 0 && p[0] < p[3] && p[3] < p[2] && p[2] < p[1]) {
		t.Errorf("got=%v", p)
	}
}

// What Wilson, Annual Review of Entomology 11, 1966, says of walking insects
// (wording from a secondary quotation), for the whole wave family with a
// constant swing time: (1) no leg swings before the one behind it stands, and
// waves run from rear to front; (2) legs of a pair alternate; (3) the swing time
// is constant; (4) the stance shortens as the frequency grows; (5) intervals
// between the steps of neighbours on a side stay what they are.
func TestWilson(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "pairs")
		const swing = 0.3 // s
		duty := rapid.Float64Range(0.5, 0.95).Draw(t, "duty")
		left, right := rows(n)
		g, err := WaveOf(left, right, duty)
		if err != nil {
			t.Fatal(err)
		}
		g.Period = swing / (1 - duty)
		for _, side := range [][]int{left, right} {
			for k, i := range side {
				if apart(g.Phase[left[k]], g.Phase[right[k]]+0.5) > 1e-9 {
					t.Fatalf("pair %d: %v", k, g.Phase)
				}
				if math.Abs(g.SwingTime(i)-swing) > 1e-12 {
					t.Fatalf("swing of leg %d: %v s", i, g.SwingTime(i))
				}
				if k+1 == len(side) {
					continue
				}
				behind := side[k+1]
				// The one behind has touched down as this one lifts, not before.
				lift := g.Phase[i] + g.DutyOf(i)
				if apart(lift, g.Phase[behind]) > 1e-9 || !g.Down(behind, lift+1e-6) || g.Down(behind, lift-1e-6) {
					t.Fatalf("leg %d lifts at %v, leg %d touches down at %v", i, lift, behind, g.Phase[behind])
				}
				if lag := Frac(g.Phase[i]-g.Phase[behind]) * g.Period; math.Abs(lag-swing) > 1e-9 {
					t.Fatalf("lag of neighbours: %v s, want %v s", lag, swing)
				}
			}
		}
		// A shorter period, a shorter stance.
		slower := min(0.97, duty+0.02)
		if stance := duty * g.Period; stance >= slower*swing/(1-slower) {
			t.Fatalf("stance %v s is not shorter than at duty factor %v", stance, slower)
		}
	})
}

// A small step of the duty factor is a small step of every phase.
func TestWaveContinuous(t *testing.T) {
	for n := 2; n <= 6; n++ {
		for k := range 4900 {
			duty := 0.5 + float64(k)*1e-4
			a, b := Wave(n, duty), Wave(n, duty+1e-4)
			for i := range a {
				if d := apart(a[i], b[i]); d > float64(n)*1e-4 {
					t.Fatalf("%d legs, duty %v, leg %d: phase goes %v", 2*n, duty, i, d)
				}
			}
		}
	}
}

// legged is a robot with its legs in any order.
func legged(order []int, n int) *kin.Robot {
	r := &kin.Robot{Legs: make([]kin.Leg, 2*n)}
	for place, i := range order {
		l := &r.Legs[i]
		row := place % n
		l.PBH = r3.Vec{X: 0.1 * float64(n-row), Y: 0.05}
		l.Name = "L" + string(rune('1'+row))
		if place >= n {
			l.PBH.Y, l.Name = -0.06, "R"+string(rune('1'+row))
			l.PBH.X += 0.003 // a robot is not built to the micrometre
		}
	}
	return r
}

// Whatever the order of the legs, each gets the phase of its place.
func TestSides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "pairs")
		var all []int
		for i := range 2 * n {
			all = append(all, i)
		}
		order := rapid.Permutation(all).Draw(t, "order")
		r := legged(order, n)
		left, right, err := Sides(r)
		if err != nil {
			t.Fatal(err)
		}
		for k := range n {
			if left[k] != order[k] || right[k] != order[n+k] {
				t.Fatalf("got=%v %v, want=%v", left, right, order)
			}
		}
		gaits, err := Library(left, right)
		if err != nil {
			t.Fatal(err)
		}
		plain, err := Library(rows(n))
		if err != nil {
			t.Fatal(err)
		}
		for g := range gaits {
			for place, i := range order {
				if gaits[g].Phase[i] != plain[g].Phase[place] {
					t.Fatalf("%s: leg at place %d has phase %v, want %v", gaits[g].Name, place, gaits[g].Phase[i], plain[g].Phase[place])
				}
			}
		}
	})
}

func TestSidesRefuses(t *testing.T) {
	for _, c := range []struct {
		name, want string
		change     func(*kin.Robot)
	}{
		{"unlike sides", "2 legs on the left, 4 on the right", func(r *kin.Robot) { r.Legs[0].PBH.Y = -0.05 }},
		{"on the midline", "leg L2 is mounted on the midline", func(r *kin.Robot) { r.Legs[1].PBH.Y = 0 }},
		{"side by side", "legs L1 and L3 are mounted equally far forward", func(r *kin.Robot) { r.Legs[2].PBH.X = r.Legs[0].PBH.X }},
	} {
		r := legged([]int{0, 1, 2, 3, 4, 5}, 3)
		c.change(r)
		if _, _, err := Sides(r); !errors.Is(err, ErrSides) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got=%v, want=%q", c.name, err, c.want)
		}
	}
	for _, c := range [][2][]int{{nil, nil}, {{0}, {1}}, {{0, 1}, {2}}, {{0, 1}, {2, 2}}, {{0, 1}, {2, 4}}, {{-1, 1}, {2, 3}}} {
		if _, err := Library(c[0], c[1]); !errors.Is(err, ErrSides) {
			t.Errorf("rows %v: %v", c, err)
		}
	}
	for _, duty := range []float64{0.49, 1, math.NaN()} {
		if _, err := WaveOf([]int{0, 1}, []int{2, 3}, duty); !errors.Is(err, ErrGait) {
			t.Errorf("duty %v: %v", duty, err)
		}
	}
}
