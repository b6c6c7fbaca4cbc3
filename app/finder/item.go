// SPDX-License-Identifier: MIT

package finder

// Item is one thing that can be found.
type Item struct {
	Kind string // what it is, in a word: "action", "leg"
	Name string
	More string // other words by which it is found; not shown
	Hint string // what it is or does, in a sentence
	Keys string // its shortcut, "" for none
	Why  string // why it cannot be done now, "" when it can
	Do   func()
}
