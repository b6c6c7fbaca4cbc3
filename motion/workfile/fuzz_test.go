// SPDX-License-Identifier: MIT

package workfile

import (
	"bytes"
	"errors"
	"io/fs"
	"strings"
	"testing"

	"gaitwright/assets"
)

// FuzzRead: no text makes Read panic; problems have a place inside the text
// and fit one line; what is read can be built, written and read again as the
// same, and writing that gives the same text.
func FuzzRead(f *testing.F) {
	f.Add([]byte(base))
	f.Add([]byte(loaded(f)))
	for _, b := range [][]byte{assets.New, assets.Demo, assets.Walker} {
		f.Add(b)
	}
	err := fs.WalkDir(assets.Faults, ".", func(p string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			var b []byte
			if b, err = assets.Faults.ReadFile(p); err == nil {
				f.Add(b)
			}
		}
		return err
	})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		kept := bytes.Clone(src)
		file, err := Read("f.toml", src)
		if !bytes.Equal(src, kept) {
			t.Fatal("Read changed its input")
		}
		if err != nil {
			var ps Problems
			if file != nil || !errors.As(err, &ps) || len(ps) == 0 {
				t.Fatalf("Read gave %v, %v", file, err)
			}
			lines := bytes.Split(src, []byte("\n"))
			for _, p := range ps {
				if p.Line < 1 || p.Line > len(lines) || p.Col < 1 || p.Col > len(lines[p.Line-1])+2 {
					t.Errorf("%v: outside the text", p)
				}
				if strings.ContainsAny(p.Error(), "\n\r") || p.Text == "" {
					t.Errorf("%q: not one line", p.Error())
				}
			}
			return
		}
		b, err := file.Build()
		if err != nil {
			t.Fatalf("Build: %v", err)
		}
		if err := b.Robot.Check(); err != nil {
			t.Fatalf("Build gave a robot that cannot be computed with: %v", err)
		}
		text, err := file.Encode()
		if err != nil {
			t.Fatalf("Encode: %v", err)
		}
		again, err := Read("again.toml", text)
		if err != nil {
			t.Fatalf("Read of what Encode wrote: %v\n%s", err, text)
		}
		if twice, err := again.Encode(); err != nil || !bytes.Equal(twice, text) {
			t.Fatalf("%v: Encode gave\n%s\nthen\n%s", err, text, twice)
		}
		with, err := file.EncodeKeeping(src)
		if err != nil {
			t.Fatalf("EncodeKeeping: %v", err)
		}
		if kept, err := Read("kept.toml", with); err != nil || !kept.Equal(again) {
			t.Fatalf("Read of what EncodeKeeping wrote: %v\n%s", err, with)
		}
		if twice, err := again.EncodeKeeping(with); err != nil || !bytes.Equal(twice, with) {
			t.Fatalf("%v: EncodeKeeping gave\n%s\nthen\n%s", err, with, twice)
		}
	})
}
