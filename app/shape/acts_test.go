// SPDX-License-Identifier: MIT

package shape

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// desk is the panel alone, in a room as it has it in the window.
type desk struct {
	*drive.Tester
	panel Panel
	th    *look.Theme
	doc   *document.Document
	at    document.Place
}

// The panel's room in a window of 1280 x 800 and of 1024 x 700 dp.
var (
	usualRoom = image.Pt(484, 346)
	smallRoom = image.Pt(389, 316)
)

func newDesk(t testing.TB, text []byte, room image.Point, scale float32) *desk {
	t.Helper()
	d, err := document.Open("", "test", text)
	if err != nil {
		t.Fatal(err)
	}
	k := &desk{th: look.New(true), doc: d}
	k.at = document.Place{Finding: -1, Speed: 1}
	k.at.Tidy(d)
	size := image.Pt(int(float32(room.X)*scale), int(float32(room.Y)*scale))
	k.Tester = drive.For(t, drive.NewScaled(size, scale, func(gtx layout.Context) layout.Dimensions {
		k.at.Tidy(k.doc)
		return k.panel.Layout(gtx, k.th, k.doc, &k.at)
	}))
	k.Settle()
	return k
}

func (k *desk) move() *workfile.Move { return &k.doc.File().Moves[k.at.Move] }

// to goes to a span of a track, at an instant of the move, ms.
func (k *desk) to(track, span int, ms float64) {
	k.T.Helper()
	k.panel.toTrack(k.doc, &k.at, track)
	k.at.Span = span
	part, ok := k.at.MovePart(k.doc)
	if !ok {
		k.T.Fatalf("the move is not played")
	}
	k.at.Time = part.From + ms/1000/part.Speed
	k.Settle()
}

func (k *desk) push(label string) {
	k.T.Helper()
	k.Click(label)
	k.Settle()
}

// text is the workfile as it stands.
func (k *desk) text() string {
	k.T.Helper()
	b, err := k.doc.File().Encode()
	if err != nil {
		k.T.Fatalf("%v", err)
	}
	return string(b)
}

// once fails unless the last act was one undo step of that name, and takes it
// back.
func (k *desk) once(label, before string) {
	k.T.Helper()
	if got, _ := k.doc.CanUndo(); got != label {
		k.T.Errorf("the step is called %q, want %q (%s)", got, label, k.panel.acts.said.text)
	}
	k.doc.Undo()
	k.Settle()
	if k.text() != before {
		k.T.Errorf("one undo does not take %q back", label)
	}
}

func (k *desk) says(words string) {
	k.T.Helper()
	if !strings.Contains(k.panel.acts.said.text, words) {
		k.T.Errorf("says %q, want %q", k.panel.acts.said.text, words)
	}
	if words != "" {
		k.MustFind(k.panel.acts.said.text)
	}
}

const hit = 2 // span in which the drummer strikes for the first time

func TestSplitAndJoinInTheWindow(t *testing.T) {
	k := newDesk(t, assets.Demo, usualRoom, 1)
	k.to(0, hit, 1600)
	before := k.text()
	k.push("split this span at the present time")
	m := k.move()
	if len(m.Feet[0].Spans) != 9 || len(m.Marks) != 9 || m.Marks[2].At != 1600 || k.at.Span != hit {
		t.Fatalf("%d spans, marks %+v, at span %d", len(m.Feet[0].Spans), m.Marks, k.at.Span)
	}
	k.says("")
	k.push("join this span with the next")
	if m = k.move(); len(m.Feet[0].Spans) != 8 || len(m.Marks) != 8 {
		t.Errorf("%d spans, %d marks after joining", len(m.Feet[0].Spans), len(m.Marks))
	}
	k.doc.Undo()
	k.once("split a span", before)

	// Two that were never one: joined, and said by how much they moved.
	k.push("join this span with the next")
	k.says("The motion changed by up to")
	k.once("join two spans", before)

	// Elsewhere in time it says where to go.
	k.to(0, hit, 900)
	k.push("split this span: go to an instant inside of it first")
	k.says("At 900 ms there is nothing to split")
	if k.text() != before {
		t.Error("changed all the same")
	}
	k.push("put this note away")
	k.says("")
	k.at.Time = 0
	k.Settle()
	k.push("split this span: go to an instant inside of it first")
	k.says("The move does not play at the present time")
}

