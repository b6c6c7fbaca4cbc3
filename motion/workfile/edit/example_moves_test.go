// SPDX-License-Identifier: MIT

package edit_test

import (
	"fmt"
	"log"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// The first strike of the demo is split, and slowed down with all that comes
// after it moving along.
func Example_move() {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		log.Fatal(err)
	}
	strike := edit.Spot{Move: 0, Track: 0, Span: 2}
	if _, err := edit.Split(f, strike, 1600, -1); err != nil {
		log.Fatal(err)
	}
	if err := edit.SetSpanLength(f, strike, 300, true); err != nil {
		log.Fatal(err)
	}
	for _, k := range f.Moves[0].Marks[:4] {
		fmt.Printf("%s at %v ms\n", k.Name, k.At)
	}
	// One mark cannot overtake another.
	err = edit.Retime(f, 0, 1, 1900, false)
	fmt.Println(edit.Words(err))
	// Output:
	// weight back at 800 ms
	// raised at 1450 ms
	// via at 1750 ms
	// hit at 1860 ms
	// At 1900 ms the mark raised would not be before via: let the later marks move along, or give it 1749 ms or earlier.
}
