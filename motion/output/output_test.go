// SPDX-License-Identifier: MIT

package output_test

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/output"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

func read(t *testing.T, text []byte) *workfile.File {
	t.Helper()
	f, err := workfile.Read("test.toml", text)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestPose: at the samples the pulses are those of the README's formula, in
// degrees and by hand; between them they lie in between.
func TestPose(t *testing.T) {
	r, err := rehearsal.Run(read(t, assets.Walker), rehearsal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines, err := output.Lines(r.Built)
	if err != nil {
		t.Fatal(err)
	}
	tr := r.Trajectory
	for n, l := range lines {
		if l.Number != n {
			t.Fatalf("line %d has channel %d", n, l.Number)
		}
	}
	var us []float64
	for k := 0; k < tr.N; k += 97 {
		us = output.Pose(us, lines, tr, tr.Time(k))
		for n, l := range lines {
			q := tr.JointsAt(k, l.Leg)[l.Joint] * 180 / math.Pi
			centre, offset, sign := 1500., 0., 1.
			right := l.Leg >= 2 // RF, RR: reversed femur and tibia
			if l.Joint == kin.Tibia {
				centre, offset = 2080, 60
				if right {
					centre = 920
				}
			}
			if right && l.Joint != kin.Coxa {
				sign = -1
			}
			if want := centre + 10*sign*(q+offset); math.Abs(us[n]-want) > 1e-9 {
				t.Fatalf("%s at %v s: %v us, want %v", l.Name, tr.Time(k), us[n], want)
			}
		}
	}
	a, b := output.Pose(nil, lines, tr, tr.Time(700)), output.Pose(nil, lines, tr, tr.Time(701))
	for n, v := range output.Pose(nil, lines, tr, (tr.Time(700)+tr.Time(701))/2) {
		if math.Abs(v-(a[n]+b[n])/2) > 1e-9 {
			t.Errorf("channel %d: %v between %v and %v", n, v, a[n], b[n])
		}
	}
	for _, s := range []float64{-1, 1e9} { // before and after it stands at the ends
		for n, v := range output.Pose(nil, lines, tr, s) {
			if v-v != 0 {
				t.Errorf("channel %d at %v s: %v", n, s, v)
			}
		}
	}
}

func TestMissingChannel(t *testing.T) {
	f := read(t, assets.Walker)
	f.Legs[1].Femur.Channel = nil
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := output.Lines(b); !errors.Is(err, output.ErrChannel) || !strings.Contains(err.Error(), "LR femur") {
		t.Error(err)
	}
}

// TestSheet holds rows worked out by hand from the walker's file.
func TestSheet(t *testing.T) {
	b, err := read(t, assets.Walker).Build()
	if err != nil {
		t.Fatal(err)
	}
	s, err := output.NewSheet(b)
	if err != nil {
		t.Fatal(err)
	}
	var text, page bytes.Buffer
	if err := errors.Join(s.Text(&text), s.HTML(&page)); err != nil {
		t.Fatal(err)
	}
	row := func(name string) string {
		for _, l := range strings.Split(text.String(), "\n") {
			if strings.Contains(l, name) {
				return strings.Join(strings.Fields(l), " ")
			}
		}
		return ""
	}
	for name, want := range map[string]string{
		"LF coxa":  "0 LF coxa counter-clockwise 1050 1200 1500 1800 1950 500 to 2500",
		"LF tibia": "2 LF tibia up 2230 2380 past servo past travel past travel 500 to 2500",
		"RF femur": "7 RF femur down 1950 1800 1500 1200 1050 500 to 2500",
	} {
		if got := row(name); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if n := strings.Count(page.String(), "<tr>"); n != 13 || !strings.Contains(page.String(), "hands, hair and face") {
		t.Errorf("%d rows of the page", n)
	}
}
