// SPDX-License-Identifier: MIT

package look_test

import (
	"fmt"

	"gaitwright/app/look"
)

// The same roles in two looks; reach classes differ in colour and in pattern.
func Example() {
	for _, dark := range []bool{false, true} {
		th := look.New(dark)
		fmt.Println(look.Contrast(th.Text, th.Panel) >= 4.5, look.ReachOut, th.Reach[look.ReachOut].Pattern)
	}
	// Output:
	// true out of reach dotted
	// true out of reach dotted
}
