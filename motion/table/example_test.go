// SPDX-License-Identifier: MIT

package table_test

import (
	"fmt"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/sequence"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

// A robot of four legs holds one pose for three frames.
func Example() {
	b := &workfile.Built{Script: sequence.Script{Seq: []sequence.Entry{{Name: "pose", Kind: sequence.Move}}}}
	for _, name := range []string{"LF", "LR", "RF", "RR"} {
		b.Robot.Legs = append(b.Robot.Legs, kin.Leg{Name: name})
		var c [kin.Joints]workfile.Channel
		for j := range c {
			c[j] = workfile.Channel{Number: 3*len(b.Channels) + j, Set: true, Centre: 1500, PerRad: 600, Min: 500, Max: 2500, Sign: 1}
		}
		b.Channels = append(b.Channels, c)
	}
	t := &motion.Trajectory{Rate: 50, N: 3, Legs: 4, Q: make([]float64, 3*4*3),
		Parts: []motion.Part{{Name: "pose", Kind: "move", From: 0, To: 0.04}}}
	t.Q[0] = 0.5 // rad

	tb, err := table.Make(b, t, table.Options{Name: "my robot"})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := &tb.Moves[0]
	fmt.Println(m.Name, m.Frames, "frames, first joint:", m.Pulse[0], "µs,", m.Angle[0], "tenths of a degree")
	files, err := tb.Files(table.AVR)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range files {
		fmt.Println(f.Name)
	}
	// Output:
	// pose 3 frames, first joint: 1800 µs, 286 tenths of a degree
	// my_robot.h
	// my_robot_pulse.c
	// my_robot_angle.c
}
