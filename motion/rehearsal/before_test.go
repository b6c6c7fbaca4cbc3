// SPDX-License-Identifier: MIT

package rehearsal

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/load"
	"gaitwright/motion/workfile"
)

// edit is one random change of a file, x in [-1,1].
type edit struct {
	name string
	do   func(f *workfile.File, x float64)
}

// edits are of all kinds: of a move, its timing and its body, of gaits, of the
// sequence, of the robot, of ground, supply and limits.
func edits() []edit {
	return []edit{
		{"point", func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[2].End[2] += 8 * x }},
		{"handle", func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[3].Out[0] += 20 * x }},
		{"far point", func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[1].End[0] += 150 * x }},
		{"timing", func(f *workfile.File, x float64) {
			f.Moves[0].Feet[0].Spans[2].Timing = fmt.Sprintf("cubic-bezier(%.3f, 0, 0.6, 1)", 0.4+0.3*x)
		}},
		{"even", func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[2].Even = x > 0 }},
		{"floor", func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[2].Floor = ptr(60 + 10*x) }},
		{"mark", func(f *workfile.File, x float64) { f.Moves[0].Marks[2].At += 30 * x }},
		{"last mark", func(f *workfile.File, x float64) { f.Moves[0].Marks[len(f.Moves[0].Marks)-1].At += 90 * (1 + x) }},
		{"lean", func(f *workfile.File, x float64) { f.Moves[0].Body[1].Lean[1] += 3 * x }},
		{"shift", func(f *workfile.File, x float64) { f.Moves[0].Body[0].Shift[0] += 30 * x }},
		{"great shift", func(f *workfile.File, x float64) { f.Moves[0].Body[0].Shift[1] += 150 * x }},
		{"period", func(f *workfile.File, x float64) { f.Gaits[0].Period += 50 * x }},
		{"step height", func(f *workfile.File, x float64) { f.Gaits[0].StepHeight += 10 * x }},
		{"sway", func(f *workfile.File, x float64) { f.Gaits[0].Sway = 5 + 5*x }},
		{"speed", func(f *workfile.File, x float64) {
			for i := range f.Sequence {
				if e := &f.Sequence[i]; e.Kind == "move" {
					e.Speed = ptr(1.6 + x)
				}
			}
		}},
		{"command", func(f *workfile.File, x float64) {
			for i := range f.Sequence {
				if e := &f.Sequence[i]; e.Kind == "walk" {
					e.Turn = ptr(20 * x)
				}
			}
		}},
		{"stand longer", func(f *workfile.File, x float64) { f.Sequence[0].Duration = ptr(700 + 300*x) }},
		{"one entry less", func(f *workfile.File, x float64) { f.Sequence = f.Sequence[:len(f.Sequence)-1] }},
		{"one entry more", func(f *workfile.File, x float64) {
			f.Sequence = append(f.Sequence, workfile.Entry{Kind: "wait", Duration: ptr(200 + 50*x)})
		}},
		{"name", func(f *workfile.File, x float64) { f.Sequence[0].Name = fmt.Sprint("entry ", x) }},
		{"tibia", func(f *workfile.File, x float64) { f.Legs[0].TibiaLength = ptr(*f.Legs[0].TibiaLength * (1 + 0.05*x)) }},
		{"range", func(f *workfile.File, x float64) { f.Legs[0].Tibia.Range = &[2]float64{-140 + 20*x, -10} }},
		{"mass", func(f *workfile.File, x float64) { f.Robot.BodyMass += 100 * x }},
		{"stand height", func(f *workfile.File, x float64) { f.Robot.StandHeight += 4 * x }},
		{"outline", func(f *workfile.File, x float64) { f.Robot.Outline[0][0] += 30 * (1 + x) }},
		{"friction", func(f *workfile.File, x float64) { f.Ground.Friction = ptr(0.3 + 0.25*x) }},
		{"slope", func(f *workfile.File, x float64) { f.Ground.Roll = 6 * x }},
		{"voltage", func(f *workfile.File, x float64) { f.Supply.Voltage = ptr(6 + x) }},
		{"current", func(f *workfile.File, x float64) { f.Supply.Limit = ptr(6 + 5*x) }},
		{"margin", func(f *workfile.File, x float64) { f.Limits.Margin = ptr(15 + 15*x) }},
		{"clearance", func(f *workfile.File, x float64) { f.Limits.Clearance = ptr(15 + 14*x) }},
		{"reserve", func(f *workfile.File, x float64) { f.Limits.SpeedShare = ptr(0.5 + 0.4*x) }},
		{"derating", func(f *workfile.File, x float64) { f.Limits.Derating = ptr(0.5 + 0.4*x) }},
		{"landing", func(f *workfile.File, x float64) { f.Limits.Landing = ptr(200 + 150*x) }},
		{"pulses", func(f *workfile.File, x float64) { f.Legs[0].Femur.RangeUs = &[2]float64{1300 + 100*x, 1700} }},
	}
}

