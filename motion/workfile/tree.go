// SPDX-License-Identifier: MIT

package workfile

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// node is a place in the text of a workfile: a table, an array, or a value.
// go-toml decodes the values; the tree knows where they are and which
// comments belong to them.
type node struct {
	at    int // offset of the key or the table's header, -1 for a table that is only implied
	first int // line on which it begins, from 0; -1 when it has no line of its own
	last  int // line on which it ends

	keys  map[string]*node
	order []string // of keys
	items []*node
	text  string // of a scalar, "" otherwise
	raw   string // of a key and its value, for comparing

	lead  []string // comment lines above, "" for a blank line
	trail string   // comment behind, on the last line
	after []string // comment lines directly below, set off from what follows

	hoisted []string // comments of things inside that have no line in this text
}

// document is a parsed text: the tree, and the comments that belong to no key.
type document struct {
	root *node
	top  []string
	end  []string
	src  []byte
	line []int // offset at which each line begins
}

func newNode() *node { return &node{at: -1, first: -1, last: -1} }

func (n *node) kid(key string) *node {
	if k := n.keys[key]; k != nil {
		return k
	}
	if n.keys == nil {
		n.keys = map[string]*node{}
	}
	k := newNode()
	n.keys[key] = k
	n.order = append(n.order, key)
	return k
}

// into gives the table that a header or key leads to: the newest of an array.
func (n *node) into() *node {
	if len(n.items) > 0 {
		return n.items[len(n.items)-1]
	}
	return n
}

// parse builds the tree of a text, as far as its syntax is TOML. Whether keys
// come twice is left to go-toml.
func parse(src []byte) (*document, error) {
	d := &document{root: newNode(), src: src, line: []int{0}}
	for i, c := range src {
		if c == '\n' {
			d.line = append(d.line, i+1)
		}
	}
	p := unstable.Parser{KeepComments: true}
	p.Reset(src)
	here := d.root     // table of the last header
	var before *node   // last expression
	var loose []remark // comments since then
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Comment:
			loose = append(loose, d.remark(e))
			continue
		case unstable.KeyValue:
			n := d.keyValue(e, here)
			d.settle(loose, before, n)
			before = n
			d.trailing(e, n)
		case unstable.Table, unstable.ArrayTable:
			n, at := d.root, -1
			it := e.Key()
			for it.Next() {
				if at < 0 {
					at = d.header(int(it.Node().Raw.Offset))
				}
				n = n.into().kid(string(it.Node().Data))
			}
			if e.Kind == unstable.ArrayTable {
				item := newNode()
				n.items = append(n.items, item)
				if n.at < 0 {
					n.at = at
				}
				n = item
			}
			n.at, n.first = at, d.lineOf(at)
			n.last = n.first
			here = n
			d.settle(loose, before, n)
			before = n
			d.trailing(e, n)
		}
		loose = nil
	}
	d.finish(loose)
	return d, p.Error()
}

// find gives the key, such as leg[2].coxa, of the first node from n on that is
// wanted, things inside a table before the table; not ok when there is none.
func (n *node) find(wanted func(*node) bool) (key string, ok bool) {
	var parts []string // from the innermost out, so that deep keys are not copied level by level
	var look func(n *node) bool
	look = func(n *node) bool {
		for i, k := range n.items {
			if look(k) {
				parts = append(parts, "["+strconv.Itoa(i+1)+"]")
				return true
			}
		}
		for _, name := range n.order {
			if look(n.keys[name]) {
				parts = append(parts, "."+plain(name))
				return true
			}
		}
		return wanted(n)
	}
	if !look(n) {
		return "", false
	}
	slices.Reverse(parts)
	return strings.TrimPrefix(strings.Join(parts, ""), "."), true
}

// crowded gives the offset of the first key too many in a table that has more
// than mostKeys, and the table's key; not ok when there is no such table.
func (d *document) crowded() (at int, table string, ok bool) {
	table, ok = d.root.find(func(n *node) bool {
		if len(n.order) <= mostKeys {
			return false
		}
		at = n.keys[n.order[mostKeys]].at
		return true
	})
	return at, table, ok
}

// around gives the innermost key whose text holds the offset at, "" for none.
func (d *document) around(at int) string {
	key, _ := d.root.find(func(n *node) bool { return n.at >= 0 && n.at <= at && at < n.at+len(n.raw) })
	return key
}

// header finds the bracket that opens the header of the key at offset at.
func (d *document) header(at int) int {
	for at > 0 && strings.IndexByte("[ \t", d.src[at-1]) >= 0 {
		at--
	}
	for at < len(d.src) && d.src[at] != '[' {
		at++
	}
	return at
}

