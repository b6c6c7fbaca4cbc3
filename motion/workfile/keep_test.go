// SPDX-License-Identifier: MIT

package workfile

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gaitwright/assets"
)

func mustKeep(t testing.TB, f *File, old string) string {
	t.Helper()
	b, err := f.EncodeKeeping([]byte(old))
	if err != nil {
		t.Fatalf("EncodeKeeping: %v", err)
	}
	return string(b)
}

// The files of the program are written in the layout that Encode gives, so
// saving one changes nothing.
func TestKeepOwnFiles(t *testing.T) {
	for name, src := range map[string][]byte{"new": assets.New, "demo": assets.Demo, "walker": assets.Walker} {
		f := mustRead(t, string(src))
		text := mustKeep(t, f, string(src))
		if !mustRead(t, text).Equal(f) {
			t.Errorf("%s: came back otherwise", name)
		}
		for line := range strings.Lines(string(src)) {
			if _, c, ok := strings.Cut(line, "# "); ok && strings.Count(text, c) < strings.Count(string(src), c) {
				t.Errorf("%s: lost %q", name, c)
			}
		}
		if again := mustKeep(t, f, text); again != text {
			t.Errorf("%s: no fixpoint: %s", name, cmp.Diff(text, again))
		}
	}
	text := string(assets.New)
	if diff := cmp.Diff(text, mustKeep(t, mustRead(t, text), text)); diff != "" {
		t.Errorf("the starting workfile is not in the layout that is saved: %s", diff)
	}
}

// Whatever lines comments are put on, all are kept, once each and in an
// order that saving again does not change.
func TestKeepAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := draw{t, false}.file()
		text, err := f.Encode()
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		note := func() string { n++; return fmt.Sprintf("# note %d.", n) }
		var old []string
		place := rapid.SampledFrom([]string{"", "", "", "", "above", "behind", "blank", "paragraph"})
		for line := range strings.Lines(string(text)) {
			line = strings.TrimSuffix(line, "\n")
			switch place.Draw(t, "place") {
			case "above":
				old = append(old, note())
			case "blank":
				old = append(old, "")
			case "paragraph":
				old = append(old, "", note(), note(), "")
			case "behind":
				line += " " + note()
			}
			old = append(old, line)
		}
		if rapid.Bool().Draw(t, "end") {
			old = append(old, note())
		}
		src := strings.Join(old, rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end"))
		out, err := f.EncodeKeeping([]byte(src))
		if err != nil {
			t.Fatal(err)
		}
		for i := range n {
			if c := fmt.Sprintf("# note %d.", i+1); strings.Count(string(out), c) != 1 {
				t.Fatalf("%q is there %d times:\n%s\nfrom\n%s", c, strings.Count(string(out), c), out, src)
			}
		}
		g, err := Read("f.toml", out)
		if err != nil || !g.Equal(f) {
			t.Fatalf("%v: came back otherwise:\n%s", err, out)
		}
		if again, err := g.EncodeKeeping(out); err != nil || string(again) != string(out) {
			t.Fatalf("%v: no fixpoint: %s", err, cmp.Diff(string(out), string(again)))
		}
	})
}

