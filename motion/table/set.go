// SPDX-License-Identifier: MIT

package table

import (
	"bytes"
	"fmt"
	"strings"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// Set is all the sheets of an export.
type Set struct {
	Options // Name is an identifier
	Robot   string
	Sheets  []*Sheet
}

// NewSet makes clips into sheets.
func NewSet(b *workfile.Built, clips []Clip, how SheetOptions, o Options) (*Set, error) {
	set := &Set{Options: o, Robot: b.Robot.Name}
	set.Name = identifier(o.Name, "moves")
	for i := range clips {
		s, err := NewSheet(b, &clips[i], how)
		if err != nil {
			return nil, err
		}
		set.Sheets = append(set.Sheets, s)
	}
	if len(set.Sheets) == 0 {
		return nil, fmt.Errorf("%w: no move and no walk", ErrNoMove)
	}
	return set, nil
}

func (set *Set) sizes() ([]int, error) {
	var all []int
	for _, s := range set.Sheets {
		b, err := s.Binary()
		if err != nil {
			return nil, err
		}
		all = append(all, len(b))
	}
	return all, nil
}

// maxChunk is the size of an array of table bytes: less than avr-gcc takes.
const maxChunk = 32000

func even(n int) int { return n + n&1 }

// comment is the header comment without comment marks.
func (set *Set) comment() []string {
	t := &Table{Options: set.Options, Robot: set.Robot}
	s := set.Sheets[0]
	for i := range s.Channels {
		t.Joints = append(t.Joints, s.Channels[i].Joint)
	}
	l := []string{
		"Tables of the robot " + quote(set.Robot) + ", made by Gaitwright, for gait_player.c.",
		"",
		"Workfile:    " + quote(set.Workfile),
		"SHA-256:     " + set.SHA256,
		"Unit:        " + s.Unit.text(),
		"Rounding:    to the nearest, halves away from zero",
		fmt.Sprintf("Joint order: %d joints, leg by leg; bit i of a planted set is the i-th leg", len(t.Joints)),
	}
	for i := 0; i+2 < len(t.Joints); i += kin.Joints {
		j := t.Joints[i : i+3]
		l = append(l, fmt.Sprintf("  %2d to %2d:  leg %s: %s, %s, %s (channels %d, %d, %d)", i, i+2, quote(j[0].Leg),
			j[0].Name, j[1].Name, j[2].Name, j[0].Channel, j[1].Channel, j[2].Channel))
	}
	l = append(l, "")
	for _, s := range set.Sheets {
		l = append(l, s.about())
	}
	l = append(l, "", "CAUTION")
	for _, c := range cautions {
		l = append(l, "- "+c)
	}
	l = append(l, t.told()...)
	for i := range l {
		l[i] = remark(l[i])
	}
	return l
}

// about tells a sheet in a sentence.
func (s *Sheet) about() string {
	what := map[string]string{"walk": "one cycle of the walk", "start": "from standing into the walk", "stop": "from the walk to standing"}[s.Kind]
	if what == "" {
		what = s.Kind
	}
	packed := "plain"
	if s.Packing > 0 {
		packed = "packed"
	}
	return fmt.Sprintf("Table %s: %s %s, %d frames, %.6g s, %.4g Hz, %s, %s; held against the motion at %d Hz it is off by %.3f µs and %.3f mm at the most; speed factor up to %.2f.",
		s.Name, what, quote(s.Title), s.Frames, s.Duration, s.Rate(), s.Interpolation, packed, CheckRate, s.WorstUs, s.WorstMM, float64(s.Fastest)/256)
}

// poses tells entry and exit pose.
func (s *Sheet) poses() []string {
	line := func(name string, row []uint16) string {
		var b strings.Builder
		for i, v := range row {
			if i > 0 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "%g", s.Value(v))
		}
		return name + ": " + b.String()
	}
	out := s.Row(s.Frames - 1)
	if s.Loop {
		out = s.Row(0)
	}
	return []string{line("First pose", s.Row(0)), line("Last pose", out)}
}

// Binaries gives each sheet as a file of its own, and a text that tells what
// they are.
func (set *Set) Binaries() ([]File, error) {
	var text bytes.Buffer
	for _, l := range set.comment() {
		text.WriteString(strings.TrimRight(l, " ") + "\n")
	}
	var files []File
	for _, s := range set.Sheets {
		b, err := s.Binary()
		if err != nil {
			return nil, err
		}
		files = append(files, File{set.Name + "_" + s.Name + ".bin", b})
		fmt.Fprintf(&text, "\n%s_%s.bin\n", set.Name, s.Name)
		for _, l := range s.poses() {
			text.WriteString(l + "\n")
		}
		for i := range s.Marks {
			fmt.Fprintf(&text, "Mark %d: %s, frame %g\n", i, quote(remark(s.Marks[i].Name)), float64(s.Places[i].At)/256)
		}
	}
	return append(files, File{set.Name + ".txt", text.Bytes()}), nil
}

