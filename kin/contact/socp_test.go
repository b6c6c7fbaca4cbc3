// SPDX-License-Identifier: MIT

package contact

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// testdata/socp/contact_forces.csv: optima by CVXOPT 1.3.0 (see the README
// there).
func TestAgainstCVXOPT(t *testing.T) {
	file, err := os.Open("../../testdata/socp/contact_forces.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var s Solver
	kinds := map[string]int{}
	furthest := 0.0
	for i, row := range table[1:] {
		at := 1
		next := func() float64 {
			x, err := strconv.ParseFloat(row[at], 64)
			if err != nil {
				t.Fatalf("row %d, cell %d: %v", i+2, at, err)
			}
			at++
			return x
		}
		vector := func() r3.Vec { return r3.Vec{X: next(), Y: next(), Z: next()} }
		want := math.Inf(1)
		if row[at] != "" {
			want = next()
		} else {
			at++
		}
		next() // depth
		feet := make([]Foot, int(next()))
		p := &Problem{Friction: next(), Normal: vector(), Force: vector(), Moment: vector(), Point: vector()}
		for k := range feet {
			f := &feet[k]
			f.P = vector()
			for j := range f.JT {
				f.JT[j] = next()
			}
			for j := range kin.Joints {
				f.Free[j] = next()
			}
			for j := range kin.Joints {
				f.Limit[j] = next()
			}
		}
		kinds[row[0]]++
		force := make([]r3.Vec, len(feet))
		load, st := s.Solve(p, feet, force)
		verify(t, p, feet, force, load, st)
		if st.String() != row[0] {
			t.Errorf("row %d: %v, CVXOPT %s", i+2, st, row[0])
			continue
		}
		if st == Balanced || st == Overloaded {
			miss := (load - want) / want
			furthest = max(furthest, math.Abs(miss))
			if !(math.Abs(miss) <= 1e-6) {
				t.Errorf("row %d: load %v, CVXOPT %v", i+2, load, want)
			}
		} else if load != want {
			t.Errorf("row %d: load %v without balance", i+2, load)
		}
	}
	if len(table) < 300 || kinds["balanced"] < 50 || kinds["overloaded"] < 30 || kinds["needs pull"] < 30 || kinds["needs friction"] < 30 {
		t.Errorf("too few rows: %v", kinds)
	}
	t.Logf("%v, loads within %.2g", kinds, furthest)
}