func TestSpansInTheWindow(t *testing.T) {
	k := newDesk(t, assets.Demo, usualRoom, 1)
	k.to(0, hit, 1600)
	before := k.text()
	end := *k.move().Feet[0].Spans[hit].End

	k.push("insert a span after this one, later marks move along")
	if s := k.move().Feet[0].Spans; len(s) != 9 || s[hit+1].To != "rest" || k.at.Span != hit+1 {
		t.Errorf("%d spans, at %d", len(s), k.at.Span)
	}
	k.at.Span = hit
	k.once("insert a span", before)

	k.push("play this span later, in place of the next")
	if s := k.move().Feet[0].Spans; *s[hit+1].End != end || k.at.Span != hit+1 {
		t.Errorf("%+v, at %d", s[hit+1], k.at.Span)
	}
	k.once("play a span later", before)
	k.to(0, hit, 1600)
	k.push("play this span earlier, in place of the one before")
	if s := k.move().Feet[0].Spans; *s[hit-1].End != end || k.at.Span != hit-1 {
		t.Errorf("%+v, at %d", s[hit-1], k.at.Span)
	}
	k.once("play a span earlier", before)

	k.to(0, hit, 1600)
	k.push("delete this span")
	if s := k.move().Feet[0].Spans; len(s) != 7 || s[hit].To != "up again" || len(k.move().Marks) != 7 {
		t.Errorf("%d spans, %d marks", len(s), len(k.move().Marks))
	}
	k.once("delete a span", before)
}

// The strip chooses by click, by arrows, and deletes; its bars are to scale.
func TestStrip(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		k := newDesk(t, assets.Demo, usualRoom, scale)
		k.to(0, 0, 400)
		k.Click("span to “clear”")
		k.Settle()
		if k.at.Span != 5 {
			t.Fatalf("at span %d", k.at.Span)
		}
		k.MustFind("span 6 of 8, to “clear”")
		if ms, _, ok := moment(k.doc, &k.at); !ok || math.Abs(ms-2820) > 1e-6 {
			t.Errorf("at %v ms, want the span's end", ms)
		}
		a, b := k.MustFind("span to “weight back”").Desc.Bounds, k.MustFind("span to “clear”").Desc.Bounds
		if got, want := float64(b.Dx())/float64(a.Dx()), 450./800; math.Abs(got-want) > 0.02 {
			t.Errorf("widths %d and %d: ratio %.3f, want %.3f", a.Dx(), b.Dx(), got, want)
		}
		for _, s := range []struct {
			name key.Name
			want int
		}{{key.NameLeftArrow, 4}, {key.NameRightArrow, 5}, {key.NameHome, 0}, {key.NameLeftArrow, 0}, {key.NameEnd, 7}, {key.NameRightArrow, 7}} {
			k.Press(s.name, 0)
			k.Settle()
			if k.at.Span != s.want {
				t.Errorf("%s: at span %d, want %d", s.name, k.at.Span, s.want)
			}
		}
		before := k.text()
		k.Press(key.NameDeleteForward, 0)
		k.Settle()
		if len(k.move().Feet[0].Spans) != 7 {
			t.Errorf("%d spans", len(k.move().Feet[0].Spans))
		}
		k.once("delete a span", before)
	}
}

// A typed time moves the later marks along, unless the person wants them to
// stay; what cannot be is said with the way out.
func TestRetimeInTheWindow(t *testing.T) {
	k := newDesk(t, assets.Demo, usualRoom, 1)
	k.to(0, hit, 1710)
	before := k.text()
	set := func(v string) {
		t.Helper()
		k.Focus(k.panel.acts.along.Tag()) // so that the click selects all
		k.Click("time of the mark hit")
		k.Settle()
		k.Type(v)
		k.Press(key.NameReturn, 0)
		k.Settle()
	}
	set("1810")
	if m := k.move().Marks; m[2].At != 1810 || m[3].At != 2210 || m[7].At != 4220 {
		t.Errorf("%+v", m)
	}
	if ms, _, _ := moment(k.doc, &k.at); math.Abs(ms-1810) > 1e-6 {
		t.Errorf("the present time stayed at %v ms", ms)
	}
	k.once("move a mark in time", before)
	k.push("later marks move along")
	set("1810")
	if m := k.move().Marks; m[2].At != 1810 || m[3].At != 2110 {
		t.Errorf("%+v", m)
	}
	k.once("move a mark in time", before)
	set("2200")
	if k.text() != before {
		t.Error("changed all the same")
	}
	k.says("let the later marks move along, or give it 2109 ms or earlier")
}

