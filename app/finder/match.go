// SPDX-License-Identifier: MIT

package finder

import (
	"sort"
	"strings"
	"unicode"
)

// What it costs when a typed word fits a word of an item less than exactly.
// The best items have the least sum. The figures are our own: each step is a
// weaker likeness than the one before.
const (
	costPrefix = 1  // "dut" for "duty"
	costInside = 5  // "moment" in "zeromoment"
	costTypo   = 6  // "stabilty" for "stability", for each letter that is off
	costMore   = 3  // found by a word that is not shown
	costCannot = 2  // cannot be done now
	costLater  = 10 // nothing fits: more than any fit of one word
)

// Rank gives the indices of the items that fit what was typed, the best first.
// Every typed word must fit some word of the item; their order does not
// matter. With nothing typed, all items fit in their own order.
func Rank(items []Item, typed string) []int {
	asked := words(typed)
	type hit struct{ index, cost int }
	hits := make([]hit, 0, len(items))
	for i := range items {
		if len(asked) == 0 {
			hits = append(hits, hit{i, 0})
			continue
		}
		if c, ok := cost(&items[i], asked); ok {
			hits = append(hits, hit{i, c})
		}
	}
	sort.SliceStable(hits, func(a, b int) bool { return hits[a].cost < hits[b].cost })
	out := make([]int, len(hits))
	for i, h := range hits {
		out[i] = h.index
	}
	return out
}

// cost tells how badly an item fits, and whether it does at all.
func cost(it *Item, asked []string) (sum int, ok bool) {
	name, more := words(it.Name), words(it.Kind+" "+it.More+" "+it.Keys)
	for _, a := range asked {
		best := least(a, name)
		best = min(best, least(a, more)+costMore)
		if best >= costLater+costMore {
			return 0, false
		}
		sum += 4 * best
	}
	if it.Why != "" {
		sum += costCannot
	}
	// Of two that fit alike the one that says less beside it comes first.
	return sum + min(max(len(name)-len(asked), 0), 3), true
}

// least is the lowest cost of a typed word among the words of an item.
func least(a string, of []string) int {
	best := 2 * costLater
	for _, w := range of {
		best = min(best, fit(a, w))
	}
	return best
}

// fit is the cost of a typed word for one word.
func fit(a, w string) int {
	switch {
	case a == w:
		return 0
	case strings.HasPrefix(w, a):
		return costPrefix
	case len(a) >= 3 && strings.Contains(w, a):
		return costInside
	}
	typed, word := []rune(a), []rune(w)
	allowed := 0
	switch {
	case len(typed) >= 8:
		allowed = 2
	case len(typed) >= 4:
		allowed = 1
	}
	if allowed == 0 || typed[0] != word[0] && len(typed) < 5 {
		return 2 * costLater
	}
	// A word may be typed wrong and not to its end.
	best := allowed + 1
	for n := len(typed) - allowed; n <= len(typed)+allowed; n++ {
		if n >= 1 && n <= len(word) {
			best = min(best, distance(typed, word[:n]))
		}
	}
	if best > allowed {
		return 2 * costLater
	}
	return costTypo + best
}

// words splits a text into its words, in small letters. Signs that are keys,
// such as the arrows, are words of their own.
func words(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return unicode.IsSpace(r) || strings.ContainsRune(".,;:()[]{}<>“”\"'’_-–−+/|", r)
	})
}

// distance is the number of letters put in, left out, changed, or swapped with
// their neighbour between two words: the restricted edit distance of Damerau
// (1964, Communications of the ACM 7(3), from memory) and Levenshtein. Time
// goes with the product of the lengths.
func distance(a, b []rune) int {
	rows := [3][]int{make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)}
	for j := range rows[1] {
		rows[1][j] = j
	}
	for i := 1; i <= len(a); i++ {
		prev2, prev, now := rows[0], rows[1], rows[2]
		now[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			now[j] = min(prev[j]+1, now[j-1]+1, prev[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], prev2[j-2]+1)
			}
		}
		rows[0], rows[1], rows[2] = prev, now, prev2
	}
	return rows[1][len(b)]
}
