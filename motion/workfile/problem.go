// SPDX-License-Identifier: MIT

package workfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Problem is one thing wrong with a workfile. Line and Col count from 1, in
// characters; both are 0 for a File that was checked in memory.
type Problem struct {
	File      string
	Line, Col int
	Key       string // such as leg[LF].coxa.range_deg, "" for the file as a whole
	Text      string // what is wrong, and what would be right
}

// Error gives the problem on one line: file:line:col: key: text.
func (p Problem) Error() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File + ":")
	}
	if p.Line > 0 {
		fmt.Fprintf(&b, "%d:%d:", p.Line, p.Col)
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if p.Key != "" {
		b.WriteString(p.Key + ": ")
	}
	b.WriteString(p.Text)
	return b.String()
}

// Problems is everything that is wrong with a workfile, in the order of its
// lines. It is the error of Read, Check and Build.
type Problems []Problem

// Error gives one line for each problem.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap lets errors.As find a Problem.
func (ps Problems) Unwrap() []error {
	errs := make([]error, len(ps))
	for i, p := range ps {
		errs[i] = p
	}
	return errs
}

// most is the number of problems after which looking for more helps nobody.
const most = 200

// shown quotes a text from the file, cut to a length that fits a message.
func shown(s string) string {
	const longest = 60
	if r := []rune(s); len(r) > longest {
		return strconv.Quote(string(r[:longest])) + "..."
	}
	return strconv.Quote(s)
}

// number gives v as people write it: at most 12 significant digits, no
// exponent for ordinary sizes.
func number(v float64) string { return digits(v, 12) }

// rough gives v as people say it: at most 4 significant digits.
func rough(v float64) string { return digits(v, 4) }

func digits(v float64, n int) string {
	if v == 0 {
		return "0" // also for minus zero
	}
	s := strconv.FormatFloat(v, 'g', n, 64)
	if r, err := strconv.ParseFloat(s, 64); err == nil {
		v = r
	}
	return exact(v)
}

// exact gives the shortest text that reads back as v.
func exact(v float64) string {
	if a := max(v, -v); v != 0 && (a < 1e-6 || a >= 1e15) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// nearest gives the word of the list that s was most likely meant to be, ""
// when none is close.
func nearest(s string, words []string) string {
	const longest = 64
	if len(s) > longest {
		return ""
	}
	best, at := "", len(s)/3+1
	for _, w := range words {
		for _, like := range [...]string{w, bare(w)} { // the unit is easily left out
			if d := distance(strings.ToLower(s), strings.ToLower(like)); d < at {
				best, at = w, d
			}
		}
	}
	return best
}

// bare gives a key without its unit.
func bare(key string) string {
	for _, u := range units {
		if b, ok := strings.CutSuffix(key, u.end); ok {
			return b
		}
	}
	return key
}

// distance counts the single-byte changes, insertions, deletions and swaps of
// neighbours that turn a into b (optimal string alignment).
func distance(a, b string) int {
	prev2, prev, cur := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(b)]
}

// choose lists words for a message: "a", "b" or "c".
func choose(words []string) string {
	var q []string
	for _, w := range words {
		if s := shown(w); !slices.Contains(q, s) {
			q = append(q, s)
		}
	}
	switch n := len(q); n {
	case 0:
		return "(there is none yet)"
	case 1:
		return q[0]
	default:
		const longest = 16
		if n > longest {
			return strings.Join(q[:longest], ", ") + ", ..."
		}
		return strings.Join(q[:n-1], ", ") + " or " + q[n-1]
	}
}
