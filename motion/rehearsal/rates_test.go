// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/rehearsal"
)

// Speeds and accelerations of body and joints are the central differences of
// places and angles, away from the seams, where accelerations step. On the
// level and on a slope, straight and turning, with sway and without.
func TestRatesAreDifferences(t *testing.T) {
	turn, side, roll, pitch := 25.0, 20.0, 4.0, -6.0
	for name, text := range map[string][]byte{"drummer": assets.Demo, "walker": assets.Walker} {
		for _, tilted := range []bool{false, true} {
			f := mustRead(t, name, text)
			for i := range f.Sequence {
				if e := &f.Sequence[i]; e.Kind == "walk" {
					e.Turn, e.Side = &turn, &side
				}
			}
			if tilted {
				f.Ground.Roll, f.Ground.Pitch = roll, pitch
			}
			r := mustRun(t, f, rehearsal.Options{Rate: 1000})
			tr := r.Trajectory
			smooth := make([]bool, tr.N)
			for k := range smooth {
				smooth[k] = k > 2 && k < tr.N-3
			}
			for _, s := range r.Plan.Seams() {
				for k := tr.Index(s) - 3; k <= tr.Index(s)+3; k++ {
					if k >= 0 && k < tr.N {
						smooth[k] = false
					}
				}
			}
			checked, moving := 0, 0
			// tell compares a rate with the difference of what it is the rate of.
			tell := func(what string, k int, got, before, here, after, scale float64) {
				want := (after - before) * tr.Rate / 2
				bend := math.Abs(after-2*here+before) * tr.Rate // how much the rate itself changes between samples
				checked++
				if math.Abs(want) > scale/10 {
					moving++
				}
				if !(math.Abs(got-want) <= 1e-3*scale+1.5*bend+2e-3*math.Abs(want)) {
					t.Fatalf("%s, tilted %v: %s at %.3f s is %v, differences say %v", name, tilted, what, tr.Time(k), got, want)
				}
			}
			for k := range tr.N {
				if !smooth[k] {
					continue
				}
				for i := range 3 {
					tell("velocity", k, tr.BodyV[k*6+i], tr.Body[k*6-6+i], tr.Body[k*6+i], tr.Body[k*6+6+i], 0.3)
				}
				for i := range 6 {
					tell("acceleration", k, tr.BodyA[k*6+i], tr.BodyV[k*6-6+i], tr.BodyV[k*6+i], tr.BodyV[k*6+6+i], 1)
				}
				// Ṙ·Rᵀ holds the angular velocity (textbook).
				a, b, c := tr.BodyPose(k-1), tr.BodyPose(k), tr.BodyPose(k+1)
				var d kin.Rot
				for n := range d {
					d[n] = (c.R[n] - a.R[n]) * tr.Rate / 2
				}
				w := d.Dot(kin.Rot{b.R[0], b.R[3], b.R[6], b.R[1], b.R[4], b.R[7], b.R[2], b.R[5], b.R[8]})
				if e := r3.Norm(r3.Sub(motion.Vec(tr.BodyV, k*6+3), r3.Vec{X: w[7], Y: w[2], Z: w[3]})); e > 1e-4 {
					t.Fatalf("%s: angular velocity off by %v at %.3f s", name, e, tr.Time(k))
				}
				for o := k * tr.Legs * 3; o < (k+1)*tr.Legs*3; o++ {
					w := tr.Legs * 3
					tell("joint speed", k, tr.V[o], tr.Q[o-w], tr.Q[o], tr.Q[o+w], 1)
					tell("joint acceleration", k, tr.A[o], tr.V[o-w], tr.V[o], tr.V[o+w], 10)
				}
			}
			if checked < 100000 || moving < checked/10 {
				t.Errorf("%s: only %d compared, %d of them moving", name, checked, moving)
			}
		}
	}
}

// Each swing that ends on the ground is a landing, with the velocity that the
// foot has just before.
func TestLandings(t *testing.T) {
	r := mustRun(t, mustRead(t, "drummer", assets.Demo), rehearsal.Options{Rate: 1000})
	tr := r.Trajectory
	want := 0
	for i := range tr.Legs {
		for k := 1; k < tr.N; k++ {
			if tr.Planted[k*tr.Legs+i] && !tr.Planted[(k-1)*tr.Legs+i] {
				want++
				found := false
				for _, m := range tr.Impacts {
					if m.Leg != i || m.Strike || math.Abs(m.At-tr.Time(k)) > 1.5/tr.Rate {
						continue
					}
					found = true
					// One-sided differences over the two samples before.
					n := int(math.Ceil(m.At*tr.Rate-1e-6)) - 1
					v := r3.Scale(tr.Rate, r3.Sub(tr.FootAt(n, i), tr.FootAt(n-1, i)))
					if d := r3.Norm(r3.Sub(v, m.Vel)); d > 0.05 {
						t.Errorf("leg %d at %.3f s lands with %v m/s, differences say %v", i, m.At, m.Vel, v)
					}
				}
				if !found {
					t.Errorf("no landing of leg %d at %.3f s", i, tr.Time(k))
				}
			}
		}
	}
	if got := len(tr.Impacts); got < want || want < 20 {
		t.Errorf("%d landings, want %d", got, want)
	}
}
