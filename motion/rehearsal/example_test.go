// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"fmt"

	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// A workfile is read, played and judged.
func Example() {
	src, err := assets.Faults.ReadFile("faults/low-strike.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	file, err := workfile.Read("low-strike.toml", src)
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := rehearsal.Run(file, rehearsal.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range r.Findings {
		fmt.Printf("%s, %s, at %.2f s: %s\n", f.Word, f.Level, f.Worst, f.Why)
		fmt.Println("mend:", f.Mend)
	}
	// Output:
	// low-strike, stop, at 2.15 s: the underside of the striking foot of leg LF comes down to 35.0 mm, below its floor of 39.0 mm
	// mend: raise the path of leg LF by 4.0 mm at “hit”
}