// The remedy "give the span so many times its time" is one act: the length of
// the span is typed, and nothing else gets faster.
func TestRemedyIsOneAct(t *testing.T) {
	text, err := assets.Faults.ReadFile("faults/joint-speed.toml")
	if err != nil {
		t.Fatal(err)
	}
	k := newDesk(t, text, usualRoom, 1)
	if len(k.doc.Result().Findings) == 0 {
		t.Fatal("the faulty file has no finding")
	}
	k.to(0, 1, 750)
	k.push("all values of the move and the span")
	k.Click("length of the span")
	k.Type("600")
	k.Press(key.NameReturn, 0)
	k.Settle()
	for _, f := range k.doc.Result().Findings {
		t.Errorf("still found: %s", f.Word)
	}
}

func TestMovesInTheWindow(t *testing.T) {
	k := newDesk(t, assets.Demo, usualRoom, 1)
	before := k.text()
	choose := func(item string) {
		t.Helper()
		k.push("move " + k.move().Name)
		k.push(item)
	}
	choose("Add a move")
	if k.at.Move != 1 || k.move().Name != "move" || k.at.Track != 0 {
		t.Errorf("%+v", k.at)
	}
	if part, ok := k.at.MovePart(k.doc); !ok || k.at.Time < part.From {
		t.Errorf("the new move does not play at the present time, %v", k.at.Time)
	}
	k.once("add a move", before)

	choose("Copy this move")
	if k.at.Move != 1 || k.move().Name != "strike 2" {
		t.Errorf("%+v", k.move().Name)
	}
	k.once("copy a move", before)

	choose("Rename this move")
	if !k.Focused(k.panel.acts.name.Tag()) {
		t.Fatal("the field for the name has not got the keys")
	}
	k.Type("drum")
	k.Press(key.NameReturn, 0)
	k.Settle()
	if k.move().Name != "drum" || k.doc.File().Sequence[3].Move != "drum" || k.panel.acts.renaming {
		t.Errorf("%q, %q, still renaming=%v", k.move().Name, k.doc.File().Sequence[3].Move, k.panel.acts.renaming)
	}
	k.once("rename a move", before)

	choose("Delete this move")
	if k.text() != before {
		t.Fatal("deleted without asking, although it is played")
	}
	k.says("The sequence plays the move strike. Delete it and the entry that plays it?")
	k.push("Delete")
	if len(k.doc.File().Moves) != 0 || len(k.doc.File().Sequence) != 5 {
		t.Errorf("%d moves, %d entries", len(k.doc.File().Moves), len(k.doc.File().Sequence))
	}
	// Without a move there is a way to the first one.
	k.push("Add a move")
	if len(k.doc.File().Moves) != 1 || len(k.doc.File().Sequence) != 6 {
		t.Errorf("%d moves, %d entries", len(k.doc.File().Moves), len(k.doc.File().Sequence))
	}
	k.doc.Undo()
	k.once("delete a move and what plays it", before)
}

