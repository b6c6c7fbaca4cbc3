// SPDX-License-Identifier: MIT

package workfile

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// EncodeKeeping writes the file as Encode does and carries the comments of
// old, the text that was last read or saved, over to the same keys and
// tables: lines above, and what stands behind on the line. Tables of a list
// are matched by name (spans by their mark, foot tracks by their leg), then
// by what they say, then by place. A comment inside something that is now
// written on one line goes above it. Comments of what is gone are dropped;
// those at the top and the end of the file stay. An old text that is not TOML
// has no comments.
func (f *File) EncodeKeeping(old []byte) ([]byte, error) {
	var values map[string]any
	old = bytes.Clone(bytes.TrimPrefix(old, []byte("\ufeff")))
	if toml.Unmarshal(old, &values) != nil {
		return f.Encode()
	}
	from, err := parse(old)
	if err != nil {
		return f.Encode()
	}
	var empty []string // a header without keys may have comments
	for _, key := range [...]string{"ground", "limits", "supply"} {
		if from.root.keys[key] != nil {
			empty = append(empty, "["+key+"]")
		}
	}
	text, err := f.encode(empty)
	if err != nil {
		return nil, err
	}
	to, err := parse(text)
	if err != nil {
		return nil, err
	}
	carry(from.root, to.root, nil)
	to.top, to.end = from.top, from.end
	return to.write(), nil
}

// carry takes the comments of a matched pair of nodes, and of all below. The
// host is the node around that has a line in the new text.
func carry(from, to, host *node) {
	switch own := to.first >= 0 && (host == nil || to.first != host.first); {
	case own:
		host = to
		to.lead = from.lead
		to.trail = from.trail
		to.after = from.after
	case to.first < 0 && host == nil:
		hoist(from, firstLine(to))
	default:
		hoist(from, host)
	}
	for _, key := range from.order {
		k := from.keys[key]
		if n := to.keys[key]; n != nil {
			carry(k, n, host)
		} else if isDefault(k.text) {
			hoist(k, host) // left out because it says nothing, but a person did
		}
	}
	for i, j := range pairs(from.items, to.items) {
		if j >= 0 {
			carry(from.items[i], to.items[j], host)
		}
	}
}

// hoist puts comments that have no line of their own above the host.
func hoist(from, host *node) {
	if host == nil {
		return
	}
	for _, l := range slices.Concat(from.lead, []string{from.trail}, from.after) {
		if l != "" {
			host.hoisted = append(host.hoisted, l)
		}
	}
}

// firstLine finds the first thing in a table that has a line.
func firstLine(n *node) *node {
	if n.first >= 0 {
		return n
	}
	for _, key := range n.order {
		if k := firstLine(n.keys[key]); k != nil {
			return k
		}
	}
	for _, i := range n.items {
		if k := firstLine(i); k != nil {
			return k
		}
	}
	return nil
}

// isDefault tells whether a value is one that Encode leaves out.
func isDefault(text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	return text == "false" || err == nil && v == 0
}

// pairs matches the elements of two lists: for each of from its index in to,
// or -1.
func pairs(from, to []*node) []int {
	match, taken := make([]int, len(from)), make([]bool, len(to))
	for i := range match {
		match[i] = -1
	}
	by := func(id func(*node) string) {
		at := map[string][]int{}
		for j, n := range to {
			if s := id(n); s != "" && !taken[j] {
				at[s] = append(at[s], j)
			}
		}
		for i, n := range from {
			if s := id(n); match[i] < 0 && len(at[s]) > 0 {
				match[i], at[s] = at[s][0], at[s][1:]
				taken[match[i]] = true
			}
		}
	}
	by(nameIn)
	by(content)
	for i := range from {
		if i < len(to) && match[i] < 0 && !taken[i] {
			match[i], taken[i] = i, true
		}
	}
	return match
}

// nameIn gives what a table is called.
func nameIn(n *node) string {
	for _, key := range [...]string{"name", "to", "leg"} {
		if k := n.keys[key]; k != nil && k.text != "" {
			return key + "=" + k.text
		}
	}
	return ""
}

// content gives what a table says, in the order of its keys.
func content(n *node) string {
	var b strings.Builder
	for _, key := range sorted(n.keys) {
		b.WriteString(key + "=" + content(n.keys[key]) + "\n")
	}
	for _, i := range n.items {
		b.WriteString(content(i) + ",")
	}
	if v, err := strconv.ParseFloat(n.text, 64); err == nil {
		return b.String() + number(v)
	}
	return b.String() + n.text
}

// write puts a text together again with its comments.
func (d *document) write() []byte {
	lines := strings.Split(strings.TrimRight(string(d.src), "\n"), "\n")
	starts, ends := make([][]*node, len(lines)), make([]*node, len(lines))
	d.root.place(starts, ends)
	var out []string
	indent := ""
	add := func(more ...string) {
		for _, l := range more {
			if l != "" {
				out = append(out, indent+l)
			} else if len(out) > 0 && out[len(out)-1] != "" {
				out = append(out, "")
			}
		}
	}
	add(d.top...)
	end := d.end
	for i, line := range lines {
		bare := strings.TrimLeft(line, " ")
		indent, line = line[:len(line)-len(bare)], bare
		inside := indent != "" // an array, whose lines stand together
		for _, n := range starts[i] {
			if inside {
				add(slices.DeleteFunc(slices.Clone(n.lead), func(l string) bool { return l == "" })...)
			} else {
				add(n.lead...)
			}
			add(n.hoisted...)
		}
		if line == "" {
			add("")
			continue
		}
		n := ends[i]
		if n == nil {
			add(line)
			continue
		}
		if n.trail != "" {
			line += " " + n.trail
		}
		add(line)
		switch {
		case len(n.after) == 0:
		case i+1 == len(lines):
			end = slices.Concat(n.after, []string{""}, end)
		default:
			add(n.after...)
			if !inside {
				add("")
			}
		}
	}
	indent = ""
	if len(end) > 0 {
		add("")
		add(end...)
	}
	return []byte(strings.TrimRight(strings.Join(out, "\n"), "\n") + "\n")
}

// place notes which nodes begin and end on which line.
func (n *node) place(starts [][]*node, ends []*node) {
	if n.first >= 0 && (n.lead != nil || n.trail != "" || n.after != nil || n.hoisted != nil) {
		starts[n.first] = append(starts[n.first], n)
		ends[n.last] = n
	}
	for _, key := range n.order {
		n.keys[key].place(starts, ends)
	}
	for _, i := range n.items {
		i.place(starts, ends)
	}
}
