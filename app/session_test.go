// SPDX-License-Identifier: MIT

package app

import (
	"flag"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/app/snapshot"
	"gaitwright/assets"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// person sits at a window and works it by pointer and keys alone.
type person struct {
	*rig
	t     *testing.T
	shots int
	out   string // mark at which the wave is farthest out
}

// push clicks what has a label and waits until the window rests.
func (p *person) push(label string) {
	p.t.Helper()
	p.Click(label)
	p.Settle()
}

// choose takes an item of a menu.
func (p *person) choose(menu, item string) {
	p.t.Helper()
	p.push(menu)
	p.push(item)
}

// enter types into a field, which a click selects, and presses Enter.
func (p *person) enter(field, text string) {
	p.t.Helper()
	p.push(field)
	p.Type(text)
	p.Press(key.NameReturn, 0)
	p.Settle()
}

// keys presses a key and waits until the window rests.
func (p *person) keys(name key.Name, m key.Modifiers) {
	p.Press(name, m)
	p.Settle()
}

// shot keeps a picture of the window when artifacts are wanted.
func (p *person) shot(name string) {
	p.t.Helper()
	if f := flag.Lookup("test.artifacts"); f == nil || f.Value.String() != "true" {
		return
	}
	img, err := snapshot.Draw(p.Size, p.Ops())
	if err != nil {
		p.t.Fatal(err)
	}
	p.shots++
	file, err := os.Create(filepath.Join(p.t.ArtifactDir(), fmt.Sprintf("%02d-%s.png", p.shots, name)))
	if err != nil {
		p.t.Fatal(err)
	}
	defer file.Close()
	if err := png.Encode(file, img); err != nil {
		p.t.Fatal(err)
	}
}

// findings are the words of what the list at the left shows.
func (p *person) listed() (words []string) {
	for i := range p.doc.Result().Findings {
		f := &p.doc.Result().Findings[i]
		p.MustFind(f.Word + " " + p.where(f))
		words = append(words, f.Word)
	}
	return words
}

// remedy clicks the first finding of a word in the list and gives what the
// window says about mending it.
func (p *person) remedy(word string) string {
	p.t.Helper()
	for _, n := range p.Nodes() {
		if strings.HasPrefix(n.Desc.Description, word+" ") {
			p.ClickAt(f32.Pt(float32(n.Desc.Bounds.Min.X+n.Desc.Bounds.Max.X)/2, float32(n.Desc.Bounds.Min.Y+8)))
			p.Settle()
			for _, n := range p.Nodes() {
				if s, ok := strings.CutPrefix(n.Desc.Label, "To mend it: "); ok {
					return s
				}
			}
		}
	}
	p.t.Fatalf("no %s in the list: %v", word, p.listed())
	return ""
}

// clean fails unless nothing forbids to run the motion.
func (p *person) clean(when string) {
	p.t.Helper()
	for i := range p.doc.Result().Findings {
		if f := &p.doc.Result().Findings[i]; f.Level == review.Stop {
			p.t.Errorf("%s: %s: %s (%s)", when, f.Word, f.Why, f.Mend)
		}
	}
	if p.t.Failed() {
		p.shot("failed")
		p.t.FailNow()
	}
}

// figure gives the number that a pattern finds in a text.
func (p *person) figure(text, pattern string) float64 {
	p.t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if m == nil {
		p.t.Fatalf("%q does not say %s", text, pattern)
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		p.t.Fatal(err)
	}
	return v
}

// says fails unless the list has a finding of a word.
func (p *person) finds(word string) {
	p.t.Helper()
	if !slices.Contains(p.listed(), word) {
		p.t.Fatalf("found %v, want %s among them", p.listed(), word)
	}
}

// one writes a number as a person types it.
func one(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

// From an empty beginning to a four-legged robot of one's own that walks and
// waves a front leg: all by pointer and keys, the faults on the way mended as
// the window says, saved, and opened again.
func TestSession(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	p := &person{rig: open(t, assets.Demo), t: t}
	p.newRobot4()
	p.walkOn()
	p.wave()
	p.tooFast()
	p.tooFar()
	p.tooFew()

	// The wave is shown to the other side.
	p.choose("move wave", "Mirror this move, left for right")
	if m := &p.doc.File().Moves[0]; len(m.Feet) != 1 || m.Feet[0].Leg != "RF" {
		t.Fatalf("%+v", m.Feet)
	}
	p.clean("mirrored")
	p.shot("mirrored")

	// It ends as it began, after a while.
	p.push("sequence")
	p.choose("Add", "wait")
	p.enter("length of the entry", "400")
	p.choose("Add", "stand")
	p.enter("name of the entry", "ready again")
	p.clean("in sequence")
	p.shot("sequence")
	p.push("play")
	for range 40 {
		p.Now = p.Now.Add(500 * time.Millisecond)
		p.Frame()
	}
	p.keys(key.NameSpace, 0)
	if p.at.Playing {
		t.Error("Space does not pause")
	}

	p.saved(dir)
	p.clean("opened again")
	p.shot("reopened")
	if f := p.doc.File(); len(f.Legs) != 4 || f.Robot.Name != "waver" || len(f.Moves) != 1 || len(f.Moves[0].Feet[0].Spans) < 3 {
		t.Errorf("%d legs, %q, moves %+v", len(f.Legs), f.Robot.Name, f.Moves)
	}
}

// newRobot4 answers the four questions, and measures a link again.
func (p *person) newRobot4() {
	p.t.Helper()
	p.keys("N", key.ModShortcut)
	p.made()
	p.push("4")
	p.enter("name of the robot", "waver")
	p.enter("coxa", "30")
	p.enter("femur", "66")
	p.enter("tibia", "94")
	p.made()
	p.shot("questions")
	p.push("Make this robot")
	f := p.doc.File()
	if p.modal.open() || len(f.Legs) != 4 || f.Robot.Name != "waver" || *f.Legs[0].CoxaLength != 30 || *f.Legs[0].FemurLength != 66 || *f.Legs[0].TibiaLength != 94 {
		p.t.Fatalf("card open %v, %d legs, %q", p.modal.open(), len(f.Legs), f.Robot.Name)
	}
	p.clean("new robot")

	// Look at it from all sides.
	view := p.spot("robot view")
	p.Drag(view, view.Add(f32.Pt(90, 25)), 6)
	p.Scroll(view, -60, 0)
	p.push("front")
	p.push("free")
	p.keys("F", 0)

	p.push("leg")
	p.enter("LF tibia length", "96")
	p.shot("robot")
	if got := *p.doc.File().Legs[0].TibiaLength; got != 96 {
		p.t.Fatalf("tibia %v mm", got)
	}
	p.clean("other tibia")
}

// walkOn lets it walk somewhat differently, and a shorter way.
func (p *person) walkOn() {
	p.t.Helper()
	p.push("walk")
	p.enter("period", "2800")
	p.push("command")
	p.enter("forward", "18")
	p.enter("cycles", "3")
	p.clean("walk")
	p.shot("walk")
	if e := p.doc.File().Sequence[1]; *e.Forward != 18 || *e.Cycles != 3 || p.doc.File().Gaits[0].Period != 2800 {
		p.t.Fatalf("%+v", e)
	}
}

// insert is the button that adds a span.
const insert = "insert a span after this one, later marks move along"

// wave adds a move in which the left front foot is lifted, goes out, in, and
// down again, over a body that leans away first.
func (p *person) wave() {
	p.t.Helper()
	p.push("move")
	p.push("Add a move")
	p.choose("move move", "Rename this move")
	p.Type("wave")
	p.keys(key.NameReturn, 0)
	p.enter("z of the end point", "40")
	p.push(insert)
	p.out = p.chosen().To
	p.enter("y of the end point", "40")
	p.enter("time of the mark "+p.out, "1800")
	p.push(insert)
	p.enter("y of the end point", "-10")
	p.enter("time of the mark "+p.chosen().To, "2300")
	p.clean("wave")
	p.shot("wave")
	m := &p.doc.File().Moves[0]
	if m.Name != "wave" || len(m.Feet) != 1 || m.Feet[0].Leg != "LF" || len(m.Feet[0].Spans) != 6 || len(m.Body) != 3 {
		p.t.Fatalf("%+v", m)
	}
}

// span has the chosen span of a foot.
func (p *person) chosen() *workfile.FootSpan {
	p.t.Helper()
	if p.at.Track < 0 {
		p.t.Fatalf("no foot is chosen: %+v", p.at)
	}
	return &p.doc.File().Moves[p.at.Move].Feet[p.at.Track].Spans[p.at.Span]
}

// longer gives the span at a finding more time, as often as it is told to.
func (p *person) longer() {
	p.t.Helper()
	for n := 0; p.stops() > 0; n++ {
		if n == 6 {
			p.t.Fatalf("six times as told, and still: %v", p.listed())
		}
		words := p.remedy("joint-speed")
		times := p.figure(words, `give the span (?:“[^”]*” |to “[^”]*” )?([0-9.]+) times its time`)
		to := p.chosen().To
		p.push("all values of the move and the span")
		from, end, _ := edit.SpanTimes(p.doc.File(), edit.Spot{Move: p.at.Move, Track: p.at.Track, Span: p.at.Span})
		p.enter("length of the span", one(math.Ceil((end-from)*times)))
		p.shot("longer " + to)
		p.push("all values of the move and the span")
	}
}

// tooFast hurries the wave, reads why that cannot be, and does as told.
func (p *person) tooFast() {
	p.t.Helper()
	p.push("span to “" + p.out + "”")
	p.enter("time of the mark "+p.out, "1400")
	p.finds("joint-speed")
	p.longer()
	p.clean("slower")
}

// tooFar takes a point out of reach, reads why that cannot be, and brings it
// back until it can.
func (p *person) tooFar() {
	p.t.Helper()
	p.push("span to “" + p.out + "”")
	if p.chosen().To != p.out {
		p.t.Fatalf("chosen is %+v", p.chosen())
	}
	const side = "from the side"
	from := p.point("end point", p.at.Span, side)
	p.Drag(from, from.Add(f32.Pt(60, -45)), 8)
	p.Settle()
	p.finds("out-of-reach")
	words := p.remedy("out-of-reach")
	if by := p.figure(words, `bring the point (?:“[^”]*” )?([0-9.]+) mm nearer`); by < 5 {
		p.t.Errorf("%s", words)
	}
	p.shot("out of reach")
	if p.chosen().To != p.out { // the finding leads to the point that is out of reach
		p.t.Errorf("the finding leads to the span to %q", p.chosen().To)
	}
	at := p.point("end point", p.at.Span, side)
	p.press(at)
	for range 60 {
		at = at.Add(f32.Pt(-1, 0.75))
		p.move(at)
		if !slices.ContainsFunc(p.doc.Result().Findings, func(f review.Finding) bool { return f.Word == "out-of-reach" }) {
			break
		}
	}
	p.release(at)
	if slices.Contains(p.listed(), "out-of-reach") {
		p.t.Fatalf("brought back, and still: %v", p.listed())
	}
	p.longer() // the way is longer now
	p.clean("in reach")
}

// tooFew forgets to lean away, reads why that cannot be, and leans as told.
func (p *person) tooFew() {
	p.t.Helper()
	p.push("body")
	for _, mark := range []string{"weight away", "down"} {
		p.push("span to “" + mark + "”")
		p.enter("x of the end point", "0")
		p.enter("y of the end point", "0")
	}
	p.finds("tips-slow")
	words := p.remedy("tips-slow")
	back, right := p.figure(words, `([0-9.]+) mm back`), p.figure(words, `([0-9.]+) mm to the right`)
	p.shot("tips")
	p.push("body")
	for _, mark := range []string{"weight away", "down"} {
		p.push("span to “" + mark + "”")
		p.enter("x of the end point", one(-back))
		p.enter("y of the end point", one(-right))
	}
	p.clean("leaning as told")
	p.shot("leaning")
}

// saved saves into a folder by the window's own dialog and opens the file again
// by it: the documents are equal.
func (p *person) saved(dir string) {
	p.t.Helper()
	was, text := p.doc, p.text()
	p.keys("S", key.ModShortcut)
	p.push("Folder")
	p.keys("A", key.ModShortcut)
	p.Type(dir)
	p.keys(key.NameReturn, 0)
	p.enter("Name", "waver.toml")
	if p.modal.open() { // Enter in the name is enough, or else the button
		p.push("Save")
	}
	path := filepath.Join(dir, "waver.toml")
	if p.doc.Dirty() || p.doc.Path != path {
		p.shot("not saved")
		p.t.Fatalf("dirty %v, path %q, card open %v", p.doc.Dirty(), p.doc.Path, p.modal.open())
	}
	p.keys("O", key.ModShortcut)
	p.push("Folder or file")
	p.keys("A", key.ModShortcut)
	p.Type(path)
	p.keys(key.NameReturn, 0)
	if p.doc == was {
		p.t.Fatal("not opened")
	}
	if !p.doc.File().Equal(was.File()) || p.text() != text || p.doc.Dirty() {
		p.t.Errorf("opened again it is\n%s\nwas\n%s", p.text(), text)
	}
}
