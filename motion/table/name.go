// SPDX-License-Identifier: MIT

package table

import (
	"strconv"
	"strings"
	"unicode"
)

// identifier makes a C identifier of any text: ASCII letters, digits and
// single underscores, beginning with a letter and ending with none. Where
// nothing is left it is otherwise.
func identifier(s, otherwise string) string {
	var b strings.Builder
	gap := false
	for _, r := range s {
		if r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			if gap && b.Len() > 0 {
				b.WriteByte('_')
			}
			gap = false
			b.WriteRune(r)
		} else {
			gap = true
		}
	}
	id := b.String()
	if id == "" {
		return otherwise
	}
	if id[0] >= '0' && id[0] <= '9' {
		return otherwise + "_" + id
	}
	return id
}

// distinct gives id, or id with the first number that makes it differ from
// all in taken, whatever the case (macros are written in capitals), and adds
// it there.
func distinct(id string, taken map[string]bool) string {
	name := id
	for n := 2; taken[strings.ToUpper(name)]; n++ {
		name = id + "_" + strconv.Itoa(n)
	}
	taken[strings.ToUpper(name)] = true
	return name
}

// remark makes text fit to stand in a comment, of C or of CSV, on one line:
// nothing that ends or opens a comment, no control or direction characters.
func remark(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case !unicode.IsPrint(r):
			return '?'
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	s = strings.ReplaceAll(s, "*/", "* /")
	s = strings.ReplaceAll(s, "/*", "/ *")
	return strings.TrimRight(s, "\\ ")
}
