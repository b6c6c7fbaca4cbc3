// SPDX-License-Identifier: MIT

package machine

import (
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

const lf, rf = 0, 3 // RF mirrors LF

// The tibia is dragged by its end: the foot follows the hand along the link,
// the motion is rehearsed meanwhile, and it is one undo step.
func TestDragTibia(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	before := r.file()
	from := r.spot("end of the tibia")
	knee := r.spot("end of the femur")
	along := from.Sub(knee)
	n := float32(math.Hypot(float64(along.X), float64(along.Y)))
	// 15 mm on the drawing's own scale, and as much to the side, which must not
	// count.
	px := float32(r.panel.leg.side.view.Length(0.015))
	to := from.Add(along.Mul(px / n)).Add(f32.Pt(along.Y, -along.X).Mul(px / n))
	r.pointer(pointer.Press, from, pointer.ButtonPrimary)
	serial := r.doc.Serial()
	for i := range 5 {
		r.pointer(pointer.Move, from.Add(to.Sub(from).Mul(float32(i+1)/5)), pointer.ButtonPrimary)
	}
	if !r.doc.Dragging() || r.doc.Serial() < serial+4 || !r.doc.Coarse() {
		t.Errorf("the motion does not follow the hand: %d rehearsals", r.doc.Serial()-serial)
	}
	if got := r.doc.Result().Built.Robot.Legs[rf].Length[kin.Tibia]; math.Abs(got-0.145) > 1e-9 {
		t.Errorf("the mirrored leg's tibia is %v m", got)
	}
	r.pointer(pointer.Release, to, 0)
	r.Settle()
	if got := *r.doc.File().Legs[lf].TibiaLength; got != 145 {
		t.Errorf("tibia %v mm", got)
	}
	if label, ok := r.doc.CanUndo(); !ok || label != "drag the tibia length" {
		t.Errorf("undo %q", label)
	}
	r.doc.Undo()
	r.Settle()
	if r.file() != before {
		t.Error("undo does not give the file back")
	}
	if _, more := r.doc.CanUndo(); more {
		t.Error("a drag is more than one step")
	}
}

// A drag with Shift goes by tenths; Escape takes it back.
func TestDragFineAndBack(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	before := r.file()
	from := r.spot("end of the femur")
	r.pointer(pointer.Press, from, pointer.ButtonPrimary)
	r.Queue(pointer.Event{Kind: pointer.Move, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Modifiers: key.ModShift,
		Position: from.Add(f32.Pt(7.3, -4.1)), Time: r.clock})
	r.Frame()
	v := *r.doc.File().Legs[lf].FemurLength
	if v == 80 || v == math.Round(v) || math.Abs(v*10-math.Round(v*10)) > 1e-9 {
		t.Errorf("femur %v mm", v)
	}
	r.Press(key.NameEscape, 0)
	r.pointer(pointer.Release, from, 0)
	r.Settle()
	if r.file() != before || r.doc.Dragging() {
		t.Error("the drag was not taken back")
	}
}

// Every handle of every drawing moves what it says by one step of the arrow
// keys, is one undo step, and is found by Page Down.
func TestEveryHandle(t *testing.T) {
	for _, page := range [...]int{bodyOf, legOf} {
		r := open(t, loaded(t), page)
		canvases := [...]*canvas{&r.panel.body.above, &r.panel.body.side}
		if page == legOf {
			canvases = [...]*canvas{&r.panel.leg.side, &r.panel.leg.above}
		}
		for _, c := range canvases {
			var seen []string
			for range c.handles {
				before := r.file()
				r.Focus(c)
				r.Press(key.NamePageDown, 0)
				r.Settle()
				h, ok := c.which()
				if !ok {
					t.Fatal("nothing is chosen")
				}
				seen = append(seen, h.name)
				way := key.NameUpArrow
				if h.name == "end of the coxa" || strings.HasPrefix(h.name, "link radius") {
					way = key.NameRightArrow
				}
				r.Press(way, 0)
				r.Settle()
				after := r.file()
				if label, _ := r.doc.CanUndo(); after == before || label != h.what || r.panel.note != "" {
					t.Errorf("%s: changed %v, undo %q, %s", h.name, after != before, label, r.panel.note)
					continue
				}
				r.doc.Undo()
				r.Settle()
				if r.file() != before {
					t.Errorf("%s is more than one step", h.name)
				}
			}
			for i, s := range seen {
				for _, u := range seen[:i] {
					if s == u {
						t.Errorf("%s was chosen twice", s)
					}
				}
			}
		}
	}
}

// loaded is the demo with a payload and with every optional number of a leg.
func loaded(t testing.TB) []byte {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	rate := 20.0 // every handle is a rehearsal
	f.Limits.Rate = &rate
	edit.SetPayload(f, 100)
	f.Robot.PayloadAt = &[3]float64{40, 0, 50}
	for _, key := range [...]string{"vertical_mm", "lateral_mm"} {
		edit.SetLegValue(f, lf, edit.LegNumber{Joint: edit.Whole, Key: key}, 6)
	}
	text, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// A limit is typed on the drawing: the number becomes a field with the keys.
func TestTypeLimitOnDrawing(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	r.ClickAt(r.spot("dimension greatest femur angle"))
	r.Settle()
	r.Type("70")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if got := r.doc.File().Legs[lf].Femur.Range[1]; got != 70 {
		t.Fatalf("greatest femur angle %v", got)
	}
	// The other leg's arc is the same, and the field goes when it is left.
	r.Focus(&r.panel.leg.side)
	r.Settle()
	if r.panel.typed.id != "" {
		t.Error("the field is still open")
	}
	r.doc.Undo()
	if got := r.doc.File().Legs[lf].Femur.Range[1]; got != 95 {
		t.Errorf("greatest femur angle %v", got)
	}
}

// A limit is dragged along its arc: the angle is that of the hand.
func TestDragLimit(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	from := r.spot("end of the arc, least tibia angle")
	axis := r.spot("end of the femur")
	v := from.Sub(axis)
	sin, cos := math.Sincos(-20 * math.Pi / 180) // 20° further up on the paper, y down
	to := axis.Add(f32.Pt(v.X*float32(cos)-v.Y*float32(sin), v.X*float32(sin)+v.Y*float32(cos)))
	r.Drag(from, to, 4)
	r.Settle()
	if got := r.doc.File().Legs[lf].Tibia.Range[0]; math.Abs(got+130) > 2 { // the handle is found to a pixel
		t.Errorf("least tibia angle %v, want about -130", got)
	}
}

// What the reader refuses is not taken, and its sentence shows.
func TestRefused(t *testing.T) {
	r := open(t, assets.Demo, bodyOf)
	before := r.file()
	from := r.spot("corner 1")
	size, centre := r.panel.body.above.size, r.spot("centre of mass")
	r.pointer(pointer.Press, from, pointer.ButtonPrimary)
	r.pointer(pointer.Move, centre.Add(f32.Pt(10, -10)), pointer.ButtonPrimary)
	r.pointer(pointer.Move, centre, pointer.ButtonPrimary)
	r.Frame()
	n := r.MustFind("Not taken")
	if !strings.Contains(n.Desc.Description, "not convex; leave out the corners that lie inside") {
		t.Errorf("%q", n.Desc.Description)
	}
	if _, is := r.panel.body.above.refused(r.doc); !is || r.panel.body.above.size != size {
		t.Error("the drawing does not show it, or the paper moved")
	}
	r.pointer(pointer.Release, centre, 0)
	r.Settle()
	if _, undo := r.doc.CanUndo(); r.file() != before || undo {
		t.Error("something was taken")
	}
	// Typed out of the interval: the field's own sentence; the file stays.
	r.panel.pages.Value = legOf
	r.Settle()
	r.enter("LF tibia length", "0.2")
	if n := r.MustFind("LF tibia length"); n.Desc.Description != "must lie from 1 to 2000 mm" || r.file() != before {
		t.Errorf("%q", n.Desc.Description)
	}
	// Ends of a range that cross: the reader's.
	r.enter("LF coxa length", "46") // takes the refusal away
	r.ClickAt(r.spot("dimension least femur angle"))
	r.Settle()
	r.Type("120")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if n := r.MustFind("Not taken"); !strings.Contains(n.Desc.Description, "the lower end 120 is above the upper end 95; swap them") {
		t.Errorf("%q", n.Desc.Description)
	}
}

// A mirrored leg says so; its edits go to the other one, or it gets a number of
// its own, and gives it back.
func TestMirroredLeg(t *testing.T) {
	r := openAs(t, assets.Demo, legOf, false, image.Pt(484, 900), 1)
	r.at.Choose(r.doc, rf)
	r.Settle()
	r.MustFind("mirrors LF")
	r.enter("RF femur length", "84")
	f := r.doc.File()
	if *f.Legs[lf].FemurLength != 84 || f.Legs[rf].FemurLength != nil {
		t.Errorf("femur %v, own %v", *f.Legs[lf].FemurLength, f.Legs[rf].FemurLength)
	}
	r.Click("Mirrors LF: give it its own femur length")
	r.Settle()
	r.enter("RF femur length", "86")
	if f = r.doc.File(); *f.Legs[lf].FemurLength != 84 || *f.Legs[rf].FemurLength != 86 {
		t.Errorf("femur %v and %v", *f.Legs[lf].FemurLength, *f.Legs[rf].FemurLength)
	}
	r.Click("Its own: mirror the femur length of LF again")
	r.Settle()
	if f = r.doc.File(); f.Legs[rf].FemurLength != nil {
		t.Error("it still has one of its own")
	}
	// An optional number: its default, a value, and by clearing the default.
	if n := r.MustFind("RF lateral offset"); n.Desc.Description != "default" {
		t.Errorf("%q", n.Desc.Description)
	}
	r.enter("RF lateral offset", "5")
	if f = r.doc.File(); f.Legs[lf].Lateral == nil || *f.Legs[lf].Lateral != -5 {
		t.Errorf("lateral offset of the left leg %v", f.Legs[lf].Lateral)
	}
	r.enter("RF lateral offset", "")
	if f = r.doc.File(); f.Legs[lf].Lateral != nil || r.panel.note != "" {
		t.Error("clearing the field does not leave the key out")
	}
}

// What was typed belongs to the leg that it was typed for, whatever is chosen
// when the field is left.
func TestTypedForItsLeg(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	r.Click("LF tibia length")
	r.Press("A", key.ModShortcut)
	r.Type("126")
	r.at.Choose(r.doc, 1)
	r.Click("next leg")
	r.Settle()
	f := r.doc.File()
	if *f.Legs[lf].TibiaLength != 126 || *f.Legs[1].TibiaLength != 130 || *f.Legs[2].TibiaLength != 130 {
		t.Errorf("tibiae %v, %v, %v", *f.Legs[lf].TibiaLength, *f.Legs[1].TibiaLength, *f.Legs[2].TibiaLength)
	}
}

func TestUseForAllLegs(t *testing.T) {
	r := openAs(t, assets.Demo, legOf, false, image.Pt(484, 3000), 1)
	r.enter("LF tibia length", "120")
	r.Click("Use for all legs")
	r.Settle()
	for i, l := range r.doc.Result().Built.Robot.Legs {
		if math.Abs(l.Length[kin.Tibia]-0.12) > 1e-12 {
			t.Errorf("leg %d: %v m", i, l.Length[kin.Tibia])
		}
	}
	r.Click("knee down")
	r.Settle()
	if r.doc.File().Legs[lf].Knee != "down" {
		t.Error("the knee is up")
	}
}

// A leg is added and chosen, taken out again; the least number is told.
func TestNumberOfLegs(t *testing.T) {
	r := openAs(t, assets.Walker, legOf, false, image.Pt(484, 3000), 1)
	before := r.file()
	r.Click("Add")
	r.Settle()
	if n := len(r.doc.File().Legs); n != 5 || r.at.Leg != 4 || r.panel.note != "" {
		t.Fatalf("%d legs, chosen %d, %s", n, r.at.Leg, r.panel.note)
	}
	r.Click("Take out")
	r.Settle()
	if r.file() != before {
		t.Error("the file is not as it was")
	}
	r.Click("Take out")
	r.Settle()
	if r.panel.note != "A robot has at least 4 legs: add another one first." {
		t.Errorf("%q", r.panel.note)
	}
	r.doc.Undo() // the chosen leg is back, and its fields with it
	r.doc.Undo()
	r.Settle()
}

// A servo of a generic class is added, given to all tibiae, typed over,
// renamed; it cannot be deleted while a joint has it.
func TestServo(t *testing.T) {
	r := openAs(t, assets.Demo, servoOf, false, image.Pt(484, 900), 1)
	r.Click("add a servo")
	r.Settle()
	r.Click("standard, metal gear, 25 kgf·cm")
	r.Settle()
	f := r.doc.File()
	s, ok := f.Servos["standard-25"]
	if !ok || s.KgfCm() != 25 || r.panel.servo.name != "standard-25" {
		t.Fatalf("%v, chosen %s", f.Servos, r.panel.servo.name)
	}
	if n := r.MustFind("standard-25 gear efficiency"); n.Desc.Description != "default" {
		t.Errorf("%q", n.Desc.Description)
	}
	r.Click("every tibia")
	r.Settle()
	if n := edit.ServoUses(r.doc.File(), "standard-25"); n != [3]int{0, 0, 6} {
		t.Errorf("used by %v", n)
	}
	r.Click("servo of RM coxa")
	r.Settle()
	if n := edit.ServoUses(r.doc.File(), "standard-25"); n != [3]int{2, 0, 6} { // LM's too, which RM mirrors
		t.Errorf("used by %v", n)
	}
	if err := r.Driver.Click("Delete"); err == nil {
		t.Error("a class in use can be deleted")
	}
	r.Click("N·m")
	r.Settle()
	if s = r.doc.File().Servos["standard-25"]; s.StallKgfCm != nil || math.Abs(*s.StallNm-25*0.0980665) > 1e-6 {
		t.Errorf("%+v", s)
	}
	r.enter("standard-25 stall torque", "2.2")
	r.enter("servo name", "strong")
	if s = r.doc.File().Servos["strong"]; *s.StallNm != 2.2 || r.doc.File().Legs[lf].Tibia.Servo != "strong" {
		t.Errorf("%v", r.doc.File().Servos)
	}
	r.enter("strong stall current", "")
	if s = r.doc.File().Servos["strong"]; s.StallA != nil {
		t.Error("clearing the field does not leave the key out")
	}
	// The name of another class is refused.
	r.enter("servo name", "standard")
	if n := r.MustFind("Not taken"); !strings.Contains(n.Desc.Description, "There is a servo standard already: choose another name.") {
		t.Errorf("%q", n.Desc.Description)
	}
	for {
		if _, more := r.doc.CanUndo(); !more {
			break
		}
		r.doc.Undo()
		r.Settle()
	}
	if len(r.doc.File().Servos) != 1 {
		t.Errorf("after undoing all: %v", r.doc.File().Servos)
	}
}

// A channel that is taken is asked about; the two are exchanged, or it stays.
func TestChannelConflict(t *testing.T) {
	r := openAs(t, assets.Demo, channelOf, false, image.Pt(484, 1600), 1)
	before := r.file()
	r.enter("channel of LF coxa", "4")
	if r.file() != before {
		t.Fatal("a channel of two joints was taken")
	}
	r.MustFind("Channel 4 is used by LM femur already; each servo has a channel of its own.")
	r.Click("Leave it")
	r.Settle()
	r.MustMiss("Exchange the two")
	r.enter("channel of LF coxa", "4")
	r.Click("Exchange the two")
	r.Settle()
	f := r.doc.File()
	if *f.Legs[lf].Coxa.Channel != 4 || *f.Legs[1].Femur.Channel != 0 {
		t.Errorf("channels %d and %d", *f.Legs[lf].Coxa.Channel, *f.Legs[1].Femur.Channel)
	}
	r.enter("channel of LF coxa", "4.5")
	r.MustFind("Not taken: 4.5 is no channel; give a whole number")
	r.enter("channel of LF coxa", "")
	r.MustFind("No channel: a table for the firmware cannot be written.")
	r.Click("Number in order")
	r.Settle()
	if r.file() != before {
		t.Error("the demo's channels are in order")
	}
	r.enter("µs per degree of LF coxa", "0")
	r.MustFind("µs per degree of LF coxa: must lie from 0.1 to 1000")
	r.enter("trim of LF coxa", "12")
	if got := r.doc.File().Legs[lf].Coxa.Trim; got == nil || *got != 12 {
		t.Errorf("trim %v", got)
	}
	r.enter("trim of LF coxa", "120") // the reader's own sentence, at the row
	if s := r.panel.note; !strings.Contains(s, "the servo's middle lies at 2700 us, outside its pulse widths 500 to 2500") {
		t.Errorf("%q", s)
	}
	r.MustFind("Not taken: " + r.panel.note)
	r.Click("turn RF femur")
	r.Settle()
	if v := r.doc.File().Legs[rf].Femur.Reversed; v != nil {
		t.Errorf("RF femur is still reversed")
	}
}

// The body's numbers: mass, payload with its default nothing, inertia.
func TestBody(t *testing.T) {
	r := openAs(t, assets.Demo, bodyOf, false, image.Pt(484, 2000), 1)
	r.enter("body mass", "1000")
	r.enter("payload mass", "150")
	r.enter("height of the payload", "30")
	r.enter("gravity", "1.62")
	f := r.doc.File()
	if f.Robot.BodyMass != 1000 || *f.Robot.Payload != 150 || f.Robot.PayloadSize[2] != 30 || *f.Robot.Gravity != 1.62 {
		t.Errorf("%+v", f.Robot)
	}
	r.enter("payload mass", "")
	r.enter("gravity", "")
	if f = r.doc.File(); f.Robot.Payload != nil || f.Robot.PayloadSize != nil || f.Robot.Gravity != nil {
		t.Errorf("%+v", f.Robot)
	}
	r.Click("Give numbers")
	r.Settle()
	r.enter("xx of the inertia of the body", "2000")
	if f = r.doc.File(); f.Robot.BodyInertia == nil || f.Robot.BodyInertia[0] != 2000 || r.panel.note != "" {
		t.Errorf("%v %s", f.Robot.BodyInertia, r.panel.note)
	}
	r.Click("Estimate")
	r.Settle()
	r.enter("robot name", "drummer")
	if f = r.doc.File(); f.Robot.BodyInertia != nil || f.Robot.Name != "drummer" {
		t.Errorf("%v %s", f.Robot.BodyInertia, f.Robot.Name)
	}
}

// Corners are added, taken out and mirrored; a mount's mirror partner follows.
func TestOutlineAndMounts(t *testing.T) {
	r := openAs(t, assets.Demo, bodyOf, false, image.Pt(484, 900), 1)
	before := r.file()
	r.ClickAt(r.spot("corner 8"))
	r.Settle()
	r.Click("Add")
	r.Settle()
	if n := len(r.doc.File().Robot.Outline); n != 9 || r.panel.body.above.chosen != "corner 9" {
		t.Fatalf("%d corners, chosen %s", n, r.panel.body.above.chosen)
	}
	r.enter("x of corner 9", "130")
	r.enter("y of corner 9", "10")
	r.Click("Mirror the left half")
	r.Settle()
	o := r.doc.File().Robot.Outline
	if len(o) != 10 || workfile.OutlineFault(o) != "" {
		t.Errorf("%v", o)
	}
	for range 4 {
		r.doc.Undo()
	}
	r.Settle()
	if r.file() != before {
		t.Error("four steps do not undo it")
	}
	from := r.spot("mount of RF")
	r.Drag(from, from.Add(f32.Pt(0, 6)), 3)
	r.Settle()
	l := r.doc.Result().Built.Robot.Legs
	if a, b := l[lf].PBH, l[rf].PBH; a.Y != -b.Y || a.Y <= 0.055 || a.X != b.X || r.doc.File().Legs[rf].Mount != nil || r.at.Leg != rf {
		t.Errorf("mounts %v and %v, leg %d", a, b, r.at.Leg)
	}
}

// Fields keep the keys of letters and arrows to themselves, and the panel
// takes what was typed also when it goes away at once.
func TestTyping(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	r.Click("LF tibia length")
	r.Press("A", key.ModShortcut)
	r.Type("121")
	if !r.typing {
		t.Error("the panel does not say that a field has the keys")
	}
	r.Focus(&r.panel.leg.side)
	r.Settle()
	if r.typing || *r.doc.File().Legs[lf].TibiaLength != 121 {
		t.Error("leaving the field does not take the number")
	}
}

// What was typed counts also when the panel goes away in the same moment.
func TestGoesAway(t *testing.T) {
	r := openAs(t, assets.Demo, legOf, false, image.Pt(484, 900), 1)
	r.Click("LF tibia length")
	r.Press("A", key.ModShortcut)
	r.Type("121")
	r.away = true
	r.Focus(nil)
	r.Settle()
	if got := *r.doc.File().Legs[lf].TibiaLength; got != 121 {
		t.Errorf("tibia %v", got)
	}
}

// Two measured points take the place of centre, slope, direction and trim, with
// the same pulses, and give it back.
func TestMeasuredPoints(t *testing.T) {
	r := openAs(t, assets.Demo, channelOf, false, image.Pt(484, 1700), 1)
	r.Click("more about LF tibia")
	r.Settle()
	pulses := func() (a, b float64) {
		c := r.doc.Result().Built.Channels
		return c[lf][kin.Tibia].Pulse(-1), c[rf][kin.Tibia].Pulse(-1)
	}
	a, b := pulses()
	r.Click("Calibrate by two measured points")
	r.Settle()
	if c, e := pulses(); math.Abs(c-a) > 1 || math.Abs(e-b) > 1e-9 || !edit.Measured(&r.doc.File().Legs[lf].Tibia) {
		t.Errorf("pulses %v and %v, want %v and %v, %s", c, e, a, b, r.panel.note)
	}
	r.enter("second measured pulse of LF tibia", "2700")
	r.enter("dead band of LF tibia", "4")
	if q := r.doc.File().Legs[lf].Tibia; q.AtUs[1] != 2700 || *q.DeadBand != 4 {
		t.Errorf("%+v", q)
	}
	a, b = pulses()
	r.Click("Calibrate by centre and µs per degree")
	r.Settle()
	if c, e := pulses(); math.Abs(c-a) > 1e-9 || math.Abs(e-b) > 1e-9 || edit.Measured(&r.doc.File().Legs[lf].Tibia) {
		t.Errorf("pulses %v and %v, want %v and %v, %s", c, e, a, b, r.panel.note)
	}
}

// A double click shows one drawing alone, another one both.
func TestAlone(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	n := r.MustFind("leg from the side").Desc.Bounds
	corner := f32.Pt(float32(n.Max.X)-20, float32(n.Max.Y)-12)
	r.DoubleClickAt(corner)
	r.Settle()
	r.MustMiss("leg from above")
	r.Focus(&r.panel.leg.side)
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.MustFind("leg from above")
}
