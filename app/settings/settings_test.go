// SPDX-License-Identifier: MIT

package settings

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func TestSaveLoad(t *testing.T) {
	path := Path(t.TempDir())
	if s, err := Load(path); err != nil || s != (Settings{}) {
		t.Fatalf("a first start: %+v, %v", s, err)
	}
	want := Settings{
		Width: 1400, Height: 900, Left: 0.2, Right: 0.4, Views: 0.61,
		Light: true, Scale: 1.5, ReducedMotion: true, Folder: "/home/ann/robots \"old\"",
		TourOffered: true, TourStep: 3, Recent: Recent{"/home/ann/robots/b.toml", "/home/ann/\"a\".toml"},
	}
	for _, s := range []Settings{want, {}, {Light: true}} {
		if err := s.Save(path); err != nil {
			t.Fatal(err)
		}
		if got, err := Load(path); err != nil || got != s {
			t.Errorf("got=%+v, %v, want=%+v", got, err, s)
		}
	}
}

// What is wrong has its usual value, is named, and leaves the rest as it is.
func TestForgiving(t *testing.T) {
	for _, tt := range []struct {
		text string
		want Settings
		says string // "" for nothing
	}{
		{"", Settings{}, ""},
		{"light = true\nscale = 2", Settings{Light: true, Scale: 2}, ""},
		{"light = 1\nscale = 2", Settings{Scale: 2}, "light: give true or false"},
		{"scale = 9\nlight = true", Settings{Light: true}, "scale: give a number from 1 to 3"},
		{"scale = nan", Settings{}, "scale: give a number"},
		{"left_column_share = 1.0", Settings{}, "left_column_share: give a number between 0 and 1"},
		{"window_width_dp = 5\nwindow_height_dp = 800", Settings{Height: 800}, "window_width_dp: give a whole number"},
		{"window_width_dp = 1280.5", Settings{}, "window_width_dp: give a whole number"},
		{"colour = \"red\"\nlight = true", Settings{Light: true}, "colour: unknown key"},
		{"folder = 3", Settings{}, "folder: give a path"},
		{"recent_files = [\"a\", \"b\"]", Settings{Recent: Recent{"a", "b"}}, ""},
		{"recent_files = [\"a\", 3]\nlight = true", Settings{Light: true}, "recent_files: give a list of paths"},
		{"recent_files = [\"\"]", Settings{}, "recent_files: give a list of paths"},
		{"recent_files = \"a\"", Settings{}, "recent_files: give a list of paths"},
		{"recent_files = [\"1\", \"2\", \"3\", \"4\", \"5\", \"6\", \"7\", \"8\", \"9\"]", Settings{}, "recent_files: give 8 paths at most"},
		{"tour_step = -1\ntour_offered = true", Settings{TourOffered: true}, "tour_step: give a whole number"},
		{"light = true\nscale = = 2", Settings{}, "line 2, column 9"},
		{"\xff\x00", Settings{}, "not readable"},
	} {
		got, err := Parse([]byte(tt.text))
		if got != tt.want {
			t.Errorf("%q: got=%+v, want=%+v", tt.text, got, tt.want)
		}
		if tt.says == "" && err != nil || tt.says != "" && (err == nil || !strings.Contains(err.Error(), tt.says)) {
			t.Errorf("%q: said %v, want %q", tt.text, err, tt.says)
		}
	}
}

func TestLoadSaysWhere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "settings.toml")
	if err := os.WriteFile(path, []byte("light = 3\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(path); err == nil || !strings.Contains(err.Error(), path) {
		t.Errorf("got %v", err)
	}
	if _, err := Load(dir); err == nil {
		t.Error("a folder was read as settings")
	}
	if err := os.WriteFile(path, make([]byte, mostBytes+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(path); err == nil || !strings.Contains(err.Error(), "too large") {
		t.Errorf("got %v", err)
	}
	if err := (Settings{}).Save(filepath.Join(path, "below", "a.toml")); err == nil {
		t.Error("saved below a file")
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte("light = true\nscale = 1.5\nfolder = \"x\"\nwindow_width_dp = 1280\nviews_share = 0.5"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, _ := Parse(text)
		again, err := s.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if got, err := Parse(again); err != nil || got != s {
			t.Fatalf("got=%+v, %v, want=%+v", got, err, s)
		}
	})
}

// The latest file comes first, each is there once, and the oldest falls out.
func TestRecent(t *testing.T) {
	var r Recent
	for _, p := range strings.Split("abcdefghijc", "") {
		r = r.With(p)
	}
	if got := strings.Join(r.List(), ""); got != "cjihgfed" {
		t.Errorf("%q", got)
	}
	if got := strings.Join(r.Without("g").Without("x").With("").List(), ""); got != "cjihfed" {
		t.Errorf("%q", got)
	}
}

// Others on the machine cannot read which files somebody opens.
func TestSettingsArePrivate(t *testing.T) {
	path := Path(t.TempDir())
	if err := (Settings{Recent: Recent{"/home/ann/a.toml"}}).Save(path); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		t.Errorf("%v, %v", info, err)
	}
}
