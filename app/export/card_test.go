// SPDX-License-Identifier: MIT

package export

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

// What is chosen changes what it takes of the part, at once.
func TestSizeFollowsChoices(t *testing.T) {
	r := open(t, assets.Demo)
	size := func() table.Size {
		t.Helper()
		if r.card.outcome.Size == nil {
			t.Fatalf("no size; %v", r.card.outcome.Err)
		}
		return *r.card.outcome.Size
	}
	r.says("Fits an ATmega2560.", "9.1 % of 262144 bytes")
	first := size()
	r.enter("Rate", "25")
	half := size()
	if half.Tables >= first.Tables*6/10 || half.Tables <= first.Tables*4/10 {
		t.Errorf("%d bytes at 50 Hz, %d at 25 Hz", first.Tables, half.Tables)
	}
	r.enter("Rate", "50")
	r.choose("More choices", "packed: smaller, the player unpacks it as it goes")
	packed := size()
	if packed.Tables >= first.Tables*8/10 {
		t.Errorf("%d bytes plain, %d packed", first.Tables, packed.Tables)
	}
	r.choose("cubic", "lowest")
	lowest := size()
	row := r.card.outcome.Rows[0]
	if lowest.Tables >= packed.Tables || row.OffUs > 2 || row.OffMM > 0.5 || row.Rate >= 50 {
		t.Errorf("%d bytes, %+v", lowest.Tables, row)
	}
	r.enter("greatest error of a pulse", "0.5")
	if row := r.card.outcome.Rows[0]; row.OffUs > 0.5 || size().Tables <= lowest.Tables {
		t.Errorf("%+v, %d bytes", row, size().Tables)
	}
	r.enter("greatest error of a pulse", "0")
	r.enter("greatest error of a foot", "0")
	r.says("Say how much the table may be off")
	r.enter("greatest error of a foot", "1")
	if row := r.card.outcome.Rows[0]; row.OffMM > 1 || row.OffMM < 0.5 {
		t.Errorf("%+v", row)
	}
}

// A table that does not fit is told with what would, and cannot be written.
func TestDoesNotFit(t *testing.T) {
	r := open(t, assets.Demo)
	r.choose("moves and walks", "Microcontroller", "ATmega328P")
	r.says("This does not fit an ATmega328P.", "Packed, the same tables fit.", "132.2 %", "choose “another part”")
	if n := r.MustFind("Write the table"); !n.Desc.Disabled {
		t.Error("it can be written")
	}
	r.choose("More choices", "packed: smaller, the player unpacks it as it goes")
	r.says("Fits an ATmega328P.")
	r.enter("Rate", "300")
	r.says("This does not fit an ATmega328P.", "They fit an ATmega2560.")
	r.choose("Microcontroller", "another part")
	r.says("Ready to be written.")
}

// The parts are those that the format is made for.
func TestPartsOfFormat(t *testing.T) {
	r := open(t, assets.Demo)
	for _, x := range [...]struct{ format, part string }{
		{"player", "ATmega2560"}, {"AVR C", "ATmega2560"}, {"C", "RP2040"}, {"player", "ATmega2560"}, {"binary", "ATmega2560"},
	} {
		r.choose(x.format)
		r.says("Fits an " + x.part + ".")
	}
	r.choose("Microcontroller", "RP2040", "AVR C")
	r.says("Fits an ATmega2560.")
	r.choose("CSV")
	r.MustMiss("Microcontroller")
	r.says("1 file: demo.csv.")
}

// A format without walks says so, and a sequence without a move does.
func TestNothingToWrite(t *testing.T) {
	r := open(t, assets.Demo)
	r.choose("JSON", "moves and walks")
	r.says("This format has no tables of a walk’s cycle: choose the player or binary")
	r.choose("whole sequence")
	r.says("Ready to be written.")

	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	var seq []workfile.Entry
	for _, e := range f.Sequence {
		if e.Kind != "move" {
			seq = append(seq, e)
		}
	}
	f.Sequence = seq
	text, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	r = open(t, text)
	if c := r.card.choices(); c.What != MovesAndWalks || r.card.outcome.Err != nil {
		t.Errorf("%+v: %v", c, r.card.outcome.Err)
	}
	r.choose("moves")
	r.says("Nothing to export: the sequence plays no move")
	if strings.Contains(r.texts(), "the blow") {
		t.Error("it cautions about blows though nothing strikes")
	}
}

