// SPDX-License-Identifier: MIT

// Package weigh finds a body's mass and centre of mass from what a person can
// measure: the readings of scales under the feet of the robot in its stand
// pose, and, for the height, once more with the robot tilted on a board.
package weigh

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/motion/workfile"
)

// Reading is what the scale under a foot shows. A foot that is lifted just
// clear of its scale reads 0.
type Reading struct {
	Leg  string
	Mass float64 // kg
}

// Tilt is a second weighing in the same stance, on a board that is tilted
// about one axis (ISO 8855: positive pitch lowers the nose, positive roll the
// right side). The scales lie on the board and tilt with it, so that each
// shows the share of the force along the board's normal.
type Tilt struct {
	Pitch, Roll float64 // one of them, the other 0, rad
	Readings    []Reading
}

// Bounds on what is believed.
const (
	most      = 100.0              // of a reading and of the total, kg
	leastBody = 0.001              // kg; what a workfile takes
	leastTilt = 3 * math.Pi / 180  // rad
	mostTilt  = 30 * math.Pi / 180 // rad; rubber slides at atan(0.6) = 31 degrees
	blur      = 0.02               // m; a height that a Slip may move further is not worth having
	slack     = 0.01               // of the total, by which the tilted readings may miss their sum
	leastFeet = 3
)

// Slip is the error of one scale, kg, by which results are judged.
const Slip = 0.005

// Result is what a weighing tells.
type Result struct {
	Total                  float64  // of everything, kg
	Links, Servos, Payload float64  // of these as the workfile has them, kg
	Body                   float64  // what is left for the body, kg
	Whole                  r3.Vec   // centre of mass of everything in B; z only with a Tilt, else 0, m
	Centre                 r3.Vec   // centre of mass of the body in B; z is the workfile's without a Tilt, m
	Height                 bool     // z was measured
	Doubt                  float64  // farthest that a Slip of one scale moves Centre in x and y, m
	DoubtHeight            float64  // the same in z, with a Tilt, m
	DoubtAngle             float64  // how far one degree of error of the tilt moves z, m
	Outside                bool     // Centre lies outside the body's outline, seen from above
	Stance                 []string // legs that stood on scales
}

// Work evaluates the readings of a robot in its stand pose: body level at its
// stand height, every foot on its standing point; with a tilt, readings of the
// same pose on the tilted board. tilt may be nil.
//
// On level ground the forces on the feet balance the weight when
//
//	Σ f_i p_i = M c   in x and y,   M = Σ f_i
//
// with p_i the feet and c the centre of mass of everything. The body's centre
// follows by taking the first moments of links, servos and payload away. The
// weight's height has no part in it.
//
// On the board the weight's line of action meets the ground plane at c leaning
// by the tilt. Forces along the board act in that plane and turn nothing about
// an axis in it, however the feet share them, so that the readings along the
// normal give
//
//	x' = x + h tan(pitch),   y' = y - h tan(roll)
//
// with h the height of c over the ground. h is as uncertain as x' - x divided
// by the tangent: it is refused below 3 degrees, or when a Slip of one scale
// would move the body's z by more than 20 mm. Sources: balance of moments
// about the ground plane, textbook (the reaction method for a centre of mass);
// signs ISO 8855.
//
// Errors are a *Fault. Cost: one inverse kinematics a leg.
func Work(b *workfile.Built, level []Reading, tilt *Tilt) (*Result, error) {
	s, err := newStance(b)
	if err != nil {
		return nil, err
	}
	flat, err := s.readings(level, false)
	if err != nil {
		return nil, err
	}
	r := s.result(flat)
	if r.Body < leastBody {
		return nil, &Fault{Text: fmt.Sprintf(
			"all readings together are %s, which leaves %s for the body: links weigh %s, servos %s and payload %s in the workfile; correct these masses, or weigh again",
			Grams(r.Total), Grams(r.Body), Grams(r.Links), Grams(r.Servos), Grams(r.Payload))}
	}
	var leaning []float64
	if tilt != nil {
		if leaning, err = s.tilted(tilt, r.Total); err != nil {
			return nil, err
		}
	}
	r.Centre, r.Whole = s.centre(flat, leaning, tilt)
	if tilt == nil {
		r.Centre.Z, r.Whole.Z = b.Robot.Body.COM.Z, 0
	} else if h := r.Whole.Z + b.Height; h <= 0 {
		return nil, &Fault{Tilted: true, Text: fmt.Sprintf(
			"the centre of mass comes out %s below the ground: positive pitch lowers the nose, positive roll the right side; check the sign of the tilt, and that each reading is at the right leg", millimetres(-h))}
	}
	s.doubts(r, flat, leaning, tilt)
	if tilt != nil && r.DoubtHeight > blur {
		return nil, &Fault{Tilted: true, Text: fmt.Sprintf(
			"at this tilt a scale that is %s off moves the height by %s, too much to be of use; tilt the board more, or leave the tilted weighing out", Grams(Slip), millimetres(r.DoubtHeight))}
	}
	r.Height = tilt != nil
	r.Outside = outside(b.Robot.Body.Outline, r.Centre)
	return r, nil
}

