// SPDX-License-Identifier: MIT

package table

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
)

// ErrFlash is what the error wraps when an AVR cannot hold the tables.
var ErrFlash = errors.New("table: too large for the near flash of an AVR")

// maxArray is the largest object that avr-gcc takes, bytes: its int has 16
// bits (avr-gcc 5.4 refuses 32,768 bytes, "size of array is too large").
const maxArray = 32767

// maxNear is how many bytes of one kind of table fit where pgm_read_word
// reads: its address has 16 bits, and the interrupt vectors come first (57 of
// 4 bytes on an ATmega2560; avr-libc, avr/pgmspace.h).
const maxNear = 64*1024 - 256

// kind is one of the two kinds of table.
type kind struct {
	suffix string // of the arrays' names
	ctype  string
	unit   string
	at     func(m *Move, i int) int
}

var kinds = [...]kind{
	{"pulse_us", "uint16_t", "servo pulse width, µs", func(m *Move, i int) int { return int(m.Pulse[i]) }},
	{"angle_tenth_deg", "int16_t", "joint angle, 0.1 degree", func(m *Move, i int) int { return int(m.Angle[i]) }},
}

// cWriter writes the C of one export.
type cWriter struct {
	t   *Table
	avr bool
	cap string // prefix of macros
}

// block is a run of frames that shares an array.
type block struct {
	from, to int    // frames [from, to)
	name     string // of the array
}

// blocks splits a move's frames into arrays. On a host there is one.
func (w *cWriter) blocks(m *Move, k *kind) []block {
	base := w.t.Name + "_" + m.Name + "_" + k.suffix
	if !w.avr {
		return []block{{0, m.Frames, base}}
	}
	rows := maxArray / (2 * len(w.t.Joints))
	var all []block
	for from := 0; from < m.Frames; from += rows {
		all = append(all, block{from, min(from+rows, m.Frames), fmt.Sprintf("%s_%d", base, len(all))})
	}
	return all
}

func (t *Table) c(avr bool) ([]File, error) {
	w := &cWriter{t: t, avr: avr, cap: strings.ToUpper(t.Name)}
	size := 0 // of one kind, bytes
	for i := range t.Moves {
		size += 2 * len(t.Moves[i].Pulse)
	}
	size += 2 * len(t.Joints)
	if avr && size > maxNear {
		return nil, fmt.Errorf("%w: %d bytes of pulses, and as many of angles, but %d can be read: lower the rate, shorten the moves, or export fewer of them at a time", ErrFlash, size, maxNear)
	}
	files := []File{{t.Name + ".h", w.header(size)}}
	for i := range kinds {
		name := t.Name + "_" + strings.SplitN(kinds[i].suffix, "_", 2)[0] + ".c"
		files = append(files, File{name, w.source(i)})
	}
	return files, nil
}

func (w *cWriter) comment(b *bytes.Buffer, lines []string) {
	b.WriteString("/*\n")
	for _, l := range lines {
		b.WriteString(strings.TrimRight(" * "+l, " ") + "\n")
	}
	b.WriteString(" */\n")
}

