// SPDX-License-Identifier: MIT

package weigh

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// rig is a form over a document, without a window about it.
type rig struct {
	*drive.Tester
	form   Form
	card   control.Modal
	doc    *document.Document
	answer Answer
}

func open(t *testing.T, text []byte) *rig {
	t.Helper()
	d, err := document.Open("", "test", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{doc: d}
	th := look.New(true)
	r.card.Open(r.form.Open(d))
	r.Tester = drive.For(t, drive.New(image.Pt(900, 760), func(gtx layout.Context) layout.Dimensions {
		if a := r.form.Layout(gtx, th, &r.card, d); a != Open {
			r.answer = a
		}
		return layout.Dimensions{Size: gtx.Constraints.Max}
	}))
	r.Settle()
	return r
}

func (r *rig) says() string {
	var b strings.Builder
	for _, n := range r.Nodes() {
		b.WriteString(n.Desc.Label + "\n" + n.Desc.Description + "\n")
	}
	return b.String()
}

// fill types a reading into every field of a row.
func (r *rig) fill(row string, grams ...float64) {
	for i, g := range grams {
		r.Click(row + r.doc.Result().Built.Robot.Legs[i].Name)
		r.Type(fmt.Sprint(g))
	}
	r.Press(key.NameReturn, 0)
	r.Settle()
}

func (r *rig) expect(words ...string) {
	r.T.Helper()
	all := r.says()
	for _, w := range words {
		if !strings.Contains(all, w) {
			r.T.Errorf("not said: %q in\n%s", w, all)
		}
	}
}

func (r *rig) writable() bool { return !r.MustFind("Write mass and centre").Desc.Disabled }

// Readings come one by one: the sum runs along, and says what is missing.
func TestRunningSum(t *testing.T) {
	r := open(t, assets.Demo)
	if r.writable() {
		t.Error("writes without a reading")
	}
	r.fill("scale under ", 400, 401)
	r.expect("All together 801 g on 2 of 6 legs", "No reading for LR, RF, RM and RR")
	r.fill("scale under ", 400, 401, 402, 403, 404, 405)
	r.expect("All together 2415 g, less links 516 g and servos 1044 g", "Body 855 g", "The workfile has 940 g at x 2.0  y 0.0  z 4.0 mm")
	if !r.writable() {
		t.Error("does not write")
	}
	if r.answer != Open {
		t.Errorf("answered %v", r.answer)
	}
	before := r.doc.File()
	r.Click("Cancel")
	if r.answer != Left || r.doc.File() != before {
		t.Errorf("Cancel answered %v", r.answer)
	}
}

// A refusal stands in the form, and nothing can be written while it does.
func TestRefusals(t *testing.T) {
	r := open(t, assets.Demo)
	r.fill("scale under ", 20, 20, 20, 20, 20, 20)
	r.expect("which leaves -1440 g for the body", "links weigh 516 g")
	if r.writable() {
		t.Error("writes a body of less than nothing")
	}
	r.fill("scale under ", 400, 400, 400, 400, 400, -5)
	r.expect("must lie from 0 to 100000 g", "Leg RR: must lie from 0 to 100000 g")
	r.fill("scale under ", 400, 400, 400, 400, 400, 400)
	if !r.writable() {
		t.Error("does not write what was mended")
	}
	r.Click("weighed once more on a tilted board, for the height of the centre")
	r.Settle()
	r.expect("Tilted weighing: no reading for LF")
	r.fill("tilted scale under ", 400, 400, 400, 400, 400, 400)
	r.expect("Tilted weighing: the readings add up to 2400 g", "2363.5 g", "lies level")
	if r.writable() {
		t.Error("writes what cannot be")
	}
	r.Click("tilt of the board")
	r.Type("1")
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.expect("3° to 30°")
}

// With the nose down the load moves to the front legs by the height times the
// tangent; the form writes the height too.
func TestTiltedWrites(t *testing.T) {
	r := open(t, assets.Demo)
	b := r.doc.Result().Built
	// Feet in mirrored pairs that carry F(1/n + (s-m)(x_i-m)/Σ(x_i-m)²), m the
	// mean of x, have their centre of pressure at s.
	m, sxx, n := 0.0, 0.0, float64(len(b.Robot.Legs))
	for _, l := range b.Robot.Legs {
		m += l.Stand.X / n
	}
	for _, l := range b.Robot.Legs {
		sxx += (l.Stand.X - m) * (l.Stand.X - m)
	}
	share := func(total, s float64) (out []float64) {
		for _, l := range b.Robot.Legs {
			out = append(out, math.Round(1e4*total*(1/n+(s-m)*(l.Stand.X-m)/sxx))/1e4)
		}
		return out
	}
	const tilt = 10 * math.Pi / 180
	const h = 0.1
	r.fill("scale under ", share(2500, 0)...)
	r.Click("weighed once more on a tilted board, for the height of the centre")
	r.Settle()
	r.fill("tilted scale under ", share(2500*math.Cos(tilt), h*math.Tan(tilt))...)
	r.expect("mm in z", "one degree")
	r.Click("Write mass and centre")
	r.Settle()
	if r.answer != Written {
		t.Fatalf("answered %v:\n%s", r.answer, r.says())
	}
	// The whole is 100 mm over the ground; the trace knows the same from the
	// file that was written.
	tr := r.doc.Result().Trajectory
	if z := tr.COM[2]; math.Abs(z-h) > 0.0001 {
		t.Errorf("everything is %v m over the ground, want %v", z, h)
	}
	if x, y := tr.COM[0], tr.COM[1]; math.Hypot(x, y) > 0.0001 {
		t.Errorf("everything is at %v %v m, want the middle", x, y)
	}
}

// What was typed stays for a robot with the same legs only.
func TestOpenAgain(t *testing.T) {
	r := open(t, assets.Demo)
	r.fill("scale under ", 400)
	r.form.Open(r.doc)
	if given, _, _ := r.form.typed(r.form.level); len(given) != 1 {
		t.Errorf("%d readings are left", len(given))
	}
	err := r.doc.Change("rename", func(f *workfile.File) {
		text, err := f.Encode()
		if err != nil {
			t.Fatal(err)
		}
		g, err := workfile.Read("renamed", []byte(strings.ReplaceAll(string(text), `"LF"`, `"A"`)))
		if err != nil {
			g, err = workfile.Read("walker", assets.Walker)
			if err != nil {
				t.Fatal(err)
			}
		}
		*f = *g
	})
	if err != nil {
		t.Fatal(err)
	}
	r.form.Open(r.doc)
	if given, _, _ := r.form.typed(r.form.level); len(given) != 0 {
		t.Errorf("%d readings of another robot", len(given))
	}
}
