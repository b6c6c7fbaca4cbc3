// SPDX-License-Identifier: MIT

package sweep_test

import (
	"context"
	"fmt"

	"gaitwright/assets"
	"gaitwright/motion/sweep"
	"gaitwright/motion/workfile"
)

// Every change of the demo at four instants of the cycle, and how one of them
// is played.
func Example() {
	f, err := workfile.Read(assets.DemoName, assets.Demo)
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := sweep.Run(context.Background(), f, sweep.Options{Instants: 4})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Runs, "runs")
	for i := range r.Rows {
		fmt.Printf("%s: %d stops\n", r.Rows[i].Name, r.Rows[i].Worst().Bad)
	}
	for _, e := range sweep.Script(f, r.Rows[1].Cells[3]) {
		fmt.Println(e.Name)
	}
	// Output:
	// 36 runs
	// tripod to ripple: 0 stops
	// tripod to wave: 0 stops
	// ripple to tripod: 0 stops
	// ripple to wave: 0 stops
	// wave to tripod: 0 stops
	// wave to ripple: 0 stops
	// tripod, move strike: 0 stops
	// ripple, move strike: 0 stops
	// wave, move strike: 0 stops
	// stand
	// walk in tripod
	// on in wave
}