// Apply writes mass and centre into a workfile, rounded to what scales
// justify: 0.1 g and 0.1 mm.
func (r *Result) Apply(f *workfile.File) {
	f.Robot.BodyMass = tenths(r.Body * 1000)
	f.Robot.BodyCentre[0], f.Robot.BodyCentre[1] = tenths(r.Centre.X*1000), tenths(r.Centre.Y*1000)
	if r.Height {
		f.Robot.BodyCentre[2] = tenths(r.Centre.Z * 1000)
	}
}

func tenths(v float64) float64 {
	return math.Round(v*10)/10 + 0 // no minus zero
}

// stance is the robot standing.
type stance struct {
	b     *workfile.Built
	model *mass.Model
	feet  []r3.Vec // pBF
	rest  r3.Vec   // first moment of all but the body about B's origin, kg·m
	parts float64  // mass of all but the body, kg
}

// newStance places the legs. A leg that cannot stand as the workfile says
// cannot have been weighed so.
func newStance(b *workfile.Built) (*stance, error) {
	s := &stance{b: b, model: mass.Lump(&b.Robot)}
	var chains []kin.Chain
	for i := range b.Robot.Legs {
		l := &b.Robot.Legs[i]
		p := r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius - b.Height}
		x := l.XBH()
		sol := l.Solve(x.Into(p))
		if sol.Status == kin.Missed {
			return nil, &Fault{Leg: l.Name, Text: fmt.Sprintf("its foot misses its standing point by %s; correct stand_mm or stand_height_mm first", millimetres(sol.Miss))}
		}
		for j, q := range sol.Q {
			if l.Limits[j].Outside(q) > 1e-9 {
				return nil, &Fault{Leg: l.Name, Text: fmt.Sprintf("its %s would have to stand at %.1f°, outside its range; correct stand_mm, stand_height_mm or the range first", kin.JointName(j), q*180/math.Pi)}
			}
		}
		s.feet = append(s.feet, p)
		chains = append(chains, sol.Chain)
	}
	s.parts = s.model.Total - b.Robot.Body.Mass
	s.rest = r3.Sub(r3.Scale(s.model.Total, s.model.Centre(chains)), r3.Scale(b.Robot.Body.Mass, b.Robot.Body.COM))
	return s, nil
}

// result fills what needs no centre.
func (s *stance) result(flat []float64) *Result {
	r := &Result{Total: sum(flat), Payload: s.b.Robot.Payload.Mass}
	for i := range s.b.Robot.Legs {
		l := &s.b.Robot.Legs[i]
		for j := range kin.Joints {
			r.Links += l.Links[j].Mass
			r.Servos += l.Servos[j].Mass
		}
		if flat[i] > 0 {
			r.Stance = append(r.Stance, l.Name)
		}
	}
	r.Body = r.Total - s.parts
	return r
}

// readings puts readings in the order of legs, kg.
func (s *stance) readings(all []Reading, tilted bool) ([]float64, error) {
	legs := s.b.Robot.Legs
	out := make([]float64, len(legs))
	given := make([]bool, len(legs))
	for _, r := range all {
		refuse := func(text string, a ...any) error {
			return &Fault{Leg: r.Leg, Tilted: tilted, Text: fmt.Sprintf(text, a...)}
		}
		i := s.b.Robot.LegIndex(r.Leg)
		switch {
		case i < 0:
			return nil, refuse("there is no such leg; the workfile has %s", names(legs, func(int) bool { return true }))
		case given[i]:
			return nil, refuse("its reading is given twice; give it once")
		case math.IsNaN(r.Mass) || math.IsInf(r.Mass, 0):
			return nil, refuse("the reading is not a number; give what its scale shows, in grams")
		case r.Mass < 0:
			return nil, refuse("the reading %s is negative; set the empty scale to zero and weigh again", Grams(r.Mass))
		case r.Mass > most:
			return nil, refuse("the reading %s is more than %s; give grams", Grams(r.Mass), Grams(most))
		}
		out[i], given[i] = r.Mass, true
	}
	if slices.Contains(given, false) {
		return nil, &Fault{Tilted: tilted, Missing: true, Text: fmt.Sprintf("no reading for %s; give one for each leg, 0 for a foot that is lifted just clear",
			names(legs, func(i int) bool { return !given[i] }))}
	}
	down := 0
	for _, v := range out {
		if v > 0 {
			down++
		}
	}
	switch total := sum(out); {
	case down < leastFeet:
		return nil, &Fault{Tilted: tilted, Text: fmt.Sprintf("only %d above 0; a robot stands on %d feet at the least", down, leastFeet)}
	case total > most:
		return nil, &Fault{Tilted: tilted, Text: fmt.Sprintf("all readings together are %s, more than %s; give grams", Grams(total), Grams(most))}
	}
	return out, nil
}