// Each comment goes with its thing.
func TestKeep(t *testing.T) {
	tests := []struct {
		desc   string
		old    []string // edit of base
		change func(*File)
		want   []string // parts of the new text, in order
		gone   []string
	}{
		{"above and behind a key", []string{"body_mass_g = 900", "# weighed\nbody_mass_g = 900 # twice"}, func(f *File) { f.Robot.BodyMass = 950 },
			[]string{"\n# weighed\nbody_mass_g = 950 # twice\n"}, nil},
		{"a value that gets another layout", []string{"body_outline_mm = [[80, 50], [-80, 50],", "body_outline_mm = [\n [80, 50], # front\n # rear\n [-80, 50],"}, nil,
			[]string{"\n# front\n# rear\nbody_outline_mm = [[80, 50], [-80, 50], [-80, -50], [80, -50]]\n"}, nil},
		{"a joint as a table", []string{"femur = { channel = 7, reversed = true }\n", "", "reversed = true, trim_deg = -3 }\n", "reversed = true, trim_deg = -3 }\n# lifts\n[leg.femur] # well\nchannel = 7 # seven\nreversed = true\n"}, nil,
			[]string{"\n# lifts\n# seven\nfemur = { channel = 7, reversed = true } # well\n"}, nil},
		{"lists keep the notes of their lines", []string{"  { name = \"high\", at_ms = 900 },", "  # slowly\n  { name = \"high\", at_ms = 900 }, # not later"}, func(f *File) { f.Moves[0].Marks[1].At = 950 },
			[]string{"\n  # slowly\n  { name = \"high\", at_ms = 950 }, # not later\n"}, nil},
		{"a table of a list by its name", []string{"[[gait]]\nname = \"trot\"", "# quick\n[[gait]] # two feet\nname = \"trot\" # not a gallop"}, func(f *File) { f.Gaits[0], f.Gaits[1] = f.Gaits[1], f.Gaits[0] },
			[]string{"\n# quick\n[[gait]] # two feet\nname = \"trot\" # not a gallop\n", "name = \"crawl\""}, nil},
		{"a leg that gets another name", []string{"[[leg]]\nname = \"RR\"", "# rear right\n[[leg]]\nname = \"RR\""}, func(f *File) {
			f.Legs[3].Name = "hind"
			for _, g := range f.Gaits {
				g.Phase["hind"] = g.Phase["RR"]
				delete(g.Phase, "RR")
			}
		}, []string{"\n# rear right\n[[leg]]\nname = \"hind\""}, nil},
		{"an entry without a name by what it says", []string{"[[sequence]]\nkind = \"wait\"", "# breathe\n[[sequence]]\nkind = \"wait\""},
			func(f *File) { f.Sequence = append([]Entry{{Kind: "stand"}, {Kind: "stand"}}, f.Sequence...) },
			[]string{"\n# breathe\n[[sequence]]\nkind = \"wait\""}, nil},
		{"an entry without a name by its place", []string{"[[sequence]]\nkind = \"wait\"", "# breathe\n[[sequence]]\nkind = \"wait\""},
			func(f *File) { v := 300.0; f.Sequence[5].Duration = &v },
			[]string{"\n# breathe\n[[sequence]]\nkind = \"wait\"\nduration_ms = 300"}, nil},
		{"what is gone takes its notes along", []string{"[[sequence]]\nkind = \"recover\"", "# back\n[[sequence]]\nkind = \"recover\" # please", "trim_deg = 1 }", "trim_deg = 1 } # stays"},
			func(f *File) { f.Sequence = f.Sequence[:4] }, []string{"# stays"}, []string{"# back", "# please"}},
		{"a key that says the default", []string{"cool_down_ms = 200", "cool_down_ms = 0 # at once"}, nil, []string{"\n# at once\n[[move]]\nname = \"bow\"\nmirrored"}, nil},
		{"a table without keys", []string{"[limits]\nreview_hz = 250", "[limits] # all as usual\n# review_hz = 250"}, nil, []string{"\n[limits] # all as usual\n# review_hz = 250\n\n[servo.small]"}, nil},
		{"a supply without keys", []string{"[servo.small]", "[supply] # two cells\n# voltage_v = 7.4\n\n[servo.small]"}, nil, []string{"\n[supply] # two cells\n# voltage_v = 7.4\n\n[servo.small]"}, nil},
		{"a supply that gets its first key", []string{"[servo.small]", "[supply] # two cells\n# voltage_v = 7.4\n\n[servo.small]"},
			func(f *File) { v := 15.0; f.Supply.Limit = &v }, []string{"\n[supply] # two cells\n# voltage_v = 7.4\n\ncurrent_limit_a = 15\n\n[servo.small]"}, nil},
		{"a supply that loses its last key", []string{"[servo.small]", "# flat\n[supply]\nvoltage_v = 7.4 # full\n\n[servo.small]"},
			func(f *File) { f.Supply.Voltage = nil }, []string{"\n# flat\n[supply]\n\n[servo.small]"}, []string{"# full"}},
		{"the notes of loads", []string{"[ground]\n", "[ground]\nfriction = 0.8 # rubber on wood\n", "[limits]", "# of a brick\n[supply] # one\nresistance_mohm = 0 # stiff\n\n[limits]",
			"body_top_mm", "payload_mass_g = 90 # camera\nbody_top_mm"}, nil,
			[]string{"payload_mass_g = 90 # camera\n", "friction = 0.8 # rubber on wood\n", "\n# of a brick\n[supply] # one\nresistance_mohm = 0 # stiff\n"}, nil},
		{"top and end", []string{"format = 1", "# My robot\n\n# yes\n\nformat = 1", "duration_ms = 250\n", "duration_ms = 250\n# that\n\n# is all\n"},
			func(f *File) { f.Sequence = nil }, []string{"# My robot\n\n# yes\n\nformat = 1", "]\n\n# that\n\n# is all\n"}, nil},
		{"what looks like a comment in a text", []string{"name = \"walker\"", "name = \"# 1\" # one"}, nil, []string{"name = \"# 1\" # one\n"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.desc, func(t *testing.T) {
			old := edit(t, tt.old...)
			f := mustRead(t, old)
			if tt.change != nil {
				tt.change(f)
			}
			got := mustKeep(t, f, old)
			rest := got
			for _, w := range tt.want {
				i := strings.Index(rest, w)
				if i < 0 {
					t.Fatalf("want %q in\n%s", w, got)
				}
				rest = rest[i:]
			}
			for _, w := range tt.gone {
				if strings.Contains(got, w) {
					t.Errorf("%q is still in\n%s", w, got)
				}
			}
			if !mustRead(t, got).Equal(f) {
				t.Errorf("came back otherwise:\n%s", got)
			}
			if again := mustKeep(t, f, got); again != got {
				t.Errorf("no fixpoint: %s", cmp.Diff(got, again))
			}
		})
	}
	f := mustRead(t, base)
	for _, old := range []string{"", "[[", "# only this\n"} {
		want := mustEncode(t, f)
		if strings.HasPrefix(old, "#") {
			want += "\n" + old
		}
		if got := mustKeep(t, f, old); got != want {
			t.Errorf("old text %q: %s", old, cmp.Diff(want, got))
		}
	}
}
