// SPDX-License-Identifier: MIT

package finder

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func things() []Item {
	return []Item{
		{Kind: "action", Name: "Open", Keys: "Ctrl+O"},
		{Kind: "action", Name: "Undo", Keys: "Ctrl+Z", Why: "nothing to undo"},
		{Kind: "action", Name: "Hang on a stand", Keys: "H"},
		{Kind: "action", Name: "Step on", Keys: "→"},
		{Kind: "action", Name: "To the start", Keys: "Home"},
		{Kind: "action", Name: "Look from the front"},
		{Kind: "limit", Name: "stability margin"},
		{Kind: "limit", Name: "dynamic margin"},
		{Kind: "term", Name: "duty factor", More: "stance share"},
		{Kind: "leg", Name: "Leg LF"},
		{Kind: "gait", Name: "tripod", More: "walk"},
		{Kind: "action", Name: "Show the next finding"},
		{Kind: "action", Name: "Stand still"},
	}
}

func TestRank(t *testing.T) {
	for _, tt := range []struct{ typed, first string }{
		{"open", "Open"},
		{"OPEN", "Open"},
		{"ope", "Open"},
		{"margin stability", "stability margin"}, // any order
		{"stabilty", "stability margin"},         // a letter missing
		{"stabiltiy margin", "stability margin"}, // two swapped
		{"dynmaic", "dynamic margin"},
		{"mar dyn", "dynamic margin"}, // beginnings
		{"stand", "Stand still"},      // says least beside it
		{"hang stand", "Hang on a stand"},
		{"find next", "Show the next finding"},
		{"front", "Look from the front"},
		{"stance", "duty factor"}, // by a word that is not shown
		{"walk", "tripod"},
		{"lf", "Leg LF"},
		{"leg", "Leg LF"}, // by its kind
		{"ctrl z", "Undo"},
		{"home", "To the start"},
		{"undu", "Undo"}, // also when it cannot be done now
		{"bility", "stability margin"},
	} {
		items := things()
		got := Rank(items, tt.typed)
		if len(got) == 0 || items[got[0]].Name != tt.first {
			var names []string
			for _, i := range got {
				names = append(names, items[i].Name)
			}
			t.Errorf("%q: got %q, want first %q", tt.typed, names, tt.first)
		}
	}
	for _, typed := range []string{"xylophone", "open xylophone", "zz", "qpe"} {
		if got := Rank(things(), typed); len(got) != 0 {
			t.Errorf("%q: %v fits", typed, got)
		}
	}
	for i, n := range Rank(things(), "  ") {
		if i != n {
			t.Errorf("nothing typed: item %d in place %d", n, i)
		}
	}
}

// Values worked out by hand from the definition of the distance.
func TestDistance(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"a", "", 1}, {"", "abc", 3}, {"gait", "gait", 0}, {"gait", "gati", 1}, {"gait", "gate", 2},
		{"femur", "fmeur", 1}, {"femur", "femr", 1}, {"tibia", "tibiia", 1}, {"ca", "abc", 3}, // the restricted distance
		{"größe", "grösse", 2},
	} {
		if got := distance([]rune(tt.a), []rune(tt.b)); got != tt.want {
			t.Errorf("%q, %q: got %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}

// Whatever is typed, no item is given twice, and one whose name is typed in
// full is among those that fit.
func TestRankAnything(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	letters := []rune("abdeinorst -→µöЖ\x00\ufffd")
	items := things()
	for range 2000 {
		typed := make([]rune, r.IntN(12))
		for i := range typed {
			typed[i] = letters[r.IntN(len(letters))]
		}
		seen := map[int]bool{}
		for _, i := range Rank(items, string(typed)) {
			if seen[i] {
				t.Fatalf("%q: %d twice", string(typed), i)
			}
			seen[i] = true
		}
	}
	for k := range items {
		if !slices.Contains(Rank(items, items[k].Name), k) {
			t.Errorf("%q does not fit itself", items[k].Name)
		}
	}
}

// Some hundred items must be ranked between two keys.
func BenchmarkRank(b *testing.B) {
	var items []Item
	for range 20 {
		items = append(items, things()...)
	}
	for b.Loop() {
		Rank(items, "stabilty margn")
	}
}
