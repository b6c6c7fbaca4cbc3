// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// standing gives what the scales show under the feet of a robot that carries
// the given weight at x, y (kg, m): the least-norm shares, by the closed form
// for any layout that solves the three equations of balance.
func standing(t *testing.T, f *workfile.File, kg, x, y float64) []string {
	t.Helper()
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	// Normal equations of f_i = a + b x_i + c y_i, solved by Cramer's rule.
	var n, sx, sy, sxx, sxy, syy float64
	for i := range b.Robot.Legs {
		p := b.Robot.Legs[i].Stand
		n, sx, sy = n+1, sx+p.X, sy+p.Y
		sxx, sxy, syy = sxx+p.X*p.X, sxy+p.X*p.Y, syy+p.Y*p.Y
	}
	det := func(a, b, c, d, e, f, g, h, i float64) float64 {
		return a*(e*i-f*h) - b*(d*i-f*g) + c*(d*h-e*g)
	}
	d := det(n, sx, sy, sx, sxx, sxy, sy, sxy, syy)
	ca := det(kg, sx, sy, kg*x, sxx, sxy, kg*y, sxy, syy) / d
	cb := det(n, kg, sy, sx, kg*x, sxy, sy, kg*y, syy) / d
	cc := det(n, sx, kg, sx, sxx, kg*x, sy, sxy, kg*y) / d
	var out []string
	for i := range b.Robot.Legs {
		p := b.Robot.Legs[i].Stand
		out = append(out, fmt.Sprintf("%s=%.6f", b.Robot.Legs[i].Name, (ca+cb*p.X+cc*p.Y)*1000))
	}
	return out
}

// weight is what a robot weighs as described, kg.
func weight(t *testing.T, path string) float64 {
	t.Helper()
	var d struct {
		Robot struct {
			Mass float64 `json:"mass_kg"`
		} `json:"robot"`
	}
	if err := json.Unmarshal([]byte(fine(t, "describe", path)), &d); err != nil || d.Robot.Mass <= 0 {
		t.Fatalf("%v: %v kg", err, d.Robot.Mass)
	}
	return d.Robot.Mass
}

// weighing makes the arguments.
func weighing(path string, scales []string, more ...string) []string {
	args := []string{"weigh", path}
	for _, s := range scales {
		args = append(args, "--scale", s)
	}
	return append(args, more...)
}

// The trace gives the centre of mass of everything where the robot stands;
// scales that agree with it give the body back that the file has, and one that
// is heavier gives another body. Comments stay.
func TestWeigh(t *testing.T) {
	text := bytes.Replace(assets.Demo, []byte("body_mass_g = "), []byte("# from the kitchen\nbody_mass_g = "), 1)
	path := place(t, "w.toml", text)
	f, err := workfile.Read("w", text)
	if err != nil {
		t.Fatal(err)
	}
	kg := weight(t, path)
	tr := read(t, fine(t, "trace", path, "--rate", "20"))
	x, y := tr.num(t, 0, "com_x_m"), tr.num(t, 0, "com_y_m")
	out := fine(t, weighing(path, standing(t, f, kg, x, y), "--only-tell")...)
	same := fmt.Sprintf("now    body_mass_g = %v, body_centre_mm = [%v, %v, %v]", f.Robot.BodyMass, f.Robot.BodyCentre[0], f.Robot.BodyCentre[1], f.Robot.BodyCentre[2])
	for _, s := range []string{same, strings.Replace(same, "now   ", "before", 1), "total ", "links ", "servos ", "5 g off", "stays as it is"} {
		if !strings.Contains(out, s) {
			t.Errorf("not told %q:\n%s", s, out)
		}
	}
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, text) {
		t.Errorf("%v: the file was touched", err)
	}

	// 100 g more, screwed on 50 mm ahead of the centre of everything.
	const more = 0.1
	m := kg + more
	out = fine(t, weighing(path, standing(t, f, m, x+0.05*more/m, y))...)
	now, err := os.ReadFile(path)
	if err != nil || !bytes.Contains(now, []byte("# from the kitchen\n")) || !strings.Contains(out, path+" is written.") {
		t.Errorf("%v: comments lost, or not told:\n%s", err, out)
	}
	got, err := workfile.Read("w", now)
	if err != nil {
		t.Fatal(err)
	}
	body := f.Robot.BodyMass + 1000*more
	want := (f.Robot.BodyMass*f.Robot.BodyCentre[0] + 1000*more*(x*1000+50)) / body
	if math.Abs(got.Robot.BodyMass-body) > 0.051 || math.Abs(got.Robot.BodyCentre[0]-want) > 0.051 || got.Robot.BodyCentre[2] != f.Robot.BodyCentre[2] {
		t.Errorf("wrote %v g at %v, want %v g at x %v", got.Robot.BodyMass, got.Robot.BodyCentre, body, want)
	}
	got.Robot.BodyMass, got.Robot.BodyCentre = f.Robot.BodyMass, f.Robot.BodyCentre
	if !got.Equal(f) {
		t.Error("something else was changed too")
	}
}

