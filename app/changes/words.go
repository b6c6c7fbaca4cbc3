// SPDX-License-Identifier: MIT

package changes

import (
	"fmt"
	"math"
	"strings"

	"gaitwright/app/draw"
	"gaitwright/motion/sweep"
)

// Fact is a number of a change in words.
type Fact struct{ Name, Value string }

// Facts tells the numbers of a change.
func Facts(c *sweep.Cell) []Fact {
	dynamic := mm(c.Dynamic, 1)
	if c.At == c.At && c.Dynamic == c.Dynamic {
		dynamic += ", " + seconds(c.At) + " after"
	}
	all := []Fact{
		{"smallest dynamic margin", dynamic},
		{"smallest static margin", mm(c.Static, 1)},
		{"largest slip", mm(c.Slip, 2)},
		{"joint speed, share of the servo's", draw.Number(c.Speed, 2)},
	}
	if c.To >= 0 {
		return append(all, Fact{"in force after", seconds(c.Time)})
	}
	return append(all, Fact{"the move begins after", seconds(c.Time)}, Fact{"walks on after the move in", seconds(c.Back)})
}

// Said tells what forbids a change, or that nothing does.
func Said(c *sweep.Cell) string {
	switch {
	case c.Fault != "":
		return "cannot be played: " + c.Fault
	case c.Stops == 1:
		return c.Word + ": " + draw.Degrees(c.Why)
	case c.Stops > 1:
		return fmt.Sprintf("%s: %s (the first of %d stops)", c.Word, draw.Degrees(c.Why), c.Stops)
	case c.Cautions > 0:
		return "no stop, " + count(c.Cautions, "caution")
	}
	return "no stop and no caution"
}

// Title names a change and its instant.
func Title(name string, c *sweep.Cell) string {
	return fmt.Sprintf("%s at %s of the cycle", name, draw.Number(c.Phase, 2))
}

// mm gives a length, m, in millimetres.
func mm(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return draw.Number(math.NaN(), 0)
	}
	return draw.Number(v*1000, decimals) + " mm"
}

func seconds(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return draw.Number(math.NaN(), 0)
	}
	return draw.Number(v, 2) + " s"
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// verdict says in one sentence what a sweep found.
func verdict(r *sweep.Result) (text string, bad bool) {
	runs, gaits := r.Stops()
	var s []string
	if runs > 0 {
		s = append(s, fmt.Sprintf("A stop in %d of %s", runs, count(r.Total, "change")))
	}
	if gaits > 0 {
		s = append(s, count(gaits, "gait")+" cannot be walked")
	}
	if len(s) > 0 {
		return strings.Join(s, ", ") + ".", true
	}
	if len(r.Rows) == 0 {
		return "The file has nothing to change to: it takes two gaits, or a gait and a move.", false
	}
	return fmt.Sprintf("No stop found in %s.", count(r.Total, "change")), false
}

// unwalked tells the gaits that are in no change.
func unwalked(r *sweep.Result) (all []string) {
	for i := range r.Gaits {
		if g := &r.Gaits[i]; !g.Walks() {
			why := g.Why
			if g.Word != "" {
				why = g.Word + ": " + why
			}
			all = append(all, fmt.Sprintf("%s cannot be walked, and is in no change: %s", g.Name, why))
		}
	}
	return all
}
