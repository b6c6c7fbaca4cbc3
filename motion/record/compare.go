// SPDX-License-Identifier: MIT

package record

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"gaitwright/kin"
	"gaitwright/motion"
)

// Step is a foot that should come down, and when it did.
type Step struct {
	Leg     int
	Planned float64 // s, of the motion; NaN when it came down and was not to
	Seen    float64 // s, NaN when it was not seen
}

// Late is how much later than planned the foot came down, negative when it was
// early, NaN when it was not seen, s.
func (s *Step) Late() float64 { return s.Seen - s.Planned }

// Touch is what the foot switch of a leg tells of its steps.
type Touch struct {
	Leg    int
	Steps  int     // that were planned in the time of the log
	Missed int     // of them, that were not seen
	Extra  int     // touchdowns that were not planned
	Mean   float64 // of Late, NaN without a step, s
	Spread float64 // standard deviation of Late, NaN with fewer than two, s
	Worst  float64 // the Late farthest from 0, NaN without a step, s
	At     float64 // when the foot was to come down then; the first missed step where one is missed, NaN for none, s
}

// Follow is how well a joint followed.
type Follow struct {
	Leg, Joint int
	Rows       int
	Mean       float64 // of measured less planned, rad
	RMS        float64 // rad
	Worst      float64 // the difference farthest from 0, rad
	At         float64 // when that was, s
	Lag        float64 // by which the joint is behind, when it is seen to move; NaN, s
}

// Comparison is a log held against the motion.
type Comparison struct {
	Offset float64 // added to the log's times, s
	Fitted bool    // Offset is the one with which the log fits best: what all feet and joints are late by in common does not show
	Doubt  bool    // the log fits about as well at another time of the motion, as a part of a walk does
	Steps  []Step  // that were planned, leg by leg, in order of time
	Extra  []Step  // that were not, leg by leg, in order of time
	Touch  []Touch // of the legs with a foot switch
	Follow []Follow
}

// What Compare's errors are.
var (
	ErrOther = errors.New("record: the log is of another robot")
	ErrSpan  = errors.New("record: the offset is no number of seconds")
	ErrApart = errors.New("record: the log has no time in common with the motion")
	ErrAlign = errors.New("record: the log cannot be aligned with the motion: it has no motion_s, and too few changes of its foot switches or joints; say --offset")
)

// bounce is how long a switch has to stay for a change to count, s: contacts of
// small switches bounce for some milliseconds (common practice).
const bounce = 0.015

// Compare holds a log against the motion. A log of the robot's own clock is
// first aligned: by offset (s), or where that is NaN by the one with which feet
// and joints agree best.
func Compare(rec *Record, t *motion.Trajectory, offset float64) (*Comparison, error) {
	if rec.Legs != t.Legs {
		return nil, ErrOther
	}
	c := &Comparison{}
	switch {
	case math.IsInf(offset, 0):
		return nil, ErrSpan
	case !math.IsNaN(offset):
		c.Offset = offset
	case !rec.Motion:
		var ok bool
		if c.Offset, c.Doubt, ok = align(rec, t); !ok {
			return nil, ErrAlign
		}
		c.Fitted = true
	}
	from, to := rec.Time[0]+c.Offset, rec.Time[len(rec.Time)-1]+c.Offset
	if to < 0 || from > t.Duration() {
		return nil, fmt.Errorf("%w: it runs from %.3f to %.3f s, the motion from 0 to %.3f s", ErrApart, from, to, t.Duration())
	}
	for i := range t.Legs {
		c.feet(rec, t, i, max(from, 0), min(to, t.Duration()))
		for j := range kin.Joints {
			c.joint(rec, t, i, j)
		}
	}
	return c, nil
}

// Planned gives when a leg is to come down, s.
func Planned(t *motion.Trajectory, leg int) (at []float64) {
	for k := 1; k < t.N; k++ {
		if t.Planted[k*t.Legs+leg] && !t.Planted[(k-1)*t.Legs+leg] {
			at = append(at, t.Time(k))
		}
	}
	return at
}

// Stance is a time in which a switch was closed, as the motion counts it.
type Stance struct{ From, To float64 }

