// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// played is what the engine says of one motion.
type played struct {
	name  string
	cells map[string]string
}

// number reads a cell, +Inf for an empty one.
func (p *played) number(t *testing.T, column string) float64 {
	s, ok := p.cells[column]
	if !ok {
		t.Fatalf("no column %s", column)
	}
	if s == "" {
		return math.Inf(1)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// engine reads a table of testdata/ode.
func engine(t *testing.T, name string) (all []played) {
	file, err := os.Open("../../testdata/ode/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		p := played{name: row[0], cells: map[string]string{}}
		for i, cell := range row {
			p.cells[rows[0][i]] = cell
		}
		all = append(all, p)
	}
	return all
}

// The Open Dynamics Engine 0.16.2 has played 103 motions of three robots with
// torque-limited joints and says which of them tip over and which slide (see
// testdata/ode/README.md). The review is replayed on the same workfiles.
//
// Motions whose worst dynamic margin lies within 5 mm of 0 are told apart:
// there a hair decides.
func TestPhysicsEngineAgrees(t *testing.T) {
	const band = 0.005 // m
	rows := engine(t, "results.csv")
	// The verdicts of review and engine, and how often they meet.
	type pair struct{ side, does string }
	table := map[pair]int{}
	outside, agree, words, bad := 0, 0, 0, 0
	robots := map[string]bool{}
	for _, row := range rows {
		name := row.name
		robots[name[:3]] = true
		src, err := os.ReadFile("../../testdata/ode/motions/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		r := mustRun(t, mustRead(t, name, src), rehearsal.Options{Rate: 1000})

		tip, slide := row.number(t, "tip_time_s"), row.number(t, "slide_time_s")
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
	t.Logf("%d motions, %d go wrong; outside ±5 mm %d of %d agree by the margin, %d by the words", len(rows), bad, agree, outside, words)
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

// The demo's strike ever faster: which limit is reached first, which next, and
// the physics engine agrees. It has no reserves, so a joint is behind a little
// later than the review forbids it, and it tips where the review says so.
func TestFasterStrikeFailsInOrder(t *testing.T) {
	type tally struct{ caution, stop float64 } // speed from which on
	first := map[string]*tally{}
	late, tips := math.Inf(1), math.Inf(1)
	for _, row := range engine(t, "speeds.csv") {
		speed, err := strconv.ParseFloat(strings.TrimPrefix(row.name, "strike-"), 64)
		if err != nil {
			t.Fatal(err)
		}
		if row.number(t, "error_deg") > 1 {
			late = min(late, speed)
		}
		if !math.IsInf(row.number(t, "tip_time_s"), 1) {
			tips = min(tips, speed)
		}
		src := edited(t, assets.Demo, "move = \"strike\"\nspeed = 1\n", fmt.Sprintf("move = \"strike\"\nspeed = %g\n", speed))
		for _, f := range mustRun(t, mustRead(t, row.name, src), rehearsal.Options{Rate: 1000}).Findings {
			if first[f.Word] == nil {
				first[f.Word] = &tally{math.Inf(1), math.Inf(1)}
			}
			if f.Level == review.Stop {
				first[f.Word].stop = min(first[f.Word].stop, speed)
			} else {
				first[f.Word].caution = min(first[f.Word].caution, speed)
			}
		}
	}
	for word, at := range first {
		t.Logf("%s: caution from %g times the speed, stop from %g", word, at.caution, at.stop)
	}
	t.Logf("engine: joints behind from %g, tips from %g", late, tips)
	get := func(word string) tally {
		if first[word] == nil {
			t.Fatalf("%s is never said", word)
		}
		return *first[word]
	}
	if f := get("tips-fast"); f.caution != 1.25 || f.stop != tips {
		t.Errorf("tips-fast: %+v, the engine tips from %g", f, tips)
	}
	if f := get("joint-speed"); f.stop != 1.5 || f.stop > late {
		t.Errorf("joint-speed: %+v, the engine has joints behind from %g", f, late)
	}
	if f := get("hard-landing"); f.stop != 2.5 {
		t.Errorf("hard-landing: %+v", f)
	}
}

// A gait on two feet is judged in motion: slow, it rolls over before the next
// feet are down, and the engine tips it too; quick, neither.
func TestTwoFeetAreJudgedInMotion(t *testing.T) {
	tips := map[string]bool{}
	for _, row := range engine(t, "results.csv") {
		tips[row.name] = !math.IsInf(row.number(t, "tip_time_s"), 1)
	}
	for _, name := range []string{"usher-diagonal-800", "usher-diagonal-400", "usher-diagonal-250"} {
		src, err := os.ReadFile("../../testdata/ode/motions/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		stops, said := false, 0
		for _, f := range mustRun(t, mustRead(t, name, src), rehearsal.Options{}).Findings {
			switch {
			case f.Word == "tips-fast" && f.Level == review.Stop:
				stops = true
			case f.Word == "tips-slow":
				if said++; f.Level != review.Caution || !strings.Contains(f.Why, "only 2 feet") {
					t.Errorf("%s: %+v", name, f)
				}
			}
		}
		if stops != tips[name] || said != 1 {
			t.Errorf("%s: stopped %v, the engine tips it: %v; said %d times how it is judged", name, stops, tips[name], said)
		}
	}
}