// tilted checks the second weighing.
func (s *stance) tilted(t *Tilt, total float64) ([]float64, error) {
	angle := math.Abs(t.Pitch) + math.Abs(t.Roll)
	switch {
	case t.Pitch != 0 && t.Roll != 0:
		return nil, &Fault{Tilted: true, Text: "the board is tilted by pitch and by roll; tilt it about one axis only"}
	case !(angle >= leastTilt-1e-9 && angle <= mostTilt+1e-9): // not by rounding
		return nil, &Fault{Tilted: true, Text: fmt.Sprintf("a tilt of %.3g° does not serve; tilt the board by 3° to 30°, so little that no foot slides", angle*180/math.Pi)}
	}
	out, err := s.readings(t.Readings, true)
	if err != nil {
		return nil, err
	}
	want := total * math.Cos(angle)
	if got := sum(out); math.Abs(got-want) > max(slack*total, 2*Slip) {
		return nil, &Fault{Tilted: true, Text: fmt.Sprintf(
			"the readings add up to %s, where scales that lie on the board would show %s together; see that no scale lies level, and look readings and angle over", Grams(got), Grams(want))}
	}
	return out, nil
}

// centre gives the centre of mass of the body and of everything in B. Without
// a tilt both have z as if everything lay in the ground plane.
func (s *stance) centre(flat, leaning []float64, t *Tilt) (body, whole r3.Vec) {
	total := sum(flat)
	c := s.pressure(flat)
	whole = r3.Vec{X: c.X, Y: c.Y, Z: -s.b.Height}
	if t != nil {
		shift := r3.Sub(s.pressure(leaning), c)
		if t.Pitch != 0 {
			whole.Z += shift.X / math.Tan(t.Pitch)
		} else {
			whole.Z -= shift.Y / math.Tan(t.Roll)
		}
	}
	return r3.Scale(1/(total-s.parts), r3.Sub(r3.Scale(total, whole), s.rest)), whole
}

// pressure gives the centre of pressure in B, z unused.
func (s *stance) pressure(f []float64) r3.Vec {
	var m r3.Vec
	for i, p := range s.feet {
		m = r3.Add(m, r3.Scale(f[i], p))
	}
	return r3.Scale(1/sum(f), m)
}

// doubts fills how far errors move the result, by making them.
func (s *stance) doubts(r *Result, flat, leaning []float64, t *Tilt) {
	look := func(f []float64) {
		for i := range f {
			if f[i] == 0 {
				continue // nothing stands there
			}
			for _, by := range [...]float64{-Slip, Slip} {
				was := f[i]
				f[i] += by
				if total := sum(flat); total-s.parts > 0 {
					c, _ := s.centre(flat, leaning, t)
					r.Doubt = max(r.Doubt, math.Hypot(c.X-r.Centre.X, c.Y-r.Centre.Y))
					if t != nil {
						r.DoubtHeight = max(r.DoubtHeight, math.Abs(c.Z-r.Centre.Z))
					}
				} else {
					r.Doubt = math.Inf(1) // the body weighs less than the error
				}
				f[i] = was
			}
		}
	}
	look(flat)
	if t == nil {
		return
	}
	look(leaning)
	for _, by := range [...]float64{-math.Pi / 180, math.Pi / 180} {
		u := *t
		if u.Pitch != 0 {
			u.Pitch += by
		} else {
			u.Roll += by
		}
		c, _ := s.centre(flat, leaning, &u)
		r.DoubtAngle = max(r.DoubtAngle, math.Abs(c.Z-r.Centre.Z))
	}
}

// outside tells whether p lies right of an edge of a counter-clockwise
// outline.
func outside(outline []r3.Vec, p r3.Vec) bool {
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (b.X-a.X)*(p.Y-a.Y)-(b.Y-a.Y)*(p.X-a.X) < 0 {
			return true
		}
	}
	return false
}

func sum(f []float64) float64 {
	s := 0.0
	for _, v := range f {
		s += v
	}
	return s
}

// names lists legs.
func names(legs []kin.Leg, which func(int) bool) string {
	var n []string
	for i := range legs {
		if which(i) {
			n = append(n, legs[i].Name)
		}
	}
	if k := len(n) - 1; k > 0 {
		return strings.Join(n[:k], ", ") + " and " + n[k]
	}
	return strings.Join(n, "")
}
