// SPDX-License-Identifier: MIT

package main

import (
	"encoding/json"
	"io/fs"
	"path"
	"slices"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/review"
)

// seen is a finding as the contract writes it.
type seen struct {
	Word  string  `json:"word"`
	Level string  `json:"level"`
	Entry string  `json:"entry"`
	Leg   string  `json:"leg"`
	Joint string  `json:"joint"`
	From  float64 `json:"from_s"`
	To    float64 `json:"to_s"`
	Worst float64 `json:"worst_s"`
	Value float64 `json:"value"`
	Limit float64 `json:"limit"`
	Unit  string  `json:"unit"`
	Why   string  `json:"why"`
	Mend  string  `json:"mend"`
}

// reviewed takes the JSON of check apart.
func reviewed(t *testing.T, text string) (file string, duration float64, all []seen) {
	t.Helper()
	m := keys(t, json.RawMessage(text), "file duration_s findings")
	strict(t, string(m["file"]), &file)
	strict(t, string(m["duration_s"]), &duration)
	for _, f := range items(t, m["findings"]) {
		keys(t, f, "word level entry leg joint from_s to_s worst_s value limit unit why mend")
		var s seen
		strict(t, string(f), &s)
		all = append(all, s)
	}
	return file, duration, all
}

func TestCheckDemo(t *testing.T) {
	text := fine(t, "check")
	if !strings.HasPrefix(text, "no stop found") {
		t.Errorf("verdict first: %q", text)
	}
	file, duration, all := reviewed(t, fine(t, "check", "--json"))
	if file != "demo" || !(duration > 1) || len(all) != 0 {
		t.Errorf("file %q, %v s, findings %v", file, duration, all)
	}
	walker := place(t, "walker.toml", assets.Walker)
	if file, _, all := reviewed(t, fine(t, "check", walker, "--json")); file != walker || len(all) != 0 {
		t.Errorf("file %q, findings %v", file, all)
	}
}

// The examples of faults: each is refused or waved on by the levels of its
// findings, and both ways of writing tell the same.
func TestCheckFaults(t *testing.T) {
	files, err := fs.Glob(assets.Faults, "faults/*.toml")
	if err != nil || len(files) != len(review.Words()) {
		t.Fatalf("%d examples for %d words (%v)", len(files), len(review.Words()), err)
	}
	for _, name := range files {
		word := strings.TrimSuffix(path.Base(name), ".toml")
		t.Run(word, func(t *testing.T) {
			file := fault(t, word)
			r := call("check", "--json", file)
			_, duration, all := reviewed(t, r.out)
			want, stop := exitFine, 0
			for _, f := range all {
				if f.Level == "stop" {
					want = exitStop
					stop++
				} else if f.Level != "caution" {
					t.Errorf("level %q", f.Level)
				}
				if !(0 <= f.From && f.From <= f.Worst && f.Worst <= f.To && f.To <= duration+1e-9) {
					t.Errorf("times %v, %v, %v of %v s", f.From, f.Worst, f.To, duration)
				}
				if f.Why == "" || f.Mend == "" || f.Unit == "" {
					t.Errorf("not all told: %+v", f)
				}
			}
			if r.code != want || r.errout != "" {
				t.Errorf("status %d with %d stops; stderr %q", r.code, stop, r.errout)
			}
			if !slices.ContainsFunc(all, func(f seen) bool { return f.Word == word }) {
				t.Errorf("%s is not among %d findings", word, len(all))
			}

			r = call("check", file)
			verdict, _, _ := strings.Cut(r.out, "\n")
			if r.code != want || strings.HasPrefix(verdict, "stop: ") != (stop > 0) {
				t.Errorf("status %d, verdict %q", r.code, verdict)
			}
			if strings.Contains(strings.ToLower(r.out), "safe") {
				t.Errorf("promises too much:\n%s", r.out)
			}
			for _, f := range all {
				if !strings.Contains(r.out, f.Why) || !strings.Contains(r.out, f.Mend) || !strings.Contains(r.out, f.Word) || !strings.Contains(r.out, f.Entry) {
					t.Errorf("the text leaves out %+v", f)
				}
			}
		})
	}
}

func TestVerdict(t *testing.T) {
	stop, caution := review.Finding{Level: review.Stop}, review.Finding{Level: review.Caution}
	for _, c := range []struct {
		all  []review.Finding
		want string
	}{
		{nil, "no stop found, and no caution: the review has nothing to add"},
		{[]review.Finding{caution}, "no stop found, but 1 caution: look first"},
		{[]review.Finding{stop}, "stop: 1 finding forbids running this on the robot"},
		{[]review.Finding{stop, stop, caution, caution}, "stop: 2 findings forbid running this on the robot, beside 2 cautions"},
	} {
		if got := verdict(c.all); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