// Whatever is changed, and whatever was played before, a rehearsal that takes
// over what is as it was is the same to the last bit as one that does not:
// beside the one before or in its place, at two rates, on the ground and on a
// stand. Edits pile up, are taken back, and leave the robot out of reach,
// sliding and tipping.
func TestBeforeChangesNothing(t *testing.T) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	rnd := rand.New(rand.NewPCG(6, 2))
	all := edits()
	rates := []float64{50, 100}
	now := f.Clone()
	var before, own *Rehearsal // in place and beside
	var memory load.Recall
	rounds := 6 * len(all)
	if testing.Short() {
		rounds = 2 * len(all)
	}
	rate, stand := 100.0, false
	played, kept, samples, words := 0, 0, 0, map[string]bool{}
	for n := range rounds {
		name := "as it was"
		g := now.Clone()
		switch r := rnd.IntN(12); {
		case r == 0:
			rate = rates[rnd.IntN(len(rates))]
		case r == 1:
			stand = !stand
		case r < 4:
			g = f.Clone() // back to the first
		default:
			e := all[n%len(all)]
			name = e.name
			e.do(g, rnd.Float64()*2-1)
		}
		o := Options{Rate: rate, OnStand: stand}
		want, err := Run(g, o)
		if err != nil {
			continue // refused: the next edit begins from what was before
		}
		now = g
		played++
		o.Recall, o.Before, o.Workers = &memory, own, 3
		got, err := Run(g, o)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		exact(t, name+", beside", got, want)
		again, err := Run(g, o) // the one before is as good as new
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		exact(t, name+", beside again", again, want)
		own = got
		o.Recall, o.Before, o.Consume, o.Workers = nil, before, true, 1+n%2
		if before, err = Run(g, o); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		exact(t, name+", in place", before, want)
		for _, k := range before.Loads.Kept {
			if samples++; k {
				kept++
			}
		}
		for i := range want.Findings {
			words[want.Findings[i].Word] = true
		}
		if rnd.IntN(5) == 0 { // not ever farther away
			now = f.Clone()
		}
	}
	t.Logf("%d of %d played, %d of %d samples kept, findings %v", played, rounds, kept, samples, words)
	if played < rounds*2/3 || kept < samples/3 || len(words) < 9 {
		t.Errorf("%d of %d played, %d of %d samples kept, findings %v: too little was tried", played, rounds, kept, samples, words)
	}
}

// exact compares two rehearsals, all numbers bit by bit.
func exact(t *testing.T, what string, got, want *Rehearsal) {
	t.Helper()
	arrays := 0
	for _, p := range [...]struct{ a, b any }{{*got.Trajectory, *want.Trajectory}, {*got.Loads, *want.Loads}} {
		a, b := reflect.ValueOf(p.a), reflect.ValueOf(p.b)
		for i := range a.NumField() {
			f := a.Type().Field(i)
			if !f.IsExported() || f.Name == "Kept" {
				continue
			}
			x, floats := a.Field(i).Interface().([]float64)
			if !floats {
				if !reflect.DeepEqual(a.Field(i).Interface(), b.Field(i).Interface()) && a.Field(i).Kind() != reflect.Func && !empty(a.Field(i), b.Field(i)) {
					t.Fatalf("%s: %s is %v, want %v", what, f.Name, a.Field(i), b.Field(i))
				}
				continue
			}
			y := b.Field(i).Interface().([]float64)
			arrays++
			if len(x) != len(y) {
				t.Fatalf("%s: %s has %d numbers, want %d", what, f.Name, len(x), len(y))
			}
			for k := range x {
				if math.Float64bits(x[k]) != math.Float64bits(y[k]) && (x[k] == x[k] || y[k] == y[k]) {
					t.Fatalf("%s: %s[%d] is %v, want %v", what, f.Name, k, x[k], y[k])
				}
			}
		}
	}
	if arrays < 20 {
		t.Fatalf("%s: only %d arrays", what, arrays)
	}
	if len(got.Findings) != len(want.Findings) || len(want.Findings) > 0 && !reflect.DeepEqual(got.Findings, want.Findings) {
		t.Fatalf("%s: findings\n%v\nwant\n%v", what, got.Findings, want.Findings)
	}
	for k := 0; k < want.Loads.N; k += 37 {
		x, ok := got.Loads.LeastFriction(k)
		if y, known := want.Loads.LeastFriction(k); !(x == y || x != x && y != y) || ok != known {
			t.Fatalf("%s: least friction at %d is %v, want %v", what, k, x, y)
		}
	}
}

func empty(a, b reflect.Value) bool {
	return a.Kind() == reflect.Slice && a.Len() == 0 && b.Len() == 0
}

// BenchmarkBefore is a rehearsal at 100 Hz, as while dragging, and at the
// workfile's rate, of the demo with one thing changed again and again: a point
// of the strike, or the length of all tibias. Worked out anew, beside the one
// before, and in its place.
func BenchmarkBefore(b *testing.B) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		b.Fatal(err)
	}
	for _, rate := range []float64{100, 500} {
		for _, e := range []edit{
			{"point", func(f *workfile.File, x float64) { f.Moves[0].Feet[0].Spans[2].End[2] += x }},
			{"tibia", func(f *workfile.File, x float64) { f.Legs[0].TibiaLength = ptr(*f.Legs[0].TibiaLength + 0.1*x) }},
		} {
			for _, how := range []string{"anew", "beside", "in place"} {
				b.Run(fmt.Sprintf("%g Hz/%s/%s", rate, e.name, how), func(b *testing.B) {
					o := Options{Rate: rate, Consume: how == "in place"}
					if how != "anew" {
						o.Recall = &load.Recall{}
					}
					b.ReportAllocs()
					for i := 0; b.Loop(); i++ {
						g := f.Clone()
						e.do(g, float64(i%11))
						r, err := Run(g, o)
						if err != nil {
							b.Fatal(err)
						}
						if how != "anew" {
							o.Before = r
						}
					}
				})
			}
		}
	}
}
