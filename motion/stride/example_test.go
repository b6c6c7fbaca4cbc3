// SPDX-License-Identifier: MIT

package stride_test

import (
	"fmt"

	"gaitwright/motion"
	"gaitwright/motion/stride"
)

// A robot with six legs starts in a tripod, goes over to a wave in mid-stride,
// and stops. Each request is in force within its bound.
func Example() {
	all := gaits(3)
	tripod, wave := &all[0], &all[2]
	w, err := stride.New(stride.Options{Robot: legged(3), Height: bodyHeight, Margin: margin})
	if err != nil {
		fmt.Println(err)
		return
	}
	walk := motion.Twist{Forward: 0.03}
	at := 0.0
	ask := func(after float64, r stride.Request) {
		at += after
		r.Height = bodyHeight
		if err := w.Ask(at, r); err != nil {
			fmt.Println(err)
		}
	}
	ask(0, stride.Request{Gait: tripod, Command: walk})
	ask(3.2, stride.Request{Gait: wave, Command: walk})
	s := w.State()
	fmt.Printf("at %.1f s: %s, changing until %.2f s\n", s.At, s.Gait.Name, s.Until)
	w.Advance(at + stride.Bound(tripod, wave))
	fmt.Printf("at %.1f s: in force %v\n", w.State().At, w.Done())
	ask(8, stride.Request{})
	for !w.Done() {
		w.Advance(w.Next())
	}
	s = w.State()
	fmt.Printf("at %.1f s: standing %v after %.0f mm\n", s.At, s.Standing, s.Course.X*1e3)
	fmt.Println(len(w.Plan().Feet), "chains without gaps")
	// Output:
	// at 3.2 s: wave, changing until 5.60 s
	// at 9.0 s: in force true
	// at 13.6 s: standing true after 286 mm
	// 6 chains without gaps
}
