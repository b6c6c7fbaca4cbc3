// SPDX-License-Identifier: MIT

package contact

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// walker makes a robot with n legs around its body, standing on level ground,
// with legs of yaw, pitch and pitch and a random demand near its weight whose
// zero-moment point lies inside the feet.
func walker(rnd *rand.Rand, n int) (*Problem, []Foot) {
	p := &Problem{Normal: r3.Vec{Z: 1}, Friction: 0.4 + 0.6*rnd.Float64(), Point: r3.Vec{Z: 0.09}}
	leg := kin.Leg{Length: [kin.Joints]float64{0.03, 0.07, 0.11}}
	feet := make([]Foot, n)
	var zmp r3.Vec
	sum := 0.0
	for i := range feet {
		f := &feet[i]
		hip := kin.Pose{R: kin.RPY(0, 0, (float64(i)+0.3*rnd.Float64())*6.283/float64(n))}
		hip.P = hip.R.Mul(r3.Vec{X: 0.06})
		hip.P.Z = 0.09
		q := leg.Solve(r3.Vec{X: 0.09 + 0.03*rnd.Float64(), Y: 0.06 * (rnd.Float64() - 0.5), Z: -0.09}).Q
		jac := leg.Jacobian(q)
		f.P = hip.At(leg.Forward(q))
		for j := range kin.Joints {
			col := hip.R.Mul(r3.Vec{X: jac[j], Y: jac[3+j], Z: jac[6+j]})
			f.JT[3*j], f.JT[3*j+1], f.JT[3*j+2] = col.X, col.Y, col.Z
			f.Free[j] = 0.05 * (rnd.Float64() - 0.5)
			f.Limit[j] = 1
		}
		w := 0.2 + rnd.Float64()
		zmp = r3.Add(zmp, r3.Scale(w, f.P))
		sum += w
	}
	zmp = r3.Scale(1/sum, zmp)
	p.Force = r3.Vec{X: 4 * (rnd.Float64() - 0.5), Y: 4 * (rnd.Float64() - 0.5), Z: 20}
	p.Moment = r3.Cross(r3.Sub(zmp, p.Point), p.Force)
	p.Moment.Z += 0.2 * (rnd.Float64() - 0.5)
	return p, feet
}

var sink float64

func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{3, 4, 6, 12} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			rnd := rand.New(rand.NewPCG(3, uint64(n)))
			var problems [64]*Problem
			var feet [64][]Foot
			for i := range problems {
				problems[i], feet[i] = walker(rnd, n)
			}
			force := make([]r3.Vec, n)
			var s Solver
			b.ReportAllocs()
			steps, i := 0, 0
			for b.Loop() {
				sink, _ = s.Solve(problems[i&63], feet[i&63], force)
				steps += s.steps
				i++
			}
			b.ReportMetric(float64(steps)/float64(i), "steps/op")
		})
	}
}