// Stances gives when the foot switch of a leg was closed, without its bouncing,
// s of the motion; none for a leg whose switch is not known.
func (rec *Record) Stances(leg int, offset float64) (out []Stance) {
	// Runs of one state, the ones shorter than a bounce taken into the one before.
	type run struct {
		from, to float64
		down     bool
	}
	var runs []run
	for k := range rec.Time {
		d := rec.Down[k*rec.Legs+leg]
		if d < 0 {
			continue
		}
		s := rec.Time[k] + offset
		if n := len(runs); n == 0 || runs[n-1].down != (d == 1) {
			if n > 0 {
				runs[n-1].to = s
			}
			runs = append(runs, run{s, s, d == 1})
		} else {
			runs[n-1].to = s
		}
	}
	var clean []run
	for n, r := range runs {
		switch m := len(clean); {
		case m > 0 && (clean[m-1].down == r.down || n < len(runs)-1 && r.to-r.from < bounce):
			clean[m-1].to = r.to
		default:
			clean = append(clean, r)
		}
	}
	for n := 1; n < len(clean); n++ { // what a bounce has left side by side
		if clean[n].down == clean[n-1].down {
			clean[n-1].to = clean[n].to
			clean = append(clean[:n], clean[n+1:]...)
			n--
		}
	}
	for _, r := range clean {
		if r.down {
			out = append(out, Stance{r.from, r.to})
		}
	}
	return out
}

// feet compares the touchdowns of a leg between two times of the motion. A step
// so near to an end of the log that it may have come down outside of it is
// judged only when it was seen.
func (c *Comparison) feet(rec *Record, t *motion.Trajectory, leg int, from, to float64) {
	if !rec.Knows(leg) {
		return
	}
	var seen []float64
	stood := false // when the log began
	holes := rec.holes(leg, c.Offset)
	for n, s := range rec.Stances(leg, c.Offset) {
		if n == 0 && s.From <= from+bounce {
			stood = true
			continue
		}
		if slices.ContainsFunc(holes, func(h Stance) bool { return h.To == s.From }) {
			continue // it came down while nothing was known
		}
		seen = append(seen, s.From)
	}
	all := Planned(t, leg)
	touch := Touch{Leg: leg, Mean: math.NaN(), Spread: math.NaN(), Worst: math.NaN(), At: math.NaN()}
	used := make([]bool, len(seen))
	var late []float64
	for n, p := range all {
		// A step is looked for as far as half way to its neighbours.
		lo, hi := p-mostLate, p+mostLate
		if n > 0 {
			lo = max(lo, (all[n-1]+p)/2)
		}
		if n < len(all)-1 {
			hi = min(hi, (all[n+1]+p)/2)
		}
		if hi < from || lo > to {
			continue
		}
		best := -1
		for m, v := range seen {
			if !used[m] && v >= lo && v < hi && (best < 0 || math.Abs(v-p) < math.Abs(seen[best]-p)) {
				best = m
			}
		}
		s := Step{Leg: leg, Planned: p, Seen: math.NaN()}
		switch {
		case best >= 0:
			used[best] = true
			s.Seen = seen[best]
			late = append(late, s.Late())
			if touch.Missed == 0 && (touch.Worst != touch.Worst || math.Abs(s.Late()) > math.Abs(touch.Worst)) {
				touch.At = p
			}
			if touch.Worst != touch.Worst || math.Abs(s.Late()) > math.Abs(touch.Worst) {
				touch.Worst = s.Late()
			}
		case hi > to || lo < from && stood:
			continue
		case slices.ContainsFunc(holes, func(h Stance) bool { return h.From < hi && h.To > lo }):
			continue // it may have come down unseen
		default:
			if touch.Missed++; touch.Missed == 1 {
				touch.At = p
			}
		}
		touch.Steps++
		c.Steps = append(c.Steps, s)
	}
	for m, v := range seen {
		if !used[m] && v >= from && v <= to {
			touch.Extra++
			c.Extra = append(c.Extra, Step{Leg: leg, Planned: math.NaN(), Seen: v})
		}
	}
	if len(late) > 0 {
		touch.Mean = stat.Mean(late, nil)
	}
	if len(late) > 1 {
		touch.Spread = stat.StdDev(late, nil)
	}
	c.Touch = append(c.Touch, touch)
}

// mostHole is for how long nothing may be known of a foot switch, s: several
// times as long as any step is late in practice. A log that looks more seldom
// all along is taken as it is.
const mostHole = 0.1

