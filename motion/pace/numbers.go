// SPDX-License-Identifier: MIT

package pace

import (
	"math"

	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// Numbers is what a gait and a command amount to.
type Numbers struct {
	Speed  float64   // v, of the body's origin over the ground, m/s
	Turn   float64   // in a cycle, rad
	Stride float64   // λ = v·T, the way of the body in a cycle, m
	Stroke []float64 // R = v·β·T of each leg, the way of its foot as seen from the body in a stance (legs), m
	Duty   float64   // mean duty factor

	Standing []gait.Standing // feet down over the cycle
	Least    int             // feet down at the least
	Mean     float64         // feet down in the mean

	Hip    float64 // mean height of the mounts over the ground, m
	Froude float64 // v²/(g·h), h the height of the hips; 0 where they have none
	Margins
}

// Numbers works out what a command means. R and λ: Song and Waldron, Machines
// That Walk, 1989, ch. 2 (from memory). In a turn each foot has a speed of its
// own, and its stroke is an arc.
func (p *Pace) Numbers(w motion.Twist) Numbers {
	g := &p.gait
	v := math.Hypot(w.Forward, w.Side)
	n := Numbers{
		Speed: v, Turn: w.Turn * g.Period, Stride: v * g.Period, Duty: g.MeanDuty(),
		Standing: g.Standing(), Least: g.LeastDown(), Mean: g.MeanDown(),
		Margins: p.Margins(w),
	}
	for i := range p.legs {
		l := &p.legs[i]
		foot := math.Hypot(w.Forward-w.Turn*l.stand.Y, w.Side+w.Turn*l.stand.X)
		n.Stroke = append(n.Stroke, foot*l.duty*g.Period)
		n.Hip += (p.height + l.PBH.Z) / float64(len(p.legs))
	}
	n.Froude = Froude(v, n.Hip, p.robot.Gravity)
	return n
}

// Froude numbers at which animals change their way of going (Alexander,
// Physiological Reviews 69, 1989; from memory).
const (
	FroudeRun    = 0.5 // about here from walk to run, or trot
	FroudeVault  = 1.0 // past it a stiff leg cannot keep its foot on the ground
	FroudeGallop = 2.5 // between 2 and 3 from trot to gallop
)

// Froude gives v²/(g·h): the speed of going v (m/s) against the height of the
// hips h (m) under gravity g (m/s²). 0 for a height or a gravity that is not
// positive.
func Froude(v, h, g float64) float64 {
	if !(h > 0 && g > 0) {
		return 0
	}
	return v * v / (g * h)
}

// Electrical gives the mean power of a current at a voltage, sample by sample
// (A and V, of the same length), W. Samples of which one of the two is not
// finite are left out; not ok when none is left.
func Electrical(current, voltage []float64) (power float64, ok bool) {
	return mean(len(current), func(k int) float64 { return current[k] * voltage[k] })
}

// Mechanical gives the mean power at the joints: the sum of |torque·speed| of
// all joints (N·m and rad/s, samples x joints), W: what is braked is not given
// back. Samples with a joint whose torque or speed is not finite are left out;
// not ok when none is left.
func Mechanical(torque, speed []float64, joints int) (power float64, ok bool) {
	if joints <= 0 {
		return 0, false
	}
	return mean(len(torque)/joints, func(k int) float64 {
		sum := 0.0
		for o := k * joints; o < (k+1)*joints; o++ {
			sum += math.Abs(torque[o] * speed[o])
		}
		return sum
	})
}

func mean(n int, at func(int) float64) (float64, bool) {
	sum, known := 0.0, 0
	for k := range n {
		if v := at(k); !math.IsNaN(v) && !math.IsInf(v, 0) {
			sum += v
			known++
		}
	}
	if known == 0 {
		return 0, false
	}
	return sum / float64(known), true
}

// Transport gives the cost of transport P/(m·g·v): the power (W) for the
// weight of a robot of mass m (kg) under gravity g (m/s²) at the speed v (m/s).
// Not ok for a robot that stands, or has no weight (textbook).
func Transport(power, m, g, v float64) (cost float64, ok bool) {
	c := power / (m * g * v)
	return c, v > 0 && m > 0 && g > 0 && !math.IsNaN(c) && !math.IsInf(c, 0)
}
