// SPDX-License-Identifier: MIT

package edit_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// file reads one of the program's own workfiles.
func file(t testing.TB, text []byte) *workfile.File {
	t.Helper()
	f, err := workfile.Read("test", text)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// reads fails unless the file can be written and read again as it is.
func reads(t testing.TB, f *workfile.File) {
	t.Helper()
	text, err := f.Encode()
	if err != nil {
		t.Fatalf("does not encode: %v", err)
	}
	g, err := workfile.Read("test", text)
	if err != nil {
		t.Fatalf("does not read again: %v\n%s", err, text)
	}
	again, err := g.Encode()
	if err != nil || string(again) != string(text) {
		t.Fatalf("reads as something else: %v", err)
	}
}

// plays fails unless the file can be rehearsed; it gives the plan.
func plays(t testing.TB, f *workfile.File) *rehearsal.Rehearsal {
	t.Helper()
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: 50})
	if err != nil {
		t.Fatalf("does not play: %v", err)
	}
	return r
}

func planned(t testing.TB, f *workfile.File) *motion.Plan {
	t.Helper()
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	p, err := sequence.Plan(&b.Script)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// apart compares two plans of the same length: the greatest distance of any
// foot or of the body at the same instant, mm, and of the body's angles,
// degrees.
func apart(t testing.TB, a, b *motion.Plan) (mm, deg float64) {
	t.Helper()
	if math.Abs(a.Duration-b.Duration) > 1e-9 {
		t.Fatalf("last %v and %v s", a.Duration, b.Duration)
	}
	n := int(a.Duration * 250)
	for k := range n {
		at := a.Duration * (float64(k) + 0.5) / float64(n)
		xa, ra := a.BodyAt(at).Pose(at)
		xb, rb := b.BodyAt(at).Pose(at)
		mm = max(mm, r3.Norm(r3.Sub(xa.P, xb.P))*1e3)
		deg = max(deg, r3.Norm(r3.Sub(ra, rb))*180/math.Pi)
		for leg := range a.Feet {
			p, q := a.FootAt(leg, at).At(at, &xa), b.FootAt(leg, at).At(at, &xb)
			mm = max(mm, r3.Norm(r3.Sub(p, q))*1e3)
		}
	}
	return mm, deg
}

// refused fails unless err is a sentence with the words, and the file is as it
// was.
func refused(t testing.TB, err error, f, was *workfile.File, words string) {
	t.Helper()
	if err == nil {
		t.Fatalf("not refused: want %q", words)
	}
	if !strings.Contains(edit.Words(err), words) {
		t.Errorf("says %q, want %q in it", edit.Words(err), words)
	}
	if !f.Equal(was) {
		t.Error("refused, and yet the file changed")
	}
}

// demo is the drummer: a mirrored pair of feet and the body.
func demo(t testing.TB) *workfile.File { return file(t, assets.Demo) }

// walker is the four-legged one: one foot, and the body.
func walker(t testing.TB) *workfile.File { return file(t, assets.Walker) }

func ptr(v float64) *float64 { return &v }
