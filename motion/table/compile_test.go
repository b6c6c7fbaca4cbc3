// SPDX-License-Identifier: MIT

package table

import (
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// tool runs a compiler or one of its tools in dir; they belong to what the
// tests need.
func tool(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v (\"go run ./cmd/start test\" installs it)\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// written puts the files of a format into a new folder.
func written(t *testing.T, tb *Table, f Format) string {
	t.Helper()
	dir := t.TempDir()
	files, err := tb.Files(f)
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		put(t, dir, file.Name, string(file.Data))
	}
	return dir
}

func put(t *testing.T, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// numbers reads what a test program printed.
func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var all []float64
	for _, w := range strings.Fields(text) {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, v)
	}
	return all
}

// long is a table whose move takes three arrays on an AVR.
func long(t *testing.T) (tb *Table, check func(t *testing.T, pulse, angle func(f, j int) float64)) {
	t.Helper()
	b, tr := made(4, 2600, 100, part{"rest", "", 0, 0.5}, part{"long", "long", 0.5, 25.5})
	tb, err := Make(b, tr, Options{Name: "long"})
	if err != nil {
		t.Fatal(err)
	}
	return tb, func(t *testing.T, pulse, angle func(f, j int) float64) {
		t.Helper()
		verify(t, b, tr, &tb.Moves[0], pulse, angle)
	}
}

// printer is a program that prints every number of a move: channels, pulses,
// angles. %[1]s is the file's name, %[2]s its macros' prefix, %[3]s the move,
// %[4]s the same in its macros, %[5]s how to say which number.
const printer = `#include <stdio.h>
#include "%[1]s.h"
int main(void)
{
	unsigned f, j;
	for (j = 0; j < %[2]s_JOINTS; j++)
		printf("%%u\n", (unsigned)%[1]s_channel[j]);
	for (f = 0; f < %[2]s_%[4]s_FRAMES; f++)
		for (j = 0; j < %[2]s_JOINTS; j++)
			printf("%%u %%d\n", (unsigned)%[1]s_%[3]s_pulse_us%[5]s, (int)%[1]s_%[3]s_angle_tenth_deg%[5]s);
	printf("%%.17g\n", (double)%[2]s_RATE_HZ);
	return 0;
}
`

// readBack checks what printer printed.
func readBack(t *testing.T, tb *Table, out string, check func(t *testing.T, pulse, angle func(f, j int) float64)) {
	t.Helper()
	v := numbers(t, out)
	n := len(tb.Joints)
	if want := n + 2*n*tb.Moves[0].Frames + 1; len(v) != want {
		t.Fatalf("%d numbers, want %d", len(v), want)
	}
	for j := range tb.Joints {
		if int(v[j]) != tb.Joints[j].Channel {
			t.Errorf("channel of joint %d: %v, want %d", j, v[j], tb.Joints[j].Channel)
		}
	}
	check(t,
		func(f, j int) float64 { return v[n+2*(f*n+j)] },
		func(f, j int) float64 { return v[n+2*(f*n+j)+1] })
	if v[len(v)-1] != tb.Rate {
		t.Errorf("rate %v, want %v", v[len(v)-1], tb.Rate)
	}
}

func TestCCompiledAndReadBack(t *testing.T) {
	b, tr, short := sample(t)
	tall, check := long(t)
	for _, c := range []struct {
		tb    *Table
		check func(t *testing.T, pulse, angle func(f, j int) float64)
	}{
		{short, func(t *testing.T, p, a func(f, j int) float64) { t.Helper(); verify(t, b, tr, &short.Moves[0], p, a) }},
		{tall, check},
	} {
		dir := written(t, c.tb, C)
		m := &c.tb.Moves[0]
		put(t, dir, "main.c", fmt.Sprintf(printer, c.tb.Name, strings.ToUpper(c.tb.Name), m.Name, strings.ToUpper(m.Name), "[f][j]"))
		tool(t, dir, "cc", "-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-o", "main",
			"main.c", c.tb.Name+"_pulse.c", c.tb.Name+"_angle.c")
		readBack(t, c.tb, tool(t, dir, filepath.Join(dir, "main")), c.check)
	}
}

// The bytes that avr-gcc puts into flash are taken out of its object files
// and compared.
func TestAVRCompiledAndReadBack(t *testing.T) {
	b, tr, short := sample(t)
	tall, check := long(t)
	for _, c := range []struct {
		tb     *Table
		arrays int
		check  func(t *testing.T, pulse, angle func(f, j int) float64)
	}{
		{short, 1, func(t *testing.T, p, a func(f, j int) float64) { t.Helper(); verify(t, b, tr, &short.Moves[0], p, a) }},
		{tall, 2, check},
	} {
		dir := written(t, c.tb, AVR)
		m := &c.tb.Moves[0]
		n := len(c.tb.Joints)
		kindAt := func(file, suffix string) func(f, j int) uint16 {
			src := c.tb.Name + file
			tool(t, dir, "avr-gcc", "-mmcu=atmega2560", "-Os", "-Wall", "-Wextra", "-Werror", "-c", src+".c", "-o", src+".o")
			tool(t, dir, "avr-objcopy", "-O", "binary", "--only-section=.progmem.data", src+".o", src+".bin")
			data, err := os.ReadFile(filepath.Join(dir, src+".bin"))
			if err != nil {
				t.Fatal(err)
			}
			var words []uint16
			for i := range c.arrays {
				name := fmt.Sprintf("%s_%s_%s_%d", c.tb.Name, m.Name, suffix, i)
				at, size := symbol(t, tool(t, dir, "avr-nm", "-S", src+".o"), name)
				for k := at; k < at+size; k += 2 {
					words = append(words, binary.LittleEndian.Uint16(data[k:]))
				}
			}
			if len(words) != n*m.Frames {
				t.Fatalf("%s: %d numbers in flash, want %d", suffix, len(words), n*m.Frames)
			}
			return func(f, j int) uint16 { return words[f*n+j] }
		}
		pulse, angle := kindAt("_pulse", "pulse_us"), kindAt("_angle", "angle_tenth_deg")
		c.check(t,
			func(f, j int) float64 { return float64(pulse(f, j)) },
			func(f, j int) float64 { return float64(int16(angle(f, j))) })

		// A firmware that uses the reading functions links.
		put(t, dir, "main.c", fmt.Sprintf(`#include "%[1]s.h"
volatile uint16_t sink;
int main(void)
{
	uint16_t f;
	for (f = 0; f < %[2]s_%[4]s_FRAMES; f++)
		sink = %[1]s_%[3]s_pulse_us(f, 1) + (uint16_t)%[1]s_%[3]s_angle_tenth_deg(f, 2) + pgm_read_word(&%[1]s_channel[0]);
	return 0;
}
`, c.tb.Name, strings.ToUpper(c.tb.Name), m.Name, strings.ToUpper(m.Name)))
		tool(t, dir, "avr-gcc", "-mmcu=atmega2560", "-Os", "-Wall", "-Wextra", "-Werror", "-o", "main.elf",
			"main.c", c.tb.Name+"_pulse.c", c.tb.Name+"_angle.c")
	}
}

// symbol finds address and size of a symbol in the output of avr-nm -S.
func symbol(t *testing.T, nm, name string) (at, size int) {
	t.Helper()
	for _, l := range strings.Split(nm, "\n") {
		if w := strings.Fields(l); len(w) == 4 && w[3] == name {
			a, err := strconv.ParseInt(w[0], 16, 64)
			if err != nil {
				t.Fatal(err)
			}
			s, err := strconv.ParseInt(w[1], 16, 64)
			if err != nil {
				t.Fatal(err)
			}
			return int(a), int(s)
		}
	}
	t.Fatalf("no symbol %s in\n%s", name, nm)
	return 0, 0
}

// The reading functions choose the right array and row: the same sources on a
// host, whose one memory stands in for the flash.
func TestAVRReadersOnHost(t *testing.T) {
	tb, check := long(t)
	dir := written(t, tb, AVR)
	put(t, dir, "avr/pgmspace.h", "#include <stdint.h>\n#define PROGMEM\n#define pgm_read_word(p) (*(const uint16_t *)(p))\n")
	put(t, dir, "main.c", fmt.Sprintf(printer, tb.Name, strings.ToUpper(tb.Name), tb.Moves[0].Name, strings.ToUpper(tb.Moves[0].Name), "((uint16_t)f, (uint8_t)j)"))
	tool(t, dir, "cc", "-std=c99", "-I.", "-Wall", "-Wextra", "-Werror", "-o", "main", "main.c", tb.Name+"_pulse.c", tb.Name+"_angle.c")
	readBack(t, tb, tool(t, dir, filepath.Join(dir, "main")), check)
}