// header writes NAME.h.
func (w *cWriter) header(size int) []byte {
	t := w.t
	var b bytes.Buffer
	lines := t.comment("arrays named ..._pulse_us: " + kinds[0].unit + "; arrays named ..._angle_tenth_deg: " + kinds[1].unit)
	if w.avr {
		lines = append(lines, "",
			fmt.Sprintf("Flash: %d bytes of pulses, %d bytes of angles. The functions below read only the first", size, size-2*len(t.Joints)),
			"64 KiB of flash, where all other PROGMEM data must fit too: leave out the source file that you do",
			"not need.")
	}
	w.comment(&b, lines)
	fmt.Fprintf(&b, "#ifndef GAITWRIGHT_%s_H\n#define GAITWRIGHT_%s_H\n\n#include <stdint.h>\n", w.cap, w.cap)
	if w.avr {
		b.WriteString("#include <avr/pgmspace.h>\n")
	}
	rate := number(t.Rate)
	if !strings.ContainsAny(rate, ".e") {
		rate += ".0"
	}
	fmt.Fprintf(&b, "\n#define %s_JOINTS %d\n#define %s_RATE_HZ %s\n", w.cap, len(t.Joints), w.cap, rate)
	read := ""
	if w.avr {
		read = "; read it with pgm_read_word"
	}
	fmt.Fprintf(&b, "\n/* Output channel of each joint, in %s_pulse.c%s. */\nextern const uint16_t %s_channel[%s_JOINTS];\n", t.Name, read, t.Name, w.cap)
	for i := range t.Moves {
		m := &t.Moves[i]
		up := w.cap + "_" + strings.ToUpper(m.Name)
		b.WriteString("\n")
		w.comment(&b, []string{remark(fmt.Sprintf("%s: %d frames, %.6g s.", m.Title, m.Frames, t.Duration(m)))})
		fmt.Fprintf(&b, "#define %s_FRAMES %d\n", up, m.Frames)
		for k := range kinds {
			blocks := w.blocks(m, &kinds[k])
			for _, bl := range blocks {
				fmt.Fprintf(&b, "extern const %s %s[%d][%s_JOINTS];\n", kinds[k].ctype, bl.name, bl.to-bl.from, w.cap)
			}
			if w.avr {
				w.reader(&b, m, &kinds[k], blocks)
			}
		}
	}
	b.WriteString("\n#endif\n")
	return b.Bytes()
}

// reader writes the function that fetches one number from flash.
func (w *cWriter) reader(b *bytes.Buffer, m *Move, k *kind, blocks []block) {
	fmt.Fprintf(b, "static inline %s %s_%s_%s(uint16_t frame, uint8_t joint)\n{\n", k.ctype, w.t.Name, m.Name, k.suffix)
	for i, bl := range blocks {
		row := "frame"
		if bl.from > 0 {
			row = fmt.Sprintf("frame - %d", bl.from)
		}
		if i < len(blocks)-1 {
			fmt.Fprintf(b, "\tif (frame < %d)\n\t", bl.to)
		}
		fmt.Fprintf(b, "\treturn (%s)pgm_read_word(&%s[%s][joint]);\n", k.ctype, bl.name, row)
	}
	b.WriteString("}\n")
}

// source writes the data of one kind.
func (w *cWriter) source(k int) []byte {
	t := w.t
	var b bytes.Buffer
	w.comment(&b, t.comment(kinds[k].unit))
	fmt.Fprintf(&b, "#include \"%s.h\"\n", t.Name)
	flash := ""
	if w.avr {
		flash = " PROGMEM"
	}
	if k == 0 {
		fmt.Fprintf(&b, "\nconst uint16_t %s_channel[%s_JOINTS]%s = {", t.Name, w.cap, flash)
		for i := range t.Joints {
			if i > 0 {
				b.WriteString(", ")
			}
			fmt.Fprint(&b, t.Joints[i].Channel)
		}
		b.WriteString("};\n")
	}
	n := len(t.Joints)
	for i := range t.Moves {
		m := &t.Moves[i]
		for _, bl := range w.blocks(m, &kinds[k]) {
			fmt.Fprintf(&b, "\nconst %s %s[%d][%s_JOINTS]%s = {\n", kinds[k].ctype, bl.name, bl.to-bl.from, w.cap, flash)
			for f := bl.from; f < bl.to; f++ {
				b.WriteString("\t{")
				for j := range n {
					if j > 0 {
						b.WriteString(", ")
					}
					fmt.Fprint(&b, kinds[k].at(m, f*n+j))
				}
				b.WriteString("},\n")
			}
			b.WriteString("};\n")
		}
	}
	return b.Bytes()
}