// The units have their numbers.
func TestUnits(t *testing.T) {
	r := open(t, assets.Demo)
	r.choose("More choices", "PWM counts")
	// NXP PCA9685 datasheet, revision 4, section 7.3.5: 25 MHz and 200 Hz take a
	// prescale of 30.
	r.enter("rate of the PWM driver", "200")
	r.says("Prescale 30,")
	r.enter("rate of the PWM driver", "20")
	r.says("No prescale from 3 to 255 gives this rate.", "ask for 23.84 to 1526 Hz")
	r.choose("servo steps")
	r.enter("greatest position", "400")
	r.says("a centre among them")
	r.enter("greatest position", "4095")
	r.enter("centre position", "2048")
	if s := r.card.outcome; s.Err != nil || !bytes.Contains(s.Files[0].Data, []byte("position steps, 0 to 4095")) {
		t.Errorf("%v", s.Err)
	}
	r.Click("centre position")
	r.Press("A", key.ModShortcut)
	r.Type("x")
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.says("A number is not in force")
	if n := r.MustFind("Write the table"); !n.Desc.Disabled {
		t.Error("it can be written")
	}
}

// A rate that is typed and not left is in force when the button is pressed.
func TestWritesWhatWasTyped(t *testing.T) {
	r := open(t, assets.Demo)
	r.choose("CSV")
	r.Click("Rate")
	r.Press("A", key.ModShortcut)
	r.Type("40")
	r.Click("Write the table")
	r.wait()
	r.Settle()
	text, err := os.ReadFile(filepath.Join(r.folder, "demo.csv"))
	if err != nil || !bytes.Contains(text, []byte("40 Hz")) || r.answer != Written {
		t.Errorf("%v, answer %v, %.300s", err, r.answer, text)
	}
}

// Where nothing can be written, nothing is, and the card says so.
func TestFolderThatCannotBe(t *testing.T) {
	r := open(t, assets.Demo)
	file := filepath.Join(r.folder, "file")
	if err := os.WriteFile(file, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	r.enter("Folder", filepath.Join(file, "below"))
	r.Click("Write the table")
	r.Settle()
	r.says("Not written: ", "give another folder")
	if text, err := os.ReadFile(file); err != nil || string(text) != "mine" || r.answer != Open {
		t.Errorf("%q, %v, answer %v", text, err, r.answer)
	}
	r.enter("Folder", " ")
	r.Click("Write the table")
	r.Settle()
	r.says("no folder is given")
	// A folder in the way of one of the files: all of it stays away.
	if err := os.MkdirAll(filepath.Join(r.folder, "t", "gait_player.c"), 0o755); err != nil {
		t.Fatal(err)
	}
	r.enter("Folder", filepath.Join(r.folder, "t"))
	r.says("One of them is there already and is replaced.")
	r.Click("Write the table")
	r.Settle()
	r.says("it is a folder")
	if all, err := os.ReadDir(filepath.Join(r.folder, "t")); err != nil || len(all) != 1 {
		t.Errorf("%v, %v", all, err)
	}
}

// The card's files compile, and take of the flash what it says.
func TestCompiles(t *testing.T) {
	for _, x := range [...]struct {
		name, format, part, mcu string
	}{
		{"player", "player", "ATmega2560", "atmega2560"},
		{"player, smaller part", "player", "ATmega328P", "atmega328p"},
		{"AVR C", "AVR C", "ATmega2560", "atmega2560"},
	} {
		t.Run(x.name, func(t *testing.T) {
			r := open(t, assets.Demo)
			r.choose(x.format, "Microcontroller", x.part)
			o := r.card.outcome
			r.Click("Write the table")
			r.Settle()
			if r.answer != Written {
				t.Fatalf("not written: %v", r.card.Err())
			}
			out := t.TempDir()
			var objects []string
			for _, f := range o.Files {
				if !strings.HasSuffix(f.Name, ".c") || f.Name != "gait_player.c" && !strings.HasPrefix(f.Name, "demo_") {
					continue // examples, and what is not counted
				}
				obj := filepath.Join(out, f.Name+".o")
				tool(t, "avr-gcc", "-mmcu="+x.mcu, "-std=c99", "-Os", "-Wall", "-Wextra", "-Werror", "-I", r.folder, "-c", filepath.Join(r.folder, f.Name), "-o", obj)
				objects = append(objects, obj)
			}
			if len(objects) < 2 {
				t.Fatal(objects)
			}
			text, data := 0, 0
			for _, m := range regexp.MustCompile(`(?m)^\s*(\d+)\s+(\d+)\s+\d+\s`).FindAllStringSubmatch(tool(t, "avr-size", objects...), -1) {
				a, _ := strconv.Atoi(m[1])
				b, _ := strconv.Atoi(m[2])
				text, data = text+a, data+b
			}
			switch {
			case o.Plain != nil:
				if text != o.Plain.Used() || data != 0 {
					t.Errorf("avr-size has %d and %d bytes, the card %d", text, data, o.Plain.Used())
				}
			default: // linked it needs some of the compiler's library too
				if got, said := text+data, o.Size.Used(); got > said || got < said*9/10 {
					t.Errorf("avr-size has %d bytes before linking, the card %d", got, said)
				}
			}
		})
	}
}

// tool runs a compiler or the like, which has to be there.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// The card can be used by the keys alone, and its parts lie in the window.
func TestByKeyboardAndInside(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		r := openAs(t, assets.Demo, false, image.Pt(int(1024*scale), int(700*scale)), scale)
		for _, label := range []string{"What", "Folder", "Cancel", "Write the table", "Copy", "Rate", "Microcontroller"} {
			if label == "What" {
				continue
			}
			if b := r.MustFind(label).Desc.Bounds; b.Empty() || !b.In(image.Rectangle{Max: r.Size}) {
				t.Errorf("at %v %s lies at %v", scale, label, b)
			}
		}
	}
	r := open(t, assets.Demo)
	r.Press(key.NameRightArrow, 0) // moves and walks
	r.wait()
	r.Tab(false)
	for range 3 { // CSV
		r.Press(key.NameRightArrow, 0)
	}
	r.Press(key.NameRightArrow, 0)
	r.Press(key.NameLeftArrow, 0)
	r.wait()
	if c := r.card.choices(); c.What != MovesAndWalks || c.Format != CSV {
		t.Fatalf("%+v", c)
	}
	r.Tab(true)
	r.Press(key.NameLeftArrow, 0)
	r.wait()
	for range 12 {
		r.Tab(false)
		if r.Focused(r.card.ok.Tag()) {
			break
		}
	}
	r.Press(key.NameReturn, 0)
	r.Settle()
	if _, err := os.Stat(filepath.Join(r.folder, "demo.csv")); err != nil || r.answer != Written {
		t.Errorf("%v, answer %v", err, r.answer)
	}
}