func TestTracksInTheWindow(t *testing.T) {
	k := newDesk(t, assets.Demo, usualRoom, 1)
	k.to(0, hit, 1600)
	before := k.text()
	choose := func(menu, item string) {
		t.Helper()
		k.push(menu)
		k.push(item)
	}
	choose("add a track", "Track for legs LM and RM")
	if f := k.move().Feet; len(f) != 2 || f[1].Leg != "LM" || !f[1].Pair || k.at.Track != 1 {
		t.Errorf("%+v, at track %d", f, k.at.Track)
	}
	k.once("add a track", before)

	k.to(0, hit, 1600)
	choose("more for this track", "Copy to leg RM")
	if f := k.move().Feet; len(f) != 2 || f[1].Leg != "RM" || f[1].Spans[hit].End[1] != 70 || k.at.Track != 1 || k.at.Span != hit {
		t.Errorf("%+v, at %+v", f, k.at)
	}
	k.once("copy a track", before)

	k.to(0, hit, 1600)
	choose("more for this track", "Move leg RF as well, mirrored")
	if f := k.move().Feet; len(f) != 2 || f[0].Pair || f[1].Leg != "RF" {
		t.Errorf("%+v", f)
	}
	apart := k.text()
	k.to(0, hit, 1600)
	choose("more for this track", "Mirror this track, left for right")
	if f := k.move().Feet; f[0].Leg != "RF" || f[1].Leg != "LF" || k.at.Track != 0 || k.doc.Result().Built.Robot.Legs[k.at.Leg].Name != "RF" {
		t.Errorf("%+v, at track %d, leg %d", f, k.at.Track, k.at.Leg)
	}
	k.once("mirror a track", apart)
	k.once("make two tracks of a pair", before)

	k.to(-1, 0, 400)
	choose("more for this track", "Remove this track")
	if len(k.move().Body) != 0 {
		t.Error("the body's track is still there")
	}
	k.MustFind("no span")
	k.once("remove a track", before)

	k.to(0, hit, 1600)
	choose("more for this track", "Remove this track")
	if len(k.move().Feet) != 0 || k.at.Track != -1 {
		t.Errorf("%d foot tracks, at %d", len(k.move().Feet), k.at.Track)
	}
	k.once("remove a track", before)

	w := newDesk(t, assets.Walker, usualRoom, 1)
	before = w.text()
	w.push("move greet")
	w.push("Mirror this move, left for right")
	if w.move().Feet[0].Leg != "RF" || w.move().Body[0].Shift[1] != 28 {
		t.Errorf("%+v", w.move())
	}
	w.once("mirror a move", before)
}

// What a move and a span say beside the plates is typed on the page of values.
func TestValues(t *testing.T) {
	k := newDesk(t, assets.Demo, image.Pt(484, 700), 1)
	k.to(0, hit, 1600)
	k.push("all values of the move and the span")
	before := k.text()
	field := func(label, v string) {
		t.Helper()
		k.Click(label)
		k.Type(v)
		k.Press(key.NameReturn, 0)
		k.Settle()
	}
	field("length of the move", "8240")
	if m := k.move().Marks; m[7].At != 8240 || m[0].At != 1600 {
		t.Errorf("%+v", m)
	}
	k.once("make a move longer or shorter", before)
	field("cool-down of the move", "500")
	if k.move().CoolDown != 500 {
		t.Errorf("cool-down %v", k.move().CoolDown)
	}
	k.once("change the cool-down", before)
	k.push("all pairs mirror")
	if k.move().Mirrored {
		t.Error("still meant to mirror")
	}
	k.once("say whether pairs mirror", before)
	field("name of the mark", "bang")
	if k.move().Feet[0].Spans[hit].To != "bang" {
		t.Errorf("%+v", k.move().Feet[0].Spans[hit])
	}
	k.once("rename a mark", before)
	k.push("even along the path")
	if !k.move().Feet[0].Spans[hit].Even {
		t.Error("not even")
	}
	k.once("go evenly along the path", before)
	k.push("floor")
	if k.move().Feet[0].Spans[hit].Floor != nil {
		t.Error("still a floor")
	}
	k.push("floor")
	field("height of the floor", "40")
	if v := k.move().Feet[0].Spans[hit].Floor; v == nil || *v != 40 {
		t.Errorf("floor %v", v)
	}
	for range 2 {
		k.doc.Undo()
	}
	k.once("change the floor of a span", before)
	field("height of the target", "50")
	k.says("below the floor")
	k.push("stay at the start")
	if k.move().Feet[0].Spans[hit].Timing != "hold" {
		t.Errorf("%+v", k.move().Feet[0].Spans[hit])
	}
	k.once("choose a timing", before)

	k.to(-1, 1, 1000)
	field("pitch, lean leaves by", "-3")
	if v := k.move().Body[1].LeanOut; v == nil || *v != [3]float64{0, -3, 0} {
		t.Errorf("%v", v)
	}
	k.once("type a handle of the lean", before)
}

