// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"

	"gaitwright/assets"
)

// result is what a run of the program came to.
type result struct {
	code        int
	out, errout string
}

// outside is an env for tests: the clock runs a second a look, the window
// records what it is given, the picture is of one colour.
type outside struct {
	env
	out, errout bytes.Buffer
	file        string // given to the window or the picture
	src         []byte
	at          float64
	fault       error // for the window and the picture to return
	opened      int
}

func newOutside() *outside {
	o := &outside{}
	clock := time.Unix(0, 0)
	o.env = env{
		stdout: &o.out, stderr: &o.errout,
		now: func() time.Time { clock = clock.Add(time.Second); return clock },
		window: func(file string, src []byte, _ *env) error {
			o.file, o.src, o.opened = file, src, o.opened+1
			return o.fault
		},
		picture: func(file string, src []byte, at float64, size image.Point) (image.Image, error) {
			o.file, o.src, o.at = file, src, at
			m := image.NewRGBA(image.Rectangle{Max: size})
			m.Set(size.X-1, size.Y-1, color.White)
			return m, o.fault
		},
	}
	return o
}

// call runs the program with nobody watching.
func call(args ...string) result {
	o := newOutside()
	code := run(args, &o.env)
	return result{code, o.out.String(), o.errout.String()}
}

// fine runs the program, which must succeed in silence, and gives its output.
func fine(t *testing.T, args ...string) string {
	t.Helper()
	r := call(args...)
	if r.code != exitFine || r.errout != "" {
		t.Fatalf("gaitwright %s: status %d, stderr:\n%s", strings.Join(args, " "), r.code, r.errout)
	}
	return r.out
}

// place puts a workfile into a new folder.
func place(t *testing.T, name string, text []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// fault is the example that shows the finding word.
func fault(t *testing.T, word string) string {
	t.Helper()
	text, err := assets.Faults.ReadFile("faults/" + word + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	return place(t, word+".toml", text)
}

// strict decodes JSON that must hold exactly the keys of v, all of them, and
// nothing after it.
func strict(t *testing.T, text string, v any) {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	if d.More() {
		t.Fatalf("more than one value in\n%s", text)
	}
}

// keys checks the keys of a JSON object, in any order.
func keys(t *testing.T, object json.RawMessage, want string) map[string]json.RawMessage {
	t.Helper()
	var m map[string]json.RawMessage
	if err := json.Unmarshal(object, &m); err != nil {
		t.Fatalf("%v in %s", err, object)
	}
	var got []string
	for k := range m {
		got = append(got, k)
	}
	w := strings.Fields(want)
	sort.Strings(got)
	sort.Strings(w)
	if strings.Join(got, " ") != strings.Join(w, " ") {
		t.Fatalf("keys %v, want %v", got, w)
	}
	return m
}

// items takes a JSON array apart; it must not be null.
func items(t *testing.T, array json.RawMessage) []json.RawMessage {
	t.Helper()
	var a []json.RawMessage
	if err := json.Unmarshal(array, &a); err != nil || a == nil {
		t.Fatalf("no array (%v): %s", err, array)
	}
	return a
}

var errNoScreen = errors.New("no screen here")
