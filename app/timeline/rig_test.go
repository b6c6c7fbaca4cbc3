// SPDX-License-Identifier: MIT

package timeline

import (
	"bytes"
	_ "embed" // for the demo
	"image"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// rig is a panel under test.
type rig struct {
	*drive.Tester
	panel Panel
	th    *look.Theme
	doc   *document.Document
	at    document.Place
}

func open(t testing.TB, text []byte, scale float32, size image.Point) *rig {
	t.Helper()
	d, err := document.Open("", "demo", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{th: look.New(false), doc: d}
	r.at.Finding = -1
	r.Tester = drive.For(t, drive.NewScaled(size, scale, func(gtx layout.Context) layout.Dimensions {
		return r.panel.Layout(gtx, r.th, r.doc, &r.at)
	}))
	return r
}

// demo is a copy of the demo as it once was, so that tuning that one changes
// no picture here.
//
//go:embed testdata/drummer.toml
var demo []byte

// faulty is the demo with servos too slow for it.
func faulty(t testing.TB) []byte {
	t.Helper()
	return swap(t, demo, "speed_s_per_60deg = 0.14", "speed_s_per_60deg = 0.30")
}

func swap(t testing.TB, text []byte, old, with string) []byte {
	t.Helper()
	if !bytes.Contains(text, []byte(old)) {
		t.Fatalf("the demo has no %q", old)
	}
	return bytes.Replace(text, []byte(old), []byte(with), 1)
}
