// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// The Open Dynamics Engine 0.16.2 has played 91 motions of three robots with
// torque-limited joints and says which of them tip over and which slide (see
// testdata/ode/README.md). The review is replayed on the same workfiles.
//
// Motions whose worst dynamic margin lies within 5 mm of 0 are told apart:
// there a hair decides.
func TestPhysicsEngineAgrees(t *testing.T) {
	const band = 0.005 // m
	file, err := os.Open("../../testdata/ode/results.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	when := func(row []string, name string) float64 {
		s := row[column[name]]
		if s == "" {
			return math.Inf(1)
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	// The verdicts of review and engine, and how often they meet.
	type pair struct{ side, does string }
	table := map[pair]int{}
	outside, agree, words, bad := 0, 0, 0, 0
	robots := map[string]bool{}
	for _, row := range rows[1:] {
		name := row[column["motion"]]
		robots[name[:3]] = true
		src, err := os.ReadFile("../../testdata/ode/motions/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		r := mustRun(t, mustRead(t, name, src), rehearsal.Options{Rate: 1000})

		tip, slide := when(row, "tip_time_s"), when(row, "slide_time_s")
		does := "stands"
		switch {
		case slide < tip:
			does = "slides"
		case tip < math.Inf(1):
			does = "tips"
		}
		if does != "stands" {
			bad++
		}

		worst := math.Inf(1)
		for _, m := range r.Loads.Dynamic {
			if m < worst { // false for NaN
				worst = m
			}
		}
		side := "inside"
		switch {
		case math.Abs(worst) <= band:
			side = "near"
		case worst < 0:
			side = "outside"
		}
		table[pair{side, does}]++
		if side == "near" {
			continue
		}
		outside++
		if (side == "outside") == (does == "tips") {
			agree++
		} else {
			t.Logf("by the margin, %s does not agree: %.1f mm, but it %s", name, worst*1000, does)
		}

		// What the review forbids, by its words: whatever goes wrong here has to
		// be a stop for this reason, and what stands has not.
		told := map[string]bool{}
		for _, f := range r.Findings {
			if f.Level != review.Stop {
				continue
			}
			switch f.Word {
			case "tips-slow", "tips-fast", "airborne":
				told["tips"] = true
			case "foot-slides":
				told["slides"] = true
			}
		}
		if does == "stands" && len(told) == 0 || told[does] {
			words++
		} else {
			t.Logf("by its words, %s does not agree: margin %.1f mm, told %v, but it %s", name, worst*1000, told, does)
		}
	}
	t.Logf("dynamic margin against engine: %v", table)
	t.Logf("%d motions, %d go wrong; outside ±5 mm %d of %d agree by the margin, %d by the words", len(rows)-1, bad, agree, outside, words)
	if n := len(rows) - 1; n < 40 || len(robots) < 3 || bad < n*2/5 || bad > n*3/5 {
		t.Errorf("%d motions of %d robots, %d of them bad: too few, or not about half", n, len(robots), bad)
	}
	if agree*100 < outside*95 {
		t.Errorf("only %d of %d agree by the margin, want 95 %%", agree, outside)
	}
	if words*100 < outside*90 {
		t.Errorf("only %d of %d agree by the words, want 90 %%", words, outside)
	}
}
