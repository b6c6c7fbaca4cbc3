// SPDX-License-Identifier: MIT

package document

import (
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"gaitwright/motion/workfile"
)

// Reason says in one sentence why a change was refused, "" for no error: the
// first problem of several, without the names of packages, and with the file's
// key behind it.
func Reason(err error) string {
	if err == nil {
		return ""
	}
	var all workfile.Problems
	if errors.As(err, &all) && len(all) > 0 {
		key := ""
		if all[0].Key != "" {
			key = " (" + all[0].Key + ")"
		}
		return sentence(all[0].Text, key)
	}
	text, _, _ := strings.Cut(err.Error(), "\n")
	for {
		head, rest, ok := strings.Cut(text, ": ")
		if !ok || strings.ContainsAny(head, " “”\"()") && !strings.HasPrefix(head, "unusable ") {
			return sentence(text, "")
		}
		text = rest
	}
}

// sentence begins with a capital letter and ends with a full stop.
func sentence(text, tail string) string {
	text = strings.TrimRight(strings.TrimSpace(text), ".")
	r, n := utf8.DecodeRuneInString(text)
	if n == 0 {
		return ""
	}
	return string(unicode.ToUpper(r)) + text[n:] + tail + "."
}
