// SPDX-License-Identifier: MIT

package workfile

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// MaxSize is the size of the largest file that Read looks at.
const MaxSize = 1 << 20 // bytes

// Read reads a workfile. It is strict: what it does not know, misses, or
// finds out of range, it refuses with everything that is wrong, as Problems.
// The name is only for the messages. A byte order mark and CRLF line ends are
// fine.
func Read(name string, src []byte) (*File, error) {
	whole := func(text string, a ...any) error {
		return Problems{{File: name, Line: 1, Col: 1, Text: fmt.Sprintf(text, a...)}}
	}
	if len(src) > MaxSize {
		return nil, whole("the file has %d bytes; a workfile has at most %d", len(src), MaxSize)
	}
	src = bytes.Clone(bytes.TrimPrefix(src, []byte("\ufeff")))
	if len(bytes.TrimSpace(src)) == 0 {
		return nil, whole("the file is empty; start from one that \"gaitwright new\" writes")
	}
	doc, perr := parse(src)
	if at, table, ok := doc.crowded(); ok {
		line, col := position(src, at)
		return nil, Problems{{name, line, col, table, fmt.Sprintf("more than %d keys in one table, which a workfile never has; take out what does not belong there", mostKeys)}}
	}
	var values map[string]any
	if err := toml.Unmarshal(src, &values); err != nil {
		return nil, broken(name, doc, err, perr == nil)
	}
	if perr != nil {
		return nil, broken(name, doc, perr, false)
	}
	if v, ok := values["format"].(int64); ok && v > Version {
		line, col := position(src, doc.root.keys["format"].at)
		return nil, Problems{{name, line, col, "format", fmt.Sprintf(
			"this file is format %d; this program reads up to %d: use a newer program", v, Version)}}
	}
	f := new(File)
	c := checker{file: f, doc: doc, name: name}
	c.decode(values)
	if f.Format < 1 {
		c.add(path{"format"}, "there is no format %d; use %d", f.Format, Version)
	}
	c.check()
	if len(c.found) > 0 {
		return nil, c.problems()
	}
	return f, nil
}

// mostKeys is the greatest number of keys in a table that Read looks at: more
// than any table has, and few enough for the TOML decoder, whose time grows
// with the square of it.
const mostKeys = 2000

// broken turns an error of the TOML decoder into a problem. Where the text is
// well formed, it is about a value, and the key of that is named.
func broken(name string, doc *document, err error, formed bool) error {
	p := Problem{File: name, Line: 1, Col: 1}
	p.Text = "not TOML: " + strings.TrimPrefix(err.Error(), "toml: ")
	if strings.Contains(p.Text, strconv.ErrRange.Error()) {
		p.Text = "too great for a number; give a smaller one"
	}
	var de *toml.DecodeError
	if errors.As(err, &de) {
		row, col := de.Position()
		at := 0
		for range row - 1 {
			at += bytes.IndexByte(doc.src[at:], '\n') + 1
		}
		at += col - 1
		p.Line, p.Col = position(doc.src, at)
		if p.Key = keyText(de.Key()); p.Key == "" && formed {
			p.Key = doc.around(at)
		}
	}
	return Problems{p}
}

// Check tells everything that is wrong with a file that was made or edited in
// memory, as Problems without positions; nil when Read would take its text.
// The format number is not looked at, Encode writes the right one.
func (f *File) Check() error {
	c := checker{file: f}
	c.check()
	if len(c.found) > 0 {
		return c.problems()
	}
	return nil
}

// checker collects problems.
type checker struct {
	file  *File
	doc   *document // nil when there is no text
	name  string
	found []fault
	bad   map[string]bool // paths that have a problem already
	keys  map[reflect.Type][]key
	shaky bool // parts could not be read: names may be missing for that reason alone
	alone bool // a leg mirrors one that does not exist: the other may lack its mirror for that reason alone
}

// fault is a problem before its place is looked up.
type fault struct {
	path path
	at   int // offset, -1 to look it up by path
	text string
}

// path leads to a value: keys, and indices as decimal numbers from 0.
type path []string

func (p path) with(key string) path { return append(p[:len(p):len(p)], key) }

// on is with for one path at a time: it overwrites the last that p led on to.
func (p path) on(key string) path { return append(p, key) }

func (p path) id() string { return strings.Join(p, "\x00") }

// add notes a problem, unless the same place or a table around it has one.
func (c *checker) add(p path, text string, a ...any) {
	for i := len(p); i > 0; i-- {
		if c.bad[p[:i].id()] {
			return
		}
	}
	c.addAt(p, -1, text, a...)
}

func (c *checker) addAt(p path, at int, text string, a ...any) {
	if len(c.found) >= most {
		return
	}
	if c.bad == nil {
		c.bad = map[string]bool{}
	}
	c.bad[p.id()] = true
	c.found = append(c.found, fault{slices.Clone(p), at, fmt.Sprintf(text, a...)})
}

// offset finds the place of a path in the text: its own, or that of the table
// nearest around it.
func (c *checker) offset(p path) int {
	n, at := c.doc.root, 0
	for _, s := range p {
		k := n.keys[s]
		if i, ok := index(s); k == nil && ok && i < len(n.items) {
			k = n.items[i]
		}
		if k == nil {
			break
		}
		if n = k; n.at >= 0 {
			at = n.at
		}
	}
	return at
}

func (c *checker) problems() Problems {
	out := make(Problems, len(c.found))
	for i := range c.found {
		if f := &c.found[i]; c.doc != nil && f.at < 0 {
			f.at = c.offset(f.path)
		}
	}
	slices.SortStableFunc(c.found, func(a, b fault) int { return cmp.Compare(a.at, b.at) })
	for i, f := range c.found {
		out[i] = Problem{File: c.name, Key: c.keyOf(f.path), Text: f.text}
		if c.doc != nil {
			out[i].Line, out[i].Col = position(c.doc.src, f.at)
		}
	}
	return out
}