// Sources gives each sheet as a C source, a header for all of them, and
// gait_tables.h, which the examples include. On an AVR the data is in flash:
// where near addresses reach it all, else far.
func (set *Set) Sources() ([]File, error) {
	sizes, err := set.sizes()
	if err != nil {
		return nil, err
	}
	total := 0
	for _, n := range sizes {
		total += n
	}
	far := total > maxNear
	w := &cWriter{cap: strings.ToUpper(set.Name)}
	var h, list bytes.Buffer
	comment := set.comment()
	w.comment(&h, comment)
	fmt.Fprintf(&h, "#ifndef GAITWRIGHT_%s_TABLES_H\n#define GAITWRIGHT_%s_TABLES_H\n\n#include \"gait_player.h\"\n", w.cap, w.cap)
	w.comment(&list, comment)
	fmt.Fprintf(&list, "#ifndef GAIT_TABLES_H\n#define GAIT_TABLES_H\n\n#include \"%s_tables.h\"\n\n#define GAIT_TABLES", set.Name)
	files := []File{{}, {}}
	for i, s := range set.Sheets {
		id := set.Name + "_" + s.Name
		h.WriteString("\n")
		lines := append([]string{remark(s.about()), fmt.Sprintf("%d bytes.", sizes[i])}, s.poses()...)
		w.comment(&h, lines)
		fmt.Fprintf(&h, "extern const struct gait_table %s;\n", id)
		taken := map[string]bool{}
		for k := range s.Marks {
			fmt.Fprintf(&h, "#define %s_MARK_%s %d\n", strings.ToUpper(id), strings.ToUpper(distinct(identifier(s.Marks[k].Name, "mark"), taken)), k)
		}
		if i > 0 {
			list.WriteString(",")
		}
		fmt.Fprintf(&list, " \\\n\t&%s", id)
		src, err := set.source(w, s, id, comment, far)
		if err != nil {
			return nil, err
		}
		files = append(files, File{id + ".c", src})
	}
	h.WriteString("\n#endif\n")
	fmt.Fprintf(&list, "\n#define GAIT_TABLE_COUNT %d\n\n#endif\n", len(set.Sheets))
	files[0] = File{set.Name + "_tables.h", h.Bytes()}
	files[1] = File{"gait_tables.h", list.Bytes()}
	return files, nil
}

// source writes one sheet.
func (set *Set) source(w *cWriter, s *Sheet, id string, comment []string, far bool) ([]byte, error) {
	data, err := s.Binary()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w.comment(&b, comment)
	fmt.Fprintf(&b, "#include \"%s_tables.h\"\n\n", set.Name)
	n := (len(data) + maxChunk - 1) / maxChunk
	if far {
		b.WriteString("#ifdef __AVR__\n#include <avr/pgmspace.h>\n#ifndef pgm_read_byte_far\n#error \"these tables lie beyond the first 64 KiB of flash, which this part cannot read\"\n#endif\n")
		for i := range n {
			fmt.Fprintf(&b, "#define PLACE_%d __attribute__((section(\".text.%s_%d\")))\n", i, id, i)
		}
		b.WriteString("#define BYTE(a, at) pgm_read_byte_far(pgm_get_far_address(a) + (at))\n#else\n")
	} else {
		b.WriteString("#ifdef __AVR__\n#include <avr/pgmspace.h>\n")
		for i := range n {
			fmt.Fprintf(&b, "#define PLACE_%d PROGMEM\n", i)
		}
		b.WriteString("#define BYTE(a, at) pgm_read_byte(&(a)[(uint16_t)(at)])\n#else\n")
	}
	for i := range n {
		fmt.Fprintf(&b, "#define PLACE_%d\n", i)
	}
	b.WriteString("#define BYTE(a, at) (a)[at]\n#endif\n")
	for i := range n {
		chunk := data[i*maxChunk : min(len(data), (i+1)*maxChunk)]
		// An even length: on an AVR code may follow in the same section, and
		// its library does not ask to be aligned.
		fmt.Fprintf(&b, "\nstatic const uint8_t data_%d[%d] PLACE_%d = {", i, even(len(chunk)), i)
		for k, v := range chunk {
			if k%20 == 0 {
				b.WriteString("\n\t")
			}
			fmt.Fprintf(&b, "%d,", v)
		}
		b.WriteString("\n};\n")
	}
	b.WriteString("\nstatic void read(uint32_t at, uint8_t *to, uint8_t n)\n{\n\tfor (; n; n--, at++, to++)\n")
	for i := range n {
		if i == n-1 {
			if i > 0 {
				fmt.Fprintf(&b, "\t\telse\n\t\t\t*to = BYTE(data_%d, at - %dU * %dUL);\n", i, i, maxChunk)
			} else {
				b.WriteString("\t\t*to = BYTE(data_0, at);\n")
			}
			break
		}
		el := ""
		if i > 0 {
			el = "else "
		}
		sub := ""
		if i > 0 {
			sub = fmt.Sprintf(" - %dU * %dUL", i, maxChunk)
		}
		fmt.Fprintf(&b, "\t\t%sif (at < %dUL)\n\t\t\t*to = BYTE(data_%d, at%s);\n", el, (i+1)*maxChunk, i, sub)
	}
	fmt.Fprintf(&b, "}\n\nconst struct gait_table %s = {read, %dUL};\n", id, len(data))
	return b.Bytes(), nil
}
