// SPDX-License-Identifier: MIT

package table_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"gaitwright/motion/table"
)

// folder is an export with the player, on disk.
func folder(t *testing.T, set *table.Set) string {
	t.Helper()
	files, err := set.Sources()
	if err != nil {
		t.Fatal(err)
	}
	more, err := set.Player()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if _, err := table.Write(dir, append(files, more...)); err != nil {
		t.Fatal(err)
	}
	return dir
}

// command runs a tool in a folder; patterns among its arguments are files.
func command(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	var all []string
	for _, a := range args {
		if !strings.Contains(a, "*") {
			all = append(all, a)
			continue
		}
		found, err := filepath.Glob(filepath.Join(dir, a))
		if err != nil || len(found) == 0 {
			t.Fatalf("no file %s: %v", a, err)
		}
		all = append(all, found...)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute) // a simulated part may never end
	defer cancel()
	cmd := exec.CommandContext(ctx, name, all...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err == nil && bytes.Contains(out, []byte("warning")) {
		err = errors.New("a warning")
	}
	if err != nil {
		t.Fatalf("%s %s: %v (\"go run ./cmd/start test\" installs it)\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

var (
	strict  = []string{"-Os", "-std=c99", "-pedantic", "-Wall", "-Wextra", "-Werror", "-I."}
	avr2560 = append([]string{"-mmcu=atmega2560"}, strict...)
	cortex  = append([]string{"-mcpu=cortex-m0plus", "-mthumb", "-ffreestanding"}, strict...)
)

// sized gives the columns of avr-size or its like.
func sized(t *testing.T, text string) (code, data, bss int) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(text), "\n")
	for _, l := range lines[1:] {
		var c, d, b int
		if _, err := fmt.Sscan(l, &c, &d, &b); err != nil {
			t.Fatalf("%q: %v", l, err)
		}
		code, data, bss = code+c, data+d, bss+b
	}
	return code, data, bss
}

// near is a small export, far one beyond what near addresses of an AVR reach.
func near(t *testing.T) *table.Set {
	_, set := demoSet(t, table.SheetOptions{WithinUs: 1, Interpolation: table.Cubic, Packed: true, Unit: table.Unit{Bits: 2}}, "strike", "to_the_drum", "to_the_drum_start")
	return set
}

func far(t *testing.T) *table.Set {
	_, set := demoSet(t, table.SheetOptions{Rate: 400, Interpolation: table.Linear, Unit: table.Unit{Bits: 2}}, "strike", "to_the_drum", "to_the_drum_start")
	return set
}

// The report says what the compilers' own tools say of the objects.
func TestSizeReport(t *testing.T) {
	for _, set := range []*table.Set{near(t), far(t)} {
		dir := folder(t, set)
		for _, c := range []struct {
			part, prefix string
			args         []string
		}{{"atmega2560", "avr-", avr2560}, {"rp2040", "arm-none-eabi-", cortex}} {
			part, err := table.ParsePart(c.part)
			if err != nil {
				t.Fatal(err)
			}
			want, err := set.SizeOn(part)
			if err != nil {
				t.Fatal(err)
			}
			player, reading, data := 0, 0, 0
			objects, err := filepath.Glob(filepath.Join(dir, "*.c"))
			if err != nil {
				t.Fatal(err)
			}
			for _, src := range objects {
				if name := filepath.Base(src); strings.HasPrefix(name, "gait_link") || strings.HasPrefix(name, "gait_robot") {
					continue
				}
				command(t, dir, c.prefix+"gcc", append(append([]string{}, c.args...), "-c", "-o", "x.o", src)...)
				code, inMemory, _ := sized(t, command(t, dir, c.prefix+"size", "x.o"))
				if filepath.Base(src) == "gait_player.c" {
					player = code + inMemory
					continue
				}
				reading += code + inMemory
				for _, l := range strings.Split(command(t, dir, c.prefix+"nm", "-S", "-t", "d", "x.o"), "\n") {
					if w := strings.Fields(l); len(w) == 4 && strings.HasPrefix(w[3], "data_") {
						n, err := strconv.Atoi(w[1])
						if err != nil {
							t.Fatal(err)
						}
						if n > 32767 {
							t.Errorf("an array of %d bytes", n)
						}
						data += n
					}
				}
			}
			if data != want.Tables {
				t.Errorf("%s: tables of %d bytes, the report says %d", c.part, data, want.Tables)
			}
			code := player + reading - data
			if d := code - want.Code; d > code/33 || d < -code/33 {
				t.Errorf("%s: player and readers of %d bytes, the report says %d", c.part, code, want.Code)
			}
			put(t, dir, "p.c", "#include \"gait_player.h\"\nstruct gait_player p;\n")
			command(t, dir, c.prefix+"gcc", append(append([]string{}, c.args...), "-fno-common", "-c", "-o", "p.o", "p.c")...)
			_, _, bss := sized(t, command(t, dir, c.prefix+"size", "p.o"))
			structs := 0
			if c.part == "atmega2560" {
				structs = 6 * len(set.Sheets)
			}
			if bss+structs != want.State {
				t.Errorf("%s: a player takes %d bytes and the tables %d, the report says %d", c.part, bss, structs, want.State)
			}
		}
	}
}

func put(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// The limits of the parts (their datasheets), and what does not fit is said so.
func TestPartLimits(t *testing.T) {
	for name, want := range map[string][2]int{"atmega328p": {32768, 2048}, "ATmega2560": {262144, 8192}, "rp2040": {2 << 20, 270336}, "esp32": {4 << 20, 532480}} {
		p, err := table.ParsePart(name)
		if err != nil || p.Flash != want[0] || p.RAM != want[1] || p.Source == "" {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
	if _, err := table.ParsePart("z80"); err == nil || !strings.Contains(err.Error(), "atmega2560") {
		t.Errorf("unknown part: %v", err)
	}
	small, err := table.ParsePart("atmega328p")
	if err != nil {
		t.Fatal(err)
	}
	large, err := table.ParsePart("atmega2560")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		set  *table.Set
		part table.Part
		fits bool
	}{{near(t), small, true}, {near(t), large, true}, {far(t), small, false}, {far(t), large, true}} {
		z, err := c.set.SizeOn(c.part)
		if err != nil {
			t.Fatal(err)
		}
		if err := z.Err(); (err == nil) != c.fits || err != nil && (!errors.Is(err, table.ErrPart) || !strings.Contains(err.Error(), "lower the rate")) {
			t.Errorf("%s: %d bytes: %v", c.part.Name, z.Tables, err)
		}
		if z.FarToo != (z.Tables > 60000) {
			t.Errorf("%s: %d bytes, far %v", c.part.Name, z.Tables, z.FarToo)
		}
	}
}

// The example programs compile, as their heads say.
func TestExamplesCompile(t *testing.T) {
	for _, set := range []*table.Set{near(t), far(t)} {
		dir := folder(t, set)
		for _, more := range [][]string{{"main.c"}, {"main.c", "-DFOOT_SWITCHES"}, {"link.c", "gait_robot.c", "gait_link.c"}, {"link.c", "gait_robot.c", "gait_link.c", "-DFOOT_SWITCHES"}} {
			command(t, dir, "avr-gcc", append(append(append([]string{}, avr2560...), more[1:]...), "-o", "robot.elf",
				"example_avr/"+more[0], "example_avr/pulses.c", "gait_player.c", "demo_*.c")...)
		}
		for _, more := range [][]string{{"link.c", "gait_robot.c", "gait_link.c"}, {"main.c"}} {
			command(t, dir, "arm-none-eabi-gcc", append(append(append([]string{}, cortex...), more[1:]...), "-nostdlib", "-T", "example_arm/part.ld", "-o", "arm.elf",
				"example_arm/"+more[0], "example_arm/startup.c", "gait_player.c", "demo_*.c", "-lgcc")...)
		}
		if h := command(t, dir, "arm-none-eabi-objdump", "-s", "-j", ".text", "--stop-address=8", "arm.elf"); !strings.Contains(h, "0000 00400020") {
			t.Errorf("the vectors do not begin with the end of memory:\n%s", h)
		}
	}
}

// What the README asks people to write compiles as it stands there, and the
// header is fit for C++.
func TestReadmeCompiles(t *testing.T) {
	set := near(t)
	dir := folder(t, set)
	text, err := os.ReadFile(filepath.Join(dir, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, code, ok := strings.Cut(string(text), "```c\n")
	code, _, ok2 := strings.Cut(code, "```")
	if !ok || !ok2 || strings.Count(code, "\n") > 25 {
		t.Fatalf("no short example in the README: %q", code)
	}
	around := "#include <stdint.h>\nvoid my_servo(uint16_t channel, int32_t us);\nuint32_t my_clock(void);\nvoid setup(void);\nvoid loop(void);\n"
	put(t, dir, "one.c", around+strings.ReplaceAll(code, "my_robot_greet", "demo_strike"))
	command(t, dir, "avr-gcc", append(append([]string{}, avr2560...), "-c", "-o", "one.o", "one.c")...)
	command(t, dir, "arm-none-eabi-gcc", append(append([]string{}, cortex...), "-c", "-o", "one.o", "one.c")...)
	_, both, ok := strings.Cut(string(text), "```c\n#include \"gait_robot.h\"\n")
	both, _, ok2 = strings.Cut(both, "```")
	if !ok || !ok2 || strings.Count(both, "\n") > 40 {
		t.Fatalf("no short example of the link in the README: %q", both)
	}
	put(t, dir, "both.c", "#include \"gait_robot.h\"\nvoid my_servo(uint16_t output, uint16_t us);\nvoid my_serial_write(const uint8_t *, uint8_t);\nuint8_t my_serial_available(void);\n"+
		"uint8_t my_serial_read(void);\nuint32_t my_clock(void);\nvoid my_error(void);\nvoid setup(void);\nvoid loop(void);\n"+both)
	command(t, dir, "avr-gcc", append(append([]string{}, avr2560...), "-c", "-o", "both.o", "both.c")...)
	command(t, dir, "arm-none-eabi-gcc", append(append([]string{}, cortex...), "-c", "-o", "both.o", "both.c")...)
	put(t, dir, "both.cpp", "#include \"gait_robot.h\"\nint main() { static gait_robot r; return r.link.state; }\n")
	command(t, dir, "g++", "-std=c++11", "-pedantic", "-Wall", "-Wextra", "-Werror", "-I.", "-c", "both.cpp")
	put(t, dir, "one.cpp", "#include \"gait_player.h\"\n#include \"gait_tables.h\"\nint main() { return gait_check(&demo_strike); }\n")
	command(t, dir, "cc", append(append([]string{}, strict...), "-c", "gait_player.c", "demo_*.c")...)
	command(t, dir, "g++", "-std=c++11", "-pedantic", "-Wall", "-Wextra", "-Werror", "-I.", "-o", "one", "one.cpp", "gait_player.o", "demo_strike.o")
	command(t, dir, filepath.Join(dir, "one"))
}

// script plays every table once and prints a check sum of all that the servos
// are told: the same text on a host and, over its serial line, on an AVR.
const script = `#include "gait_player.h"
#include "gait_tables.h"
#ifdef __AVR__
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
static void put(char c) { while (!(UCSR0A & _BV(UDRE0))) ; UDR0 = (uint8_t)c; }
#else
#include <stdio.h>
static void put(char c) { putchar(c); }
#endif
static void hex(uint32_t v, int n)
{
	while (n--) {
		uint8_t d = (uint8_t)(v >> (4 * n)) & 15;
		put((char)(d < 10 ? '0' + d : 'a' + d - 10));
	}
	put(' ');
}
static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};
static struct gait_player p;
static uint16_t crc = 0xffff;
static void servo(void *user, uint16_t channel, int32_t v)
{
	(void)user;
	crc = gait_crc(crc, (uint8_t)channel);
	crc = gait_crc(crc, (uint8_t)v);
	crc = gait_crc(crc, (uint8_t)(v >> 8));
}
int main(void)
{
	uint8_t i;
#ifdef __AVR__
	UCSR0B = _BV(TXEN0);
	UBRR0 = 0;
#endif
	for (i = 0; i < GAIT_TABLE_COUNT; i++) {
		uint32_t t = 0;
		hex((uint32_t)gait_check(tables[i]), 2);
		gait_init(&p, servo, 0);
		p.bits = 3;
		hex((uint32_t)gait_stands(&p, tables[i]), 2);
		hex((uint32_t)gait_play(&p, tables[i]), 2);
		gait_finish(&p);
		while (gait_tick(&p, t) == GAIT_PLAY || p.state == GAIT_APPROACH)
			t += 20000;
		hex(t, 8);
		hex(crc, 4);
		put('=');
	}
	put('\n');
#ifdef __AVR__
	cli();
	sleep_mode();
	for (;;)
		;
#endif
	return 0;
}
`

// A simulated ATmega2560 tells its servos to the last bit what a host does,
// from near and from far flash.
func TestPlayerOnSimulatedAVR(t *testing.T) {
	for _, set := range []*table.Set{near(t), far(t)} {
		dir := folder(t, set)
		put(t, dir, "script.c", script)
		command(t, dir, "cc", append(append([]string{}, strict...), "-o", "host", "script.c", "gait_player.c", "demo_*.c")...)
		command(t, dir, "avr-gcc", append(append([]string{}, avr2560...), "-o", "avr.elf", "script.c", "gait_player.c", "demo_*.c")...)
		line := regexp.MustCompile(`(?:[0-9a-f]{2} ){3}[0-9a-f]{8} [0-9a-f]{4} `)
		want := line.FindAllString(command(t, dir, filepath.Join(dir, "host")), -1)
		got := line.FindAllString(command(t, dir, "simavr", "-m", "atmega2560", "-f", "16000000", "avr.elf"), -1)
		if len(want) != len(set.Sheets) || fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("got %q, the host %q", got, want)
		}
		for _, w := range want {
			if !strings.HasPrefix(w, "00 00 00 ") {
				t.Errorf("%q", w)
			}
		}
	}
}

// The exported sources carry cautions, channels, poses and marks, and the
// player has room for the robot's channels.
func TestSourcesTell(t *testing.T) {
	set := near(t)
	dir := folder(t, set)
	for _, name := range []string{"demo_tables.h", "gait_tables.h", "demo_strike.c"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"CAUTION", "hands and face", "Lithium", "local rules", "channels 0, 1, 2", "stage drummer", "10000 Hz", "1/4 of"} {
			if !bytes.Contains(text, []byte(want)) {
				t.Errorf("%s: nothing of %q", name, want)
			}
		}
	}
	h, err := os.ReadFile(filepath.Join(dir, "demo_tables.h"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"extern const struct gait_table demo_strike;", "#define DEMO_STRIKE_MARK_HIT 2", "First pose: 15", "Last pose: "} {
		if !bytes.Contains(h, []byte(want)) {
			t.Errorf("the header has nothing of %q", want)
		}
	}
	player, err := os.ReadFile(filepath.Join(dir, "gait_player.h"))
	if err != nil || !bytes.Contains(player, []byte("#define GAIT_CHANNELS 18\n")) {
		t.Errorf("%v: the player is not made for 18 channels", err)
	}
	bins, err := set.Binaries()
	if err != nil || len(bins) != 4 || !bytes.Contains(bins[3].Data, []byte("CAUTION")) || !bytes.Contains(bins[3].Data, []byte(`Mark 2: "hit"`)) {
		t.Errorf("binaries: %d files, %v", len(bins), err)
	}
}
