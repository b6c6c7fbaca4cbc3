// SPDX-License-Identifier: MIT

// Package finder is the search that leads to every action, place and term of
// the window: a field at the top of a card, and below it what fits, the best
// first. It works by keyboard alone: type, move with the arrows, Enter.
package finder
