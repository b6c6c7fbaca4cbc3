// SPDX-License-Identifier: MIT

package sequence_test

import (
	"fmt"

	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/sequence"
)

// A six-legged robot stands, walks forward on an arc and stops.
func Example() {
	ease := curve.Timing{Kind: curve.CubicBezier, X1: 0.42, X2: 0.58, Y2: 1}
	script := sequence.Script{
		Robot:  legged(3),
		Height: 0.09,
		Gaits:  []gait.Gait{{Name: "wave", Period: 1.2, Duty: 0.75, Phase: gait.Wave(3, 0.75), StepHeight: 0.03, Swing: gait.PlainSwing, Timing: ease}},
		Seq: []sequence.Entry{
			{Name: "stand", Kind: sequence.Stand, Duration: 0.5},
			{Name: "round the corner", Kind: sequence.Walk, Cycles: 4, Command: motion.Twist{Forward: 0.05, Turn: 0.25}},
		},
	}
	plan, err := sequence.Plan(&script)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, part := range plan.Parts {
		c := plan.BodyAt(part.To).CourseAt(part.To)
		fmt.Printf("%s: until %.2f s, at %.3f m, %.3f m, %.2f rad\n", part.Name, part.To, c.X, c.Y, c.Yaw)
	}
	// Output:
	// stand: until 0.50 s, at 0.000 m, 0.000 m, 0.00 rad
	// round the corner: until 5.90 s, at 0.166 m, 0.088 m, 0.97 rad
}