// A move that no entry plays can be put into the sequence where one sees that.
func TestPlayAMoveThatIsNotPlayed(t *testing.T) {
	k := newDesk(t, assets.Demo, usualRoom, 1)
	if err := k.doc.Change("shorten", func(f *workfile.File) { f.Sequence = f.Sequence[:2] }); err != nil {
		t.Fatal(err)
	}
	k.Settle()
	before := k.text()
	k.push("split this span: go to an instant inside of it first")
	k.says("The move does not play")
	k.push("Play it in the sequence")
	if s := k.doc.File().Sequence; len(s) != 3 || s[2].Move != "strike" {
		t.Errorf("%+v", s)
	}
	if _, ok := k.at.MovePart(k.doc); !ok {
		t.Error("still not played")
	}
	k.once("play a move", before)
}

// With little room the same can be done, from menus.
func TestSmallRoom(t *testing.T) {
	k := newDesk(t, assets.Demo, smallRoom, 1)
	k.to(0, hit, 1600)
	before := k.text()
	k.push("fixed to ground")
	k.push("body")
	if k.move().Feet[0].Spans[hit].Hold != "body" {
		t.Errorf("%+v", k.move().Feet[0].Spans[hit])
	}
	k.once("change what a span is fixed to", before)
	k.push("timing timing")
	k.push("ease-in")
	if k.move().Feet[0].Spans[hit].Timing != "ease-in" {
		t.Errorf("%+v", k.move().Feet[0].Spans[hit])
	}
	k.once("choose a timing", before)
	k.push("point: end")
	k.push("start handle")
	if k.panel.Part != Out {
		t.Errorf("part %v", k.panel.Part)
	}
	k.push("track LF and RF")
	k.push("body")
	if k.at.Track != -1 {
		t.Errorf("track %d", k.at.Track)
	}
}

// Every part of the panel is inside of it, at every scale.
func TestNothingIsCutOff(t *testing.T) {
	for _, room := range []image.Point{usualRoom, smallRoom} {
		for _, scale := range []float32{1, 1.5, 2, 3} {
			for name, text := range map[string][]byte{"demo": assets.Demo, "walker": assets.Walker} {
				k := newDesk(t, text, room, scale)
				for track := range 2 {
					k.to(track-1, 1, 900)
					for _, label := range []string{"next span", "delete this span", "more for this track", "add a track", "later marks move along", "all values of the move and the span"} {
						n, err := k.Clickable(label)
						if err != nil {
							n = k.MustFind(label)
						}
						if b := n.Desc.Bounds; !b.In(image.Rectangle{Max: k.Size}) || b.Empty() {
							t.Errorf("%s %v at %vx, track %d: %q at %v of %v", name, room, scale, track-1, label, b, k.Size)
						}
					}
				}
			}
		}
	}
}

// All of it can be reached by the Tab key.
func TestTabReachesTheActs(t *testing.T) {
	k := newDesk(t, assets.Demo, usualRoom, 1)
	k.to(0, hit, 1600)
	a := &k.panel.acts
	want := map[string]any{
		"moves": a.moves.Tag(), "add": a.add.Tag(), "more": a.more.Tag(), "split": a.split.Tag(), "join": a.join.Tag(),
		"insert": a.insert.Tag(), "bin": a.bin.Tag(), "sooner": a.sooner.Tag(), "later": a.later.Tag(),
		"strip": &a.strip, "values": a.details.Tag(), "along": a.along.Tag(),
	}
	for range 60 {
		k.Tab(false)
		for name, tag := range want {
			if k.Focused(tag) {
				delete(want, name)
			}
		}
	}
	if len(want) > 0 {
		t.Errorf("Tab does not reach %v", fmt.Sprint(want))
	}
	// A whole act by keys: split.
	k.Focus(a.split.Tag())
	k.Press(key.NameReturn, 0)
	k.Settle()
	if len(k.move().Feet[0].Spans) != 9 {
		t.Error("Enter on the button does not split")
	}
	// A menu by keys: the last item of the moves is to delete.
	k.Focus(a.moves.Tag())
	k.Press(key.NameDownArrow, 0)
	k.Settle()
	k.Press(key.NameEnd, 0)
	k.Press(key.NameReturn, 0)
	k.Settle()
	k.says("The sequence plays the move strike")
}
