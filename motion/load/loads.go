// SPDX-License-Identifier: MIT

// Package load says what a trajectory costs the robot at its real speed and
// with its real masses: where the ground must push, how it shares out over
// the feet, the torque of every joint, the current, and the supply's voltage.
//
// A foot is a point: the ground pushes at its centre, without a moment. All
// of it is worked out from the trajectory's exact speeds and accelerations;
// where those do not exist, or no forces of the ground can carry the motion,
// there are no numbers (NaN), and the state tells why.
package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/servo"
)

// State tells what is known of a sample.
type State uint8

const (
	Carried     State = iota // the ground carries the robot on the path
	Hung                     // it hangs on a stand: joints carry their legs alone
	Flying                   // no foot is planted, and it falls freely
	Unsupported              // no foot is planted, and nothing gives it the drawn path
	Pulled                   // a planted foot would have to pull
	Slipping                 // pushes would do, but not inside the friction cones
	Unknown                  // a joint has no speed or acceleration here, or one far past any servo
)

// String gives the state in words.
func (s State) String() string {
	return [...]string{"carried", "hung", "flying", "unsupported", "needs pull", "needs friction", "unknown"}[min(s, Unknown)]
}

// Loads are the loads of a trajectory, in flat arrays like the trajectory's.
// NaN stands where there is no number.
type Loads struct {
	N, Legs int
	Mass    float64 // of the whole robot, kg
	Gravity float64 // m/s²

	State   []State
	Acc     []float64 // of the centre of mass, W (samples x 3), m/s²
	Spin    []float64 // rate of angular momentum about it, W (samples x 3), N·m
	ZMP     []float64 // zero-moment point on the ground, W (samples x 3), m
	Dynamic []float64 // its signed distance inside the support polygon, seen from above (samples), m
	Energy  []float64 // normalised energy stability margin (samples), m
	Lift    []float64 // how far the robot, as it rolls over an edge of its support, has lifted its farthest planted foot (samples), m
	Tilt    []float64 // how far it has rolled over the edge then (samples), rad
	Slip    []float64 // how far it has slid since its feet last held, NaN where it turns (samples), m
	Force   []float64 // of the ground on each foot, W (samples x legs x 3), N
	Torque  []float64 // that each servo exerts (samples x legs x 3), N·m
	Current []float64 // of all servos (samples), A
	Voltage []float64 // of the supply under that current; 0 when each servo has its own (samples), V

	RMS    []float64    // root mean square of the torque over all samples that have one (legs x 3), N·m
	Known  int          // samples with a torque
	Lines  []servo.Line // of each servo at the supply's voltage without load (legs x 3)
	Supply kin.Supply
	Solved int // samples at which the forces were sought, not taken from samples beside
	Blows  []Blow

	// Kept marks the samples at which State, Acc, Spin, ZMP, Dynamic, Energy,
	// Force, Torque, Current and Voltage are, to the last bit, those of
	// Options.Before. Nil where none are.
	Kept []bool

	least    func(k int) (float64, bool)
	how      how
	footings []footing
	parts    []part
}

// LeastFriction gives the least coefficient of friction with which the feet
// carry the robot at sample k; not ok where none does.
func (l *Loads) LeastFriction(k int) (float64, bool) {
	if l.least == nil {
		return 0, false
	}
	return l.least(k)
}

// FallsFreely is how far the acceleration of the centre of mass may differ
// from free fall while no foot is planted (m/s²), and DriftsFreely which lever
// the weight may seem to have on the turning of the whole (m). Common
// practice: less than a person draws by hand on purpose.
const (
	FallsFreely  = 0.5
	DriftsFreely = 0.005
)

// OffFall gives how far the centre of mass is from free fall at sample k,
// m/s², and the lever at which the weight would turn the robot as it turns, m.
// NaN where the loads are not known.
func (l *Loads) OffFall(k int) (acc, lever float64) {
	a := vec(l.Acc, k*3)
	a.Z += l.Gravity
	return r3.Norm(a), r3.Norm(vec(l.Spin, k*3)) / (l.Mass * l.Gravity)
}

// Slides tells whether friction does not hold the feet at sample k.
func (l *Loads) Slides(k int) bool {
	return l.State[k] == Slipping || l.State[k] == Pulled && l.Slip[k] > 0
}

// Vec reads three numbers of a flat array.
func vec(a []float64, i int) r3.Vec { return r3.Vec{X: a[i], Y: a[i+1], Z: a[i+2]} }

// ForceAt gives the force of the ground on the foot of a leg at sample k, W, N.
func (l *Loads) ForceAt(k, leg int) r3.Vec { return vec(l.Force, (k*l.Legs+leg)*3) }

// ZMPAt gives the zero-moment point at sample k, W, m; not ok where there is none.
func (l *Loads) ZMPAt(k int) (r3.Vec, bool) {
	p := vec(l.ZMP, k*3)
	return p, !math.IsNaN(p.X)
}

// LineAt gives what servo o (leg times 3 plus joint) can do at sample k, at
// the voltage that the supply has left there.
func (l *Loads) LineAt(k, o int) servo.Line {
	line := l.Lines[o]
	if v := l.Voltage[k]; l.Supply.Voltage > 0 && v < l.Supply.Voltage { // false for NaN
		line = line.Scaled(max(0, v/l.Supply.Voltage))
	}
	return line
}

// rms fills RMS.
func (l *Loads) rms() {
	w := l.Legs * kin.Joints
	clear(l.RMS)
	l.Known = 0
	for k := range l.N {
		row := l.Torque[k*w : (k+1)*w]
		whole := true
		for _, v := range row {
			whole = whole && v == v
		}
		if !whole {
			continue
		}
		l.Known++
		for o, v := range row {
			l.RMS[o] += v * v
		}
	}
	for o, v := range l.RMS {
		l.RMS[o] = math.NaN()
		if l.Known > 0 {
			l.RMS[o] = math.Sqrt(v / float64(l.Known))
		}
	}
}
