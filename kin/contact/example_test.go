// SPDX-License-Identifier: MIT

package contact_test

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/contact"
)

// A table of four legs, each with a knee that the force bends by 50 mm, carries
// 2 kg; then it is pushed aside, then too far.
func Example() {
	var feet []contact.Foot
	for _, p := range []r3.Vec{{X: 0.15, Y: 0.10}, {X: 0.15, Y: -0.10}, {X: -0.15, Y: -0.10}, {X: -0.15, Y: 0.10}} {
		feet = append(feet, contact.Foot{
			P:     p,
			JT:    [9]float64{kin.Tibia*3 + 2: 0.05},
			Limit: [kin.Joints]float64{0.5, 0.5, 0.5},
		})
	}
	p := contact.Problem{
		Force:    r3.Vec{Z: 19.6133},
		Point:    r3.Vec{X: 0.10, Y: 0.05, Z: 0.12},
		Normal:   r3.Vec{Z: 1},
		Friction: 0.4,
	}
	var solver contact.Solver
	force := make([]r3.Vec, len(feet))
	for _, push := range []float64{0, 5, 10} {
		p.Force.Y = push
		load, status := solver.Solve(&p, feet, force)
		fmt.Printf("%2.0f N: %v", push, status)
		if status != contact.Balanced && status != contact.Overloaded {
			least, ok := solver.LeastFriction(&p, feet)
			fmt.Printf(", least friction %.3f %t\n", least, ok)
			continue
		}
		fmt.Printf(", load %.3f, normal forces", load)
		for _, f := range force {
			fmt.Printf(" %.3f", f.Z)
		}
		fmt.Println(" N")
	}
	// Output:
	//  0 N: overloaded, load 1.144, normal forces 11.441 4.903 0.000 3.269 N
	//  5 N: balanced, load 0.844, normal forces 8.441 7.903 0.000 3.269 N
	// 10 N: needs friction, least friction 0.510 true
}
