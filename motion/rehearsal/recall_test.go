// SPDX-License-Identifier: MIT

package rehearsal

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/load"
	"gaitwright/motion/workfile"
)

// Edit after edit, a rehearsal that recalls the ones before is the same to the
// last bit as one that does not.
func TestRecallChangesNothing(t *testing.T) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	edits := map[string]func(*workfile.File, float64){
		"point":    func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[2].End[2] += 8 * x },
		"handle":   func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[3].Out[0] += 20 * x },
		"mark":     func(f *workfile.File, x float64) { f.Moves[0].Marks[2].At += 30 * x },
		"body":     func(f *workfile.File, x float64) { f.Moves[0].Body[1].Lean[1] += 3 * x },
		"shift":    func(f *workfile.File, x float64) { f.Moves[0].Body[0].Shift[0] += 30 * x },
		"gait":     func(f *workfile.File, x float64) { f.Gaits[0].Period += 50 * x },
		"friction": func(f *workfile.File, x float64) { f.Ground.Friction = ptr(0.3 + 0.2*x) },
		"mass":     func(f *workfile.File, x float64) { f.Robot.BodyMass += 100 * x },
	}
	var names []string
	for n := range edits {
		names = append(names, n)
	}
	rnd := rand.New(rand.NewPCG(6, 1))
	var memory load.Recall
	rates := []float64{50, 100}
	for range 3 {
		for _, n := range names {
			g := f.Clone()
			edits[n](g, rnd.Float64()*2-1)
			for _, stand := range []bool{false, true} {
				o := Options{Rate: rates[rnd.IntN(2)], OnStand: stand}
				want, err := Run(g, o)
				if err != nil {
					t.Fatalf("%s: %v", n, err)
				}
				o.Recall = &memory
				for range 2 {
					got, err := Run(g, o)
					if err != nil {
						t.Fatalf("%s: %v", n, err)
					}
					alike(t, n, got.Loads, want.Loads)
					if !reflect.DeepEqual(got.Findings, want.Findings) {
						t.Errorf("%s: findings %v, want %v", n, got.Findings, want.Findings)
					}
				}
			}
		}
	}
}

func ptr(v float64) *float64 { return &v }

// alike compares every array of numbers bit by bit, NaN with NaN.
func alike(t *testing.T, what string, got, want *load.Loads) {
	t.Helper()
	a, b := reflect.ValueOf(*got), reflect.ValueOf(*want)
	arrays := 0
	for i := range a.NumField() {
		if a.Type().Field(i).Type != reflect.TypeFor[[]float64]() {
			continue
		}
		x := a.Field(i).Interface().([]float64)
		arrays++
		y := b.Field(i).Interface().([]float64)
		if len(x) != len(y) {
			t.Fatalf("%s: %s has %d numbers, want %d", what, a.Type().Field(i).Name, len(x), len(y))
		}
		for k := range x {
			if math.Float64bits(x[k]) != math.Float64bits(y[k]) && !(x[k] != x[k] && y[k] != y[k]) {
				t.Fatalf("%s: %s[%d] is %v, want %v", what, a.Type().Field(i).Name, k, x[k], y[k])
			}
		}
	}
	if arrays < 10 || !reflect.DeepEqual(got.State, want.State) || got.Solved != want.Solved {
		t.Errorf("%s: %d arrays, %d solved, want %d", what, arrays, got.Solved, want.Solved)
	}
}

// BenchmarkRecall is a rehearsal at 100 Hz of the demo with one point of the
// strike moved, again and again elsewhere.
func BenchmarkRecall(b *testing.B) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		b.Fatal(err)
	}
	for name, memory := range map[string]*load.Recall{"without": nil, "with": {}} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				g := f.Clone()
				g.Moves[0].Feet[0].Spans[2].End[2] += float64(i % 11)
				if _, err := Run(g, Options{Rate: 100, Recall: memory}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
