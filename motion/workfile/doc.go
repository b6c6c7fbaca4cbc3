// SPDX-License-Identifier: MIT

// Package workfile reads and writes workfiles: one TOML file with the robot,
// its gaits and moves, and the sequence that is played, in people's units.
//
//	text ──Read──> File ──Build──> Built (SI units, for package sequence)
//	text <──Encode, EncodeKeeping── File
//
// Reading is strict and never repairs: whatever is unknown, missing or out of
// range is a Problem with file, line, column, key and remedy, and all of them
// are collected. The struct tags of File say what each key may be; the rest
// is in the check files. A File edited in memory passes the same checks
// (Check), without places.
//
// go-toml decodes and encodes. A tree of places and comments, built by its
// parser, leads problems to their line and lets EncodeKeeping carry people's
// notes over to the new text.
package workfile