// The command line is told for what is on the disk alone, and can be copied.
func TestCommand(t *testing.T) {
	r := open(t, assets.Demo)
	want := fmt.Sprintf("gaitwright export --format player --rate 50 --part atmega2560 --with-player --out %s", r.folder)
	r.says(want)
	r.Click("Copy")
	r.Frame()
	if _, got, ok := r.Router().WriteClipboard(); !ok || string(got) != want {
		t.Errorf("copied %q, %v", got, ok)
	}
	r.says("Copied")
	r.choose("CSV")
	r.says("Copy", "gaitwright export --format csv --rate 50 --out ")
	if err := r.doc.Change("raise", func(f *workfile.File) { f.Moves[0].Feet[0].Spans[1].End[2]++ }); err != nil {
		t.Fatal(err)
	}
	r.card.Open(r.doc, "demo", true, nil)
	r.wait()
	r.says("save the workfile first")
}

// What a shell would take for something else is quoted.
func TestTyped(t *testing.T) {
	for _, x := range [...]struct {
		windows bool
		in      string
		want    string
	}{
		{false, "/a/b.toml", "/a/b.toml"}, {false, "my robot.toml", "'my robot.toml'"}, {false, "a'b", `'a'\''b'`}, {false, "$HOME", "'$HOME'"}, {false, "", "''"},
		{true, `C:\x\y`, `C:\x\y`}, {true, `C:\my robot`, `"C:\my robot"`},
	} {
		if got := typed([]string{x.in}, x.windows); got != "gaitwright "+x.want {
			t.Errorf("%q: %s", x.in, got)
		}
	}
}

// The cautions are there, and those of blows where a foot strikes.
func TestCautions(t *testing.T) {
	r := open(t, assets.Demo)
	r.says("Hazards: joints crush", "eye protection", "on a stand", "switch that cuts", "people, children and animals", "Lithium batteries", "residual risk", "local rules and qualified people",
		"The move “strike” strikes")
	r = open(t, assets.Walker)
	r.says("Hazards:")
	if strings.Contains(r.texts(), "the blow") {
		t.Error("the walker does not strike")
	}
}

// A joint that cannot follow is named; there is no override for that.
func TestToldByJoint(t *testing.T) {
	text, err := assets.Faults.ReadFile("faults/pulse-range.toml")
	if err != nil {
		t.Fatal(err)
	}
	r := open(t, text)
	r.says("1 stop forbids running this on the robot.", "pulse-range: The coxa of leg LF needs a pulse of", "No table can hold this: a joint cannot follow.", "Leg LF, coxa, swing at", "It cannot be written all the same")
	if n := r.MustFind("Write the table"); !n.Desc.Disabled {
		t.Error("it can be written")
	}
}

// A search that nobody waits for any more ends.
func TestGivesUp(t *testing.T) {
	r := open(t, assets.Demo)
	r.choose("whole sequence")
	r.Click("lowest")
	r.Click("greatest error of a pulse")
	r.Press("A", key.ModShortcut)
	r.Type("0.2")
	r.Press(key.NameReturn, 0)
	r.Settle()
	k := r.card.work
	if k == nil || k.of.WithinUs != 0.2 {
		t.Fatalf("nothing is worked out: %+v", k)
	}
	r.Click("chosen")
	r.Settle()
	if o := <-k.out; o.Err == nil {
		t.Error("it was worked out to its end")
	}
	r.wait()
	if r.card.outcome.Err != nil || r.card.outcome.Rows[0].Rate < 50 {
		t.Errorf("%+v", r.card.outcome)
	}
}