// keyValue adds a key with its value below table.
func (d *document) keyValue(e *unstable.Node, table *node) *node {
	n := table
	it := e.Key()
	for it.Next() {
		k := it.Node()
		n = n.kid(string(k.Data))
		if n.at < 0 {
			n.at = int(k.Raw.Offset)
		}
	}
	from, to := int(e.Raw.Offset), int(e.Raw.Offset+e.Raw.Length)
	n.raw = string(d.src[from:to])
	n.first, n.last = d.lineOf(from), d.lineOf(max(from, to-1))
	d.value(e.Value(), n)
	return n
}

// value adds what is inside arrays and inline tables.
func (d *document) value(v *unstable.Node, n *node) {
	var before *node
	it := v.Children()
	switch v.Kind {
	case unstable.Array, unstable.InlineTable:
	default:
		n.text = string(v.Data)
		return
	}
	var loose []remark
	for it.Next() {
		c := it.Node()
		if c.Kind == unstable.Comment {
			run := []remark{d.remark(c)}
			for more := c.Child(); more != nil; more = more.Next() {
				run = append(run, d.remark(more))
			}
			if before != nil && before.last == run[0].line {
				before.trail = run[0].text
				run = run[1:]
			}
			loose = run
			continue
		}
		var k *node
		if c.Kind == unstable.KeyValue {
			k = d.keyValue(c, n)
		} else {
			k = newNode()
			n.items = append(n.items, k)
			d.value(c, k)
			k.at = d.start(c)
			if k.at >= 0 {
				k.first = d.lineOf(k.at)
				k.last = max(k.first, lastLine(k))
			}
		}
		for _, r := range loose {
			k.lead = append(k.lead, r.text)
		}
		before, loose = k, nil
	}
	for _, r := range loose {
		if before != nil {
			before.after = append(before.after, r.text)
		} else {
			n.lead = append(n.lead, r.text)
		}
	}
}

// start gives the offset of a value in an array, or of the first thing in it
// when go-toml does not tell; -1 for an empty array.
func (d *document) start(v *unstable.Node) int {
	if v.Kind != unstable.Array {
		return int(v.Raw.Offset)
	}
	it := v.Children()
	for it.Next() {
		if at := d.start(it.Node()); at >= 0 {
			return at
		}
	}
	return -1
}

func lastLine(n *node) int {
	l := n.last
	for _, k := range n.items {
		l = max(l, lastLine(k))
	}
	for _, k := range n.keys {
		l = max(l, lastLine(k))
	}
	return l
}

// remark is a comment and its line.
type remark struct {
	line int
	text string
}

func (d *document) remark(c *unstable.Node) remark {
	return remark{d.lineOf(int(c.Raw.Offset)), strings.TrimRight(string(c.Data), " \t\r")}
}

func (d *document) trailing(e *unstable.Node, n *node) {
	if c := e.Next(); c != nil && c.Kind == unstable.Comment {
		n.trail = d.remark(c).text
	}
}

// settle gives the loose comments between two expressions to the one that
// they belong to: a paragraph that touches the upper one and not the lower
// one to the upper one, all else to the lower one. The paragraphs above the
// first key that do not touch it belong to the file.
func (d *document) settle(loose []remark, before, n *node) {
	line := -1
	if before != nil {
		line = before.last
	}
	all := paragraphs(loose)
	for i, p := range all {
		next := n.first
		if i+1 < len(all) {
			next = all[i+1][0].line
		}
		above := p[0].line > line+1
		line = p[len(p)-1].line
		below := next > line+1
		switch {
		case before == nil && below:
			d.top = append(texts(d.top, p), "")
		case before != nil && i == 0 && !above && below:
			before.after = texts(before.after, p)
		default:
			if above && before != nil {
				n.lead = append(n.lead, "")
			}
			n.lead = texts(n.lead, p)
		}
	}
	if before != nil && n.first > line+1 {
		n.lead = append(n.lead, "")
	}
}

// paragraphs groups comments that stand on adjacent lines.
func paragraphs(loose []remark) (all [][]remark) {
	for i, r := range loose {
		if i == 0 || r.line > loose[i-1].line+1 {
			all = append(all, nil)
		}
		all[len(all)-1] = append(all[len(all)-1], r)
	}
	return all
}

func texts(to []string, from []remark) []string {
	for _, r := range from {
		to = append(to, r.text)
	}
	return to
}

// finish keeps the comments below the last expression.
func (d *document) finish(loose []remark) {
	for i, p := range paragraphs(loose) {
		if i > 0 {
			d.end = append(d.end, "")
		}
		d.end = texts(d.end, p)
	}
}

// lineOf gives the line of an offset, from 0.
func (d *document) lineOf(at int) int {
	lo, hi := 0, len(d.line)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; d.line[mid] <= at {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// position gives line and column of an offset, from 1, in characters.
func position(src []byte, at int) (line, col int) {
	at = max(0, min(at, len(src)))
	head := src[:at]
	return bytes.Count(head, []byte{'\n'}) + 1, len([]rune(string(head[bytes.LastIndexByte(head, '\n')+1:]))) + 1
}
