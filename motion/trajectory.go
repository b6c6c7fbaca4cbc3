// SPDX-License-Identifier: MIT

package motion

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// Trajectory is a motion sampled at even steps, every leg solved. Arrays are
// flat: sample k of leg i of joint j is at (k·Legs + i)·3 + j.
type Trajectory struct {
	Rate float64 // samples a second, Hz
	N    int     // samples; sample k is at k/Rate
	Legs int

	RWG kin.Rot // tilt of the ground

	Body   []float64 // x, y, z of B in W and roll, pitch, yaw (samples x 6), m and rad
	BodyV  []float64 // velocity of B's origin and angular velocity of B, W (samples x 6), m/s and rad/s
	BodyA  []float64 // their rates, W (samples x 6), m/s² and rad/s²
	COM    []float64 // centre of mass of everything, W (samples x 3), m
	Margin []float64 // static stability margin, -Inf with no planted foot (samples), m

	Q       []float64 // joint angles (samples x legs x 3), rad
	V       []float64 // joint speeds (samples x legs x 3), rad/s
	A       []float64 // joint accelerations, NaN where there are none (samples x legs x 3), rad/s²
	Foot    []float64 // foot centre where the path puts it, W (samples x legs x 3), m
	Points  []float64 // femur axis, knee and foot as the leg really stands, B (samples x legs x 9), m
	Reach   []float64 // signed reach, negative where missed (samples x legs), m
	Planted []bool    // (samples x legs)

	Parts    []Part
	Marks    []Mark
	Floors   []Stretch
	Mirrored []Stretch
	Floating []Stretch
	Targets  []Stretch
	Breaks   []float64 // when a piece of the plan gives way to the next, in order of time, s
	Seams    []Seam
	Impacts  []Impact
	Jolts    []Jolt

	// Kept marks the samples that Resample took over: to the last bit those of
	// the trajectory that it was given. Nil where none were.
	Kept []bool
}

// Seam is what changes at once, for one leg, where a piece of the plan gives
// way to the next.
type Seam struct {
	At   float64 // s
	Leg  int
	Step [kin.Joints]float64 // joint angle after minus before, rad
	Kick [kin.Joints]float64 // joint speed after minus before, rad/s
}

// Impact is a foot that meets the ground or a target.
type Impact struct {
	At     float64 // s
	Leg    int
	Strike bool    // on a target, Height over the ground
	Height float64 // m

	XWB kin.Pose
	Q   [kin.Joints]float64 // rad
	Vel r3.Vec              // of the foot centre just before, W, m/s
}

// Duration is the time of the last sample, s.
func (t *Trajectory) Duration() float64 {
	if t.N == 0 {
		return 0
	}
	return float64(t.N-1) / t.Rate
}

// Time of sample k, s.
func (t *Trajectory) Time(k int) float64 { return float64(k) / t.Rate }

// Index of the sample nearest to time s, within the trajectory.
func (t *Trajectory) Index(s float64) int {
	if !(s > 0) {
		return 0
	}
	return int(max(0, min(float64(t.N-1), math.Round(s*t.Rate))))
}

// Reached tells whether the leg touches its target at sample k.
func (t *Trajectory) Reached(k, leg int) bool { return t.Reach[k*t.Legs+leg] >= 0 }

// Unbroken gives the last sample, not after to, that is of the same pieces of
// the plan as sample k: accelerations may step after it.
func (t *Trajectory) Unbroken(k, to int) int {
	first := func(i int) int { return int(math.Ceil((t.Breaks[i] - atSeam) * t.Rate)) }
	if n := sort.Search(len(t.Breaks), func(i int) bool { return first(i) > k }); n < len(t.Breaks) {
		to = min(to, first(n)-1)
	}
	return to
}

// Vec reads three numbers of a flat array as a vector.
func Vec(a []float64, i int) r3.Vec { return r3.Vec{X: a[i], Y: a[i+1], Z: a[i+2]} }

// FootAt gives pWF of a leg's target at sample k, m.
func (t *Trajectory) FootAt(k, leg int) r3.Vec { return Vec(t.Foot, (k*t.Legs+leg)*3) }

// BodyPose gives xWB at sample k.
func (t *Trajectory) BodyPose(k int) kin.Pose {
	b := t.Body[k*6 : k*6+6]
	return kin.Pose{P: r3.Vec{X: b[0], Y: b[1], Z: b[2]}, R: kin.RPY(b[3], b[4], b[5])}
}

// JointsAt gives a leg's angles at sample k, rad.
func (t *Trajectory) JointsAt(k, leg int) (q [kin.Joints]float64) {
	copy(q[:], t.Q[(k*t.Legs+leg)*3:])
	return q
}

// LinkPoints gives the ends of a leg's links in B at sample k: femur axis,
// knee, foot, m.
func (t *Trajectory) LinkPoints(k, leg int) (p [3]r3.Vec) {
	o := (k*t.Legs + leg) * 9
	return [3]r3.Vec{Vec(t.Points, o), Vec(t.Points, o+3), Vec(t.Points, o+6)}
}

// PartAt gives the index of the part in force at time s (at a seam the one
// that begins), -1 when there is none.
func (t *Trajectory) PartAt(s float64) int {
	i := sort.Search(len(t.Parts), func(i int) bool { return t.Parts[i].To > s+1e-9 })
	return min(i, len(t.Parts)-1)
}

// differ gives V of one leg at sample k by central differences, one-sided at
// the ends: what is left to say of a speed where no exact one exists, on a
// singular pose or where the leg misses its target.
func (t *Trajectory) differ(k, leg int) {
	w := t.Legs * kin.Joints
	a, b := max(k-1, 0), min(k+1, t.N-1)
	for j := range kin.Joints {
		o := leg*kin.Joints + j
		v := 0.0
		if b > a {
			v = (t.Q[b*w+o] - t.Q[a*w+o]) * t.Rate / float64(b-a)
		}
		t.V[k*w+o] = v
	}
}
