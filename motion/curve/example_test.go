// SPDX-License-Identifier: MIT

package curve_test

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/curve"
)

// A foot swings 80 mm forward in 0.4 s, evenly along the path but for a gentle
// start and landing.
func Example() {
	path := curve.Bezier{
		P0: r3.Vec{X: -0.04}, P1: r3.Vec{X: -0.06, Z: 0.04},
		P2: r3.Vec{X: 0.06, Z: 0.04}, P3: r3.Vec{X: 0.04},
	}
	timing, err := curve.ParseTiming("ease-in-out")
	if err != nil {
		fmt.Println(err)
		return
	}
	even := curve.NewEven(path)
	span := curve.Span{Path: path, Timing: timing, Even: &even}
	if err := span.Check(); err != nil {
		fmt.Println(err)
		return
	}

	const duration = 0.4 // s
	fmt.Printf("length %.1f mm\n", 1000*even.Length())
	for _, t := range []float64{0, 0.1, 0.3, 0.4} {
		p, v, _ := span.At(t / duration)
		fmt.Printf("%.1f s: x %+.1f mm, z %.1f mm, speed %.3f m/s\n", t, 1000*p.X, 1000*p.Z, r3.Norm(v)/duration)
	}

	if _, err := curve.ParseTiming("cubic-bezier(0, 1.5, 1, 1)"); err != nil {
		fmt.Println(err)
	}
	// Output:
	// length 121.5 mm
	// 0.0 s: x -40.0 mm, z 0.0 mm, speed 0.000 m/s
	// 0.1 s: x -40.6 mm, z 15.0 mm, speed 0.322 m/s
	// 0.3 s: x +40.6 mm, z 15.0 mm, speed 0.322 m/s
	// 0.4 s: x +40.0 mm, z 0.0 mm, speed 0.000 m/s
	// curve: timing cubic-bezier(0, 1.5, 1, 1): y1 is 1.5: keep it from 0 to 1, outside the foot would pass the ends of its path
}
