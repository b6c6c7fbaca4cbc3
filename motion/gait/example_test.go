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

// The gaits known for a robot of four legs, listed in any order: here right
// rear, left front, left rear, right front.
func ExampleLibrary() {
	left, right := []int{1, 2}, []int{3, 0}
	gaits, err := gait.Library(left, right)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, g := range gaits {
		fmt.Printf("%s: duty %.2f, phases %.2f, at least %d feet down\n", g.Name, g.Duty, g.Phase, g.LeastDown())
	}
	// Output:
	// crawl: duty 0.83, phases [0.33 0.00 0.83 0.50], at least 3 feet down
	// trot: duty 0.50, phases [0.50 0.50 0.00 0.00], at least 2 feet down
	// pace: duty 0.50, phases [0.50 0.00 0.00 0.50], at least 2 feet down
	// bound: duty 0.40, phases [0.00 0.50 0.00 0.50], at least 0 feet down
}