// holes gives the times in which nothing is known of a foot switch that is known
// at others, s of the motion.
func (rec *Record) holes(leg int, offset float64) (out []Stance) {
	first, last := rec.Time[0], rec.Time[len(rec.Time)-1]
	most := max(mostHole, 3*(last-first)/float64(len(rec.Time)-1))
	was := first
	for k, s := range rec.Time {
		if rec.Down[k*rec.Legs+leg] < 0 {
			continue
		}
		if s-was > most {
			out = append(out, Stance{was + offset, s + offset})
		}
		was = s
	}
	if last-was > most {
		out = append(out, Stance{was + offset, last + offset})
	}
	return out
}

// Knows tells whether the log has the foot switch of a leg.
func (rec *Record) Knows(leg int) bool {
	for k := range rec.Time {
		if rec.Down[k*rec.Legs+leg] >= 0 {
			return true
		}
	}
	return false
}

// Span gives when a log begins and ends, as the motion counts it, s.
func (c *Comparison) Span(rec *Record) (from, to float64) {
	return rec.Time[0] + c.Offset, rec.Time[len(rec.Time)-1] + c.Offset
}

// mostLate is how far from its plan a touchdown is looked for, s (common
// practice: less than a stride of a walking hobby robot).
const mostLate = 0.5

// planned gives a joint's angle as drawn at a time, straight between samples;
// false outside the motion.
func planned(t *motion.Trajectory, leg, joint int, s float64) (q float64, ok bool) {
	at := s * t.Rate
	if !(at >= 0 && at <= float64(t.N-1)) {
		return 0, false
	}
	k := min(int(at), max(t.N-2, 0))
	next := min(k+1, t.N-1)
	a, b := t.Q[(k*t.Legs+leg)*kin.Joints+joint], t.Q[(next*t.Legs+leg)*kin.Joints+joint]
	return a + (at-float64(k))*(b-a), true
}

// joint compares a joint's angles.
func (c *Comparison) joint(rec *Record, t *motion.Trajectory, leg, joint int) {
	f := Follow{Leg: leg, Joint: joint, Lag: math.NaN()}
	sum, square := 0., 0.
	for k, s := range rec.Time {
		m := rec.Angle[(k*rec.Legs+leg)*kin.Joints+joint]
		q, ok := planned(t, leg, joint, s+c.Offset)
		if !ok || m != m {
			continue
		}
		d := m - q
		sum += d
		square += d * d
		if f.Rows == 0 || math.Abs(d) > math.Abs(f.Worst) {
			f.Worst, f.At = d, s+c.Offset
		}
		f.Rows++
	}
	if f.Rows == 0 {
		return
	}
	f.Mean, f.RMS = sum/float64(f.Rows), math.Sqrt(square/float64(f.Rows))
	f.Lag = lag(rec, t, leg, joint, c.Offset)
	c.Follow = append(c.Follow, f)
}

// Lags that are looked for, s.
const (
	mostLag = 0.3
	lagStep = 0.005
	// leastMove is how far a joint has to move for a lag to be seen, rad.
	leastMove = 5 * math.Pi / 180
	// Of a long log so many rows are looked at for a lag: first with few of
	// them every so many steps, then with more about the best of these.
	lagFew, lagMany = 800, 4000
	lagCoarse       = 4
)

// lag gives by how much later than drawn a joint moves: the shift with which
// the measured angles, less their mean difference, fit best, refined by a
// parabola through the best three; NaN for a joint that hardly moves.
func lag(rec *Record, t *motion.Trajectory, leg, joint int, offset float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	at := func(shift float64, rows int) float64 { // variance of the difference
		every := max(1, len(rec.Time)/rows)
		n, sum, square := 0., 0., 0.
		for k := 0; k < len(rec.Time); k += every {
			s := rec.Time[k]
			m := rec.Angle[(k*rec.Legs+leg)*kin.Joints+joint]
			if m != m || s+offset < mostLag || s+offset > t.Duration()-mostLag {
				continue
			}
			q, ok := planned(t, leg, joint, s+offset-shift)
			if !ok {
				continue
			}
			lo, hi = min(lo, q), max(hi, q)
			n++
			sum += m - q
			square += (m - q) * (m - q)
		}
		if n < 10 {
			return math.NaN()
		}
		return square/n - sum*sum/n/n
	}
	const most = int(mostLag / lagStep)
	best, step := math.Inf(1), 0
	try := func(i, rows int) {
		if v := at(float64(i)*lagStep, rows); v < best {
			best, step = v, i
		}
	}
	for i := -most; i <= most; i += lagCoarse {
		try(i, lagFew)
	}
	near := step
	best = math.Inf(1)
	for i := max(near-lagCoarse, -most); i <= min(near+lagCoarse, most); i++ {
		try(i, lagMany)
	}
	if math.IsInf(best, 1) || hi-lo < leastMove || step == -most || step == most {
		return math.NaN()
	}
	shift := float64(step) * lagStep
	a, b := at(shift-lagStep, lagMany), at(shift+lagStep, lagMany)
	if bend := a - 2*best + b; bend > 0 {
		shift += lagStep * (a - b) / (2 * bend)
	}
	return shift
}

