// SPDX-License-Identifier: MIT

// Package assets holds the files that are built into the program: the demo,
// faulty examples, and the starting workfile.
package assets

import "embed"

// Demo is the workfile that every command works on when none is named.
//
//go:embed drummer.toml
var Demo []byte

// DemoName stands for a file name where the demo is used.
const DemoName = "demo"

// Walker is the four-legged demo.
//
//go:embed walker.toml
var Walker []byte

// New is the commented starting workfile.
//
//go:embed new.toml
var New []byte

// Faults holds one small faulty workfile for each word of the review, named
// faults/WORD.toml.
//
//go:embed faults/*.toml
var Faults embed.FS

// Schema is the JSON Schema of the workfile, for editors.
//
//go:embed schema.json
var Schema []byte

// Firmware holds the player for the microcontroller, its documents and the
// example programs, below firmware/.
//
//go:embed firmware
var Firmware embed.FS
