// SPDX-License-Identifier: MIT

package gait_test

import (
	"fmt"

	"gaitwright/motion/gait"
)

// The wave gait of a six-legged robot in which one foot swings at a time.
func Example() {
	g := gait.Gait{Name: "wave", Period: 2.4, Duty: 5. / 6, Phase: gait.Wave(3, 5./6), StepHeight: 0.03, Swing: gait.PlainSwing}
	if err := g.Check(6); err != nil {
		fmt.Println(err)
		return
	}
	legs := []string{"LF", "LM", "LR", "RF", "RM", "RR"}
	for k := range 6 {
		phase := (float64(k) + 0.5) / 6
		for i := range legs {
			if !g.Down(i, phase) {
				fmt.Printf("%.1f s: %s swings\n", phase*g.Period, legs[i])
			}
		}
	}
	// Output:
	// 0.2 s: RR swings
	// 0.6 s: RM swings
	// 1.0 s: RF swings
	// 1.4 s: LR swings
	// 1.8 s: LM swings
	// 2.2 s: LF swings
}