// A log fits about as well at another offset when it is so far from the best
// one, s, and the share of feet and joints that do not agree is no greater than
// so many times that of the best, and so much.
const (
	otherOffset = 0.25
	alikeTimes  = 1.5
	alikeMore   = 0.02
)

// align finds what to add to the log's times: coarsely by what agrees best,
// feet and joints together, then finely about it. In doubt, another offset does
// about as well.
func align(rec *Record, t *motion.Trajectory) (offset float64, doubt, ok bool) {
	changes := 0
	for i := range rec.Legs {
		changes += len(rec.Stances(i, 0))
		for j := range kin.Joints {
			lo, hi := math.Inf(1), math.Inf(-1)
			for k := range rec.Time {
				if m := rec.Angle[(k*rec.Legs+i)*kin.Joints+j]; m == m {
					lo, hi = min(lo, m), max(hi, m)
				}
			}
			if hi-lo > leastMove {
				changes++
			}
		}
	}
	if changes < 3 {
		return 0, false, false
	}
	known := 0. // feet and joints of a row, on average
	for _, d := range rec.Down {
		if d >= 0 {
			known += 1 / float64(len(rec.Time))
		}
	}
	for _, m := range rec.Angle {
		if m == m {
			known += 1 / float64(len(rec.Time))
		}
	}
	every := max(1, len(rec.Time)/600) // rows looked at, at first
	score := func(off float64, every int) float64 {
		n, bad := 0., 0.
		for k := 0; k < len(rec.Time); k += every {
			s := rec.Time[k] + off
			if s < 0 || s > t.Duration() {
				continue
			}
			at := t.Index(s)
			n++
			for i := range rec.Legs {
				if d := rec.Down[k*rec.Legs+i]; d >= 0 && (d == 1) != t.Planted[at*t.Legs+i] {
					bad++
				}
				for j := range kin.Joints {
					if m := rec.Angle[(k*rec.Legs+i)*kin.Joints+j]; m == m {
						bad += min(1, math.Abs(m-t.Q[(at*t.Legs+i)*kin.Joints+j])/(10*math.Pi/180))
					}
				}
			}
		}
		all := float64((len(rec.Time) + every - 1) / every)
		short := min(all, t.Duration()/max(1e-9, (rec.Time[len(rec.Time)-1]-rec.Time[0])/max(1, all-1)))
		if n < 0.5*short { // too little in common to tell
			return math.Inf(1)
		}
		return bad / n
	}
	first, last := rec.Time[0], rec.Time[len(rec.Time)-1]
	best := math.Inf(1)
	from, to := -last, t.Duration()-first
	steps := int(min(4000, max(1, (to-from)/0.02)))
	tried := make([]float64, steps+1)
	at := func(i int) float64 { return from + (to-from)*float64(i)/float64(steps) }
	for i := range tried {
		if tried[i] = score(at(i), every); tried[i] < best {
			best, offset = tried[i], at(i)
		}
	}
	if math.IsInf(best, 1) {
		return 0, false, false
	}
	for i, v := range tried {
		doubt = doubt || math.Abs(at(i)-offset) > otherOffset && v <= alikeTimes*best+alikeMore*known
	}
	centre, wide := offset, (to-from)/float64(steps)
	for i := -20; i <= 20; i++ {
		off := centre + wide*float64(i)/20
		if v := score(off, max(1, every/4)); v < best {
			best, offset = v, off
		}
	}
	return offset, doubt, true
}