// On a board with the nose down by 10 degrees the weight's line of action is
// moved forward by the height times the tangent, and the scales show the
// cosine of it all.
func TestWeighTilted(t *testing.T) {
	path := place(t, "w.toml", assets.Demo)
	f, err := workfile.Read("w", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	kg := weight(t, path)
	tr := read(t, fine(t, "trace", path, "--rate", "20"))
	c := tr.vec(t, 0, "com")
	x, y, z := c[0], c[1], c[2]
	const a = 10 * math.Pi / 180
	args := weighing(path, standing(t, f, kg, x, y), "--tilt-pitch", "10", "--only-tell")
	for _, s := range standing(t, f, kg*math.Cos(a), x+z*math.Tan(a), y) {
		args = append(args, "--tilted", s)
	}
	out := fine(t, args...)
	at := f.Robot.BodyCentre
	if s := fmt.Sprintf("now    body_mass_g = %v, body_centre_mm = [%v, %v, %v]", f.Robot.BodyMass, at[0], at[1], at[2]); !strings.Contains(out, s) {
		t.Errorf("not told %q:\n%s", s, out)
	}
	if strings.Contains(out, "cannot tell the height") || !strings.Contains(out, "mm in z") {
		t.Errorf("told\n%s", out)
	}
}

func TestWeighUnusable(t *testing.T) {
	path := place(t, "w.toml", assets.Demo)
	all := []string{"LF=400", "LM=400", "LR=400", "RF=400", "RM=400", "RR=400"}
	with := func(i int, s string) []string {
		c := append([]string(nil), all...)
		c[i] = s
		return c
	}
	tilted := func(args []string) []string {
		for _, s := range all {
			args = append(args, "--tilted", s)
		}
		return args
	}
	for _, c := range []struct {
		args []string
		says []string
	}{
		{[]string{"weigh"}, []string{"--scale=LEG=GRAMS"}},
		{[]string{"weigh", path}, []string{"--scale", "LEG=GRAMS"}},
		{weighing(path, all[:4]), []string{path + ": --scale: no reading for RM and RR"}},
		{weighing(path, with(2, "XX=400")), []string{path + ": --scale XX: there is no such leg", "LF, LM, LR, RF, RM and RR"}},
		{weighing(path, with(2, "LF=400")), []string{"--scale LF", "twice"}},
		{weighing(path, with(2, "LR=-3")), []string{"--scale LR", "negative"}},
		{weighing(path, with(2, "LR=NaN")), []string{"--scale LR", "not a number"}},
		{weighing(path, with(2, "LR=4e9")), []string{"--scale LR", "give grams"}},
		{weighing(path, with(2, "LR=heavy")), []string{"--scale", "LR=heavy", "in grams"}},
		{weighing(path, with(2, "LR")), []string{"--scale", "LF=412"}},
		{weighing(path, with(2, "=400")), []string{"--scale", "LF=412"}},
		{weighing(path, []string{"LF=40", "LM=40", "LR=40", "RF=40", "RM=40", "RR=40"}), []string{"240 g", "links weigh", "servos"}},
		{weighing(path, all, "--tilt-pitch", "10"), []string{"--tilted LEG=GRAMS"}},
		{tilted(weighing(path, all)), []string{"--tilt-pitch or --tilt-roll"}},
		{tilted(weighing(path, all, "--tilt-roll=-1")), []string{"--tilted: a tilt of 1°"}},
		{tilted(weighing(path, all, "--tilt-roll", "20")), []string{"--tilted: the readings add up to 2400 g", "2255.3 g"}},
		{tilted(weighing(path, all, "--tilt-roll", "NaN")), []string{"no number", "3° to 30°"}},
		{weighing(path+".none", all), []string{path + ".none"}},
	} {
		r := call(c.args...)
		if r.code != exitUnable || r.out != "" {
			t.Errorf("%v: status %d, stdout %q", c.args, r.code, r.out)
		}
		for _, s := range c.says {
			if !strings.Contains(r.errout, s) {
				t.Errorf("%v: stderr does not say %q:\n%s", c.args, s, r.errout)
			}
		}
	}
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, assets.Demo) {
		t.Errorf("%v: the file was touched", err)
	}
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	if r := call(weighing(path, all)...); r.code != exitUnable || !strings.Contains(r.errout, "read-only") {
		t.Errorf("a file that may not be written: status %d: %s", r.code, r.errout)
	}
}

func TestWeighHelp(t *testing.T) {
	out := fine(t, "weigh", "--help")
	for _, s := range []string{"--scale=LEG=GRAMS", "--tilt-pitch", "--only-tell", "hands clear"} {
		if !strings.Contains(out, s) {
			t.Errorf("no word of %q:\n%s", s, out)
		}
	}
}
