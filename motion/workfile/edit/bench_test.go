// SPDX-License-Identifier: MIT

package edit_test

import (
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/workfile/edit"
)

// The menu of the walk panel is made of it, once a rehearsal.
func BenchmarkLibrary(b *testing.B) {
	f := opened(b, assets.Demo)
	for b.Loop() {
		if _, err := edit.Library(f); err != nil {
			b.Fatal(err)
		}
	}
}

// A new walk waits for it.
func BenchmarkEasy(b *testing.B) {
	f := opened(b, assets.Demo)
	for b.Loop() {
		if edit.Easy(f, 0) == 0 {
			b.Fatal("the demo cannot walk")
		}
	}
}
