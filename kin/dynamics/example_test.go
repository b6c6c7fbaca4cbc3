// SPDX-License-Identifier: MIT

package dynamics_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/dynamics"
)

// A leg of three rods lifts its foot: first held still, then swung, then with
// the ground pushing up; last what it would strike with.
func Example() {
	leg := dynamics.Leg{Length: [kin.Joints]float64{0.030, 0.060, 0.090}}
	for j, m := range []float64{0.04, 0.05, 0.03} {
		leg.Links[j] = kin.Link{
			Mass: m, COM: r3.Vec{X: leg.Length[j] / 2}, Inertia: kin.Rod(m, leg.Length[j], 0.005),
		}
	}
	q := [kin.Joints]float64{0, 20 * math.Pi / 180, -100 * math.Pi / 180}
	rest := [kin.Joints]float64{}
	base := dynamics.Base{Gravity: r3.Vec{Z: -9.80665}}

	held, _ := leg.InverseDynamics(q, rest, rest, &base, r3.Vec{})
	swung, _ := leg.InverseDynamics(q, [kin.Joints]float64{2, 3, -4}, [kin.Joints]float64{40, 60, 0}, &base, r3.Vec{})
	stood, body := leg.InverseDynamics(q, rest, rest, &base, r3.Vec{Z: 5})
	fmt.Printf("held  %7.4f %7.4f %7.4f N·m\n", held[0], held[1], held[2])
	fmt.Printf("swung %7.4f %7.4f %7.4f N·m\n", swung[0], swung[1], swung[2])
	fmt.Printf("stood %7.4f %7.4f %7.4f N·m, the body gets %.3f N\n", stood[0], stood[1], stood[2], body.Force.Z)
	m, ok := leg.EffectiveMass(q, r3.Vec{Z: 1})
	fmt.Printf("strikes down with %.1f g %t\n", m*1000, ok)
	// Output:
	// held   0.0000  0.0327  0.0023 N·m
	// swung  0.0169  0.0452  0.0051 N·m
	// stood  0.0000 -0.3273 -0.0758 N·m, the body gets 3.823 N
	// strikes down with 41.6 g true
}
