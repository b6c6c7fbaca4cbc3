// SPDX-License-Identifier: MIT

package pace_test

import (
	"fmt"

	"gaitwright/motion"
	"gaitwright/motion/pace"
	"gaitwright/motion/workfile"
)

// How fast the robot of a new workfile can go, and what limits it.
func Example() {
	f, err := workfile.Read("new.toml", workfile.Starter())
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := f.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	limits := pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance}
	p, err := pace.New(&b.Robot, b.Height, &b.Gaits[0], limits)
	if err != nil {
		fmt.Println(err)
		return
	}
	ahead := p.Fastest(pace.Ahead(0))
	fmt.Printf("%s: %.0f mm/s ahead, limited by %s of leg %s\n", b.Gaits[0].Name, ahead.Speed*1000, ahead.Limit.Word, b.Robot.Legs[ahead.Limit.Leg].Name)

	w := motion.Twist{Forward: 2 * ahead.Speed}
	fmt.Printf("twice as fast: %.1f times beyond\n", p.Judge(w).Factor)
	n := p.Numbers(ahead.Command)
	fmt.Printf("stride %.0f mm, stroke %.0f mm, at least %d feet down\n", n.Stride*1000, n.Stroke[0]*1000, n.Least)
	// Output:
	// tripod: 125 mm/s ahead, limited by joint-speed of leg RF
	// twice as fast: 2.0 times beyond
	// stride 125 mm, stroke 69 mm, at least 3 feet down
}
