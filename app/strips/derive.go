// SPDX-License-Identifier: MIT

package strips

import (
	"cmp"
	"math"
	"slices"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/kin"
	"gaitwright/motion/load"
	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// view says what the strips of the legs show.
type view int

const (
	line   view = iota // of the torque-speed line
	torque             // of the stall torque
	speed              // of the no-load speed
	angle              // none: the angle of each joint, and what a robot reported
)

// level says how bad a value is.
type level uint8

const (
	fine level = iota
	near
	past
)

// strip is one row of the panel.
type strip struct {
	name string // stability, step-down, supply, or the leg's
	unit string
	leg  int // -1 for none

	lines  []series
	judged int     // how many of them, from the first, have to keep a limit
	least  bool    // the limits are least values
	free   bool    // there is no limit: the least value is told all the same
	lo, hi float64 // what shows, in unit
	rules  []rule
	stems  []stem
	gaps   []gap

	above [][2]float64 // when a line goes on above what shows
	worst worst
	note  string // beside the key
	noted level  // how bad that is which the note says

	angle    bool       // of a joint, with what a robot reported
	measured *trail     // that; nil for none
	travel   [2]float64 // of the joint, °
	drawn    [2]float64 // least and greatest angle, °
	mark     float64    // what was reported at the worst instant, °

	near [][2]float64
	past [][2]float64
}

// rule is a limit drawn over the whole strip.
type rule struct {
	at   float64 // in the strip's unit
	name string
	bad  level // of what lies beyond; fine for a line that only informs
}

// stem is a foot that meets the ground or a target, as a share of the greatest
// speed of landing.
type stem struct {
	at     float64 // s
	speed  float64 // m/s
	value  float64 // %
	strike bool
}

// gap is a stretch without numbers.
type gap struct {
	from, to float64 // s
	why      string
	brief    string // where there is little room
}

// worst is the worst value of a strip.
type worst struct {
	ok    bool
	at    float64 // s
	line  string
	value float64 // in the strip's unit
	bad   level
	leg   int // that it is about, -1 for none
}

// nearShare is the share of a limit from which a strip counts as near it and
// opens by itself. Common practice.
const nearShare = 0.85

// derived is what the strips show, made once a rehearsal and view.
type derived struct {
	doc    *document.Document
	serial int
	view   view
	coarse bool
	log    log // to show
	shown  log // that shows

	made     int // how often it was made
	shares   *load.Shares
	reserves *pace.Reserves
	reserved bool      // they are those of the rehearsal
	hung     []float64 // no number at any sample, for a robot without ground
	leg      int       // whose own reserve shows
	strips   []strip
	taken    []float64 // of its limit, by each strip, whatever view shows; 1 is the limit
	order    []int     // strips in the order of their rows
	loads    []int     // that of margins and loads
	turns    []int     // that of angles
	wants    int       // of margins and loads, how many like to be open
	first    []int     // place of the first finding that points at each strip, or none
}

// update makes everything again when the document was rehearsed since. Then
// reserves are worked out too, if they are wanted.
func (v *derived) update(d *document.Document, show view, reserves bool) {
	same := show != angle || v.shown == v.log
	if v.doc == d && v.serial == d.Serial() && v.view == show && (v.reserved || !reserves) && same {
		return
	}
	r := d.Result()
	anew := v.doc != d || v.serial != d.Serial()
	if anew {
		v.prepare(r)
	}
	if reserves && !v.reserved {
		v.reserve(r)
	}
	v.doc, v.serial, v.coarse = d, d.Serial(), coarse(d)
	v.made++
	if anew && show != line {
		v.fill(r, line)
		v.rank(d)
	}
	v.fill(r, show)
	if anew && show == line {
		v.rank(d)
	}
	v.order = v.loads
	if v.shown = v.log; show == angle {
		v.rankAngles(d)
		v.order = v.turns
	}
}

// prepare works out what the strips of a rehearsal share.
func (v *derived) prepare(r *rehearsal.Rehearsal) {
	v.shares = r.Loads.Shares(r.Trajectory, r.Built.Limits.Derating, v.shares)
	v.reserved = false
}

func (v *derived) fill(r *rehearsal.Rehearsal, show view) {
	v.view = show
	v.strips = v.strips[:0]
	v.add(stability(r), r)
	v.add(v.stepDown(r), r)
	v.add(supply(r), r)
	for i := range r.Built.Robot.Legs {
		if show != angle {
			v.add(v.joints(r, i), r)
			continue
		}
		for j := range kin.Joints {
			v.add(v.angles(r, i, j), r)
		}
	}
}

// none stands for the place of a finding that there is not.
const none = math.MaxInt

// about tells which strip shows what a finding says, -1 for none of them.
func (v *derived) about(f *review.Finding) int {
	for i := range v.strips {
		s := &v.strips[i]
		var in bool
		switch f.Word {
		case "tips-slow", "tips-fast", "airborne":
			in = s.least && !s.free
		case "supply-current":
			in = !s.least && s.leg < 0
		case "joint-speed", "joint-torque", "servo-heat", "hard-landing":
			in = s.leg >= 0 && s.leg == f.Leg
		}
		if in {
			return i
		}
	}
	return -1
}

// matters tells whether a strip is to open by itself where there is room.
func (v *derived) matters(i int) bool {
	s := &v.strips[i]
	if v.view == angle {
		return s.angle && slices.Contains(v.order[:min(mostOpen, len(v.order))], i)
	}
	return v.first[i] < none || s.least && !s.free || v.taken[i] >= nearShare
}

// rank notes what the strips take of their limits and puts the rows in order:
// those that findings point at, in the order of these, then stability and the
// step-down reserve, then what takes most. While something is dragged the rows keep their places.
func (v *derived) rank(d *document.Document) {
	v.taken = v.taken[:0]
	for i := range v.strips {
		v.taken = append(v.taken, v.strips[i].share())
	}
	v.first = v.first[:0]
	for range v.strips {
		v.first = append(v.first, none)
	}
	all := d.Result().Findings
	for k := range all {
		if i := v.about(&all[k]); i >= 0 {
			v.first[i] = min(v.first[i], k)
		}
	}
	v.wants = 0
	for i := range v.strips {
		if v.matters(i) && v.wants < mostOpen {
			v.wants++
		}
	}
	if d.Dragging() && len(v.loads) == len(v.strips) {
		return
	}
	v.loads = v.loads[:0]
	for i := range v.strips {
		v.loads = append(v.loads, i)
	}
	// By whole per cents, so that legs in the same case keep their order.
	whole := func(i int) float64 {
		if v.strips[i].least {
			return math.Inf(1)
		}
		return math.Round(100 * v.taken[i])
	}
	slices.SortStableFunc(v.loads, func(a, b int) int {
		return cmp.Or(cmp.Compare(v.first[a], v.first[b]), cmp.Compare(whole(b), whole(a)))
	})
}

// coarse tells whether the numbers are those of a coarse sampling.
func coarse(d *document.Document) bool { return d.Coarse() }

const milli = 1000

// stability is the strip of the margins.
func stability(r *rehearsal.Rehearsal) strip {
	l := &r.Built.Limits
	s := strip{name: "stability", unit: "mm", leg: -1, judged: 2, least: true, lines: []series{
		{"static", r.Trajectory.Margin, 1, 0, milli, l.Margin * milli},
		{"dynamic", r.Loads.Dynamic, 1, 0, milli, l.Dynamic * milli},
		{"energy", r.Loads.Energy, 1, 0, milli, math.NaN()},
	}}
	if hung(r.Loads) {
		s.lines[0].data = r.Loads.Dynamic // no foot carries
	}
	s.rules = []rule{{0, "0", past}, {l.Margin * milli, "wanted", near}}
	return s
}

// hung tells whether the robot hangs on a stand.
func hung(l *load.Loads) bool {
	return slices.Contains(l.State, load.Hung)
}

// supply is the strip of the current.
func supply(r *rehearsal.Rehearsal) strip {
	limit := math.NaN()
	s := strip{name: "supply", unit: "A", leg: -1, judged: 1}
	if v := r.Loads.Supply.Limit; v > 0 {
		limit = v
		s.rules = []rule{{v, "limit", past}}
	}
	s.lines = []series{{"current", r.Loads.Current, 1, 0, 1, limit}}
	if u := r.Loads.Supply; u.Voltage > 0 && u.Resistance > 0 {
		least := math.Inf(1)
		for _, v := range r.Loads.Voltage {
			if v < least { // false for NaN
				least = v
			}
		}
		if !math.IsInf(least, 1) {
			s.note = "least " + draw.Number(least, 2) + " V of " + draw.Number(u.Voltage, 2) + " V"
		}
	}
	return s
}

// joints is the strip of a leg.
func (v *derived) joints(r *rehearsal.Rehearsal, leg int) strip {
	s := strip{name: r.Built.Robot.Legs[leg].Name, unit: "%", leg: leg, judged: kin.Joints}
	data := v.shares.Line
	s.rules = []rule{{100, "limit", past}}
	switch v.view {
	case torque:
		data = v.shares.Torque
		if d := r.Built.Limits.Derating; d > 0 && d < 1 {
			s.rules = append(s.rules, rule{100 / d, "stall", fine})
		}
	case speed:
		data = v.shares.Speed
		if c := r.Built.Limits.SpeedShare; c > 0 && c < 1 {
			s.rules = append(s.rules, rule{100 * c, "caution", near})
		}
	}
	s.hold(r, v.view)
	w := r.Loads.Legs * kin.Joints
	for j := range kin.Joints {
		s.lines = append(s.lines, series{kin.JointName(j), data, w, leg*kin.Joints + j, 100, 100})
	}
	if top := r.Built.Limits.Landing; top > 0 && v.view != torque {
		for i := range r.Loads.Blows {
			b := &r.Loads.Blows[i]
			if m := &r.Trajectory.Impacts[b.Impact]; m.Leg == leg {
				s.stems = append(s.stems, stem{m.At, b.Speed, 100 * b.Speed / top, m.Strike})
			}
		}
	}
	return s
}

// add judges a strip and takes it in.
func (v *derived) add(s strip, r *rehearsal.Rehearsal) {
	s.judge(r)
	if s.free {
		v.scale(&s, r)
	} else if !s.angle {
		s.fit()
	}
	s.cut(r)
	v.strips = append(v.strips, s)
}

// rate says how bad a value of a line is.
func (s *strip) rate(l *series, v float64) level {
	const hair = 1e-9
	if s.least {
		switch {
		case v < 0:
			return past
		case v < l.limit-hair:
			return near
		}
		return fine
	}
	bad := fine
	for i := range s.rules {
		if v > s.rules[i].at*(1+hair) {
			bad = max(bad, s.rules[i].bad)
		}
	}
	return bad
}

// room is how far a value is from its limit, less is worse; without a limit
// great values are worse.
func (s *strip) room(l *series, v float64) float64 {
	switch {
	case s.free:
		return v
	case s.least:
		return v - l.limit
	}
	return -v
}

// judge finds the worst value, when the strip is near or past its limit, and
// where numbers are missing.
func (s *strip) judge(r *rehearsal.Rehearsal) {
	t := r.Trajectory
	half := 0.5 / t.Rate
	end := t.Duration()
	grow := func(in *[][2]float64, at float64) { grow(in, at, half, end) }
	least := math.Inf(1)
	for k := range t.N {
		bad, missing := fine, false
		for i := range s.lines[:s.judged] {
			l := &s.lines[i]
			v := l.at(k)
			if v != v {
				missing = true
				continue
			}
			b := s.rate(l, v)
			bad = max(bad, b)
			if d := s.room(l, v); d < least {
				least = d
				s.worst = worst{true, t.Time(k), l.name, v, b, s.leg}
			}
		}
		at := t.Time(k)
		switch bad {
		case near:
			grow(&s.near, at)
		case past:
			grow(&s.past, at)
		}
		if missing {
			words, short := why(r.Loads.State[k]), brief(r.Loads.State[k])
			if s.free {
				words, short = noReserve(r, k)
			}
			s.miss(max(at-half, 0), min(at+half, end), half, words, short)
		}
	}
	for i := range s.stems {
		m := &s.stems[i]
		if d := -m.value; d < least {
			least = d
			what := "landing"
			if m.strike {
				what = "strike"
			}
			s.worst = worst{true, m.at, what, m.value, s.rate(nil, m.value), s.leg}
		}
	}
}

// grow adds a sample at a time to the stretches of time that are noted, half a
// sample to both sides.
func grow(in *[][2]float64, at, half, end float64) {
	from, to := max(at-half, 0), min(at+half, end)
	if n := len(*in); n > 0 && (*in)[n-1][1] >= from-half/2 {
		(*in)[n-1][1] = to
		return
	}
	*in = append(*in, [2]float64{from, to})
}

// cut notes when a line goes on above what shows.
func (s *strip) cut(r *rehearsal.Rehearsal) {
	t := r.Trajectory
	for k := range t.N {
		for i := range s.lines {
			if s.lines[i].at(k) > s.hi { // false for NaN
				grow(&s.above, t.Time(k), 0.5/t.Rate, t.Duration())
				break
			}
		}
	}
}

// share is how much of the limit the worst value takes.
func (s *strip) share() float64 {
	if !s.worst.ok || s.least || len(s.rules) == 0 {
		return 0
	}
	return s.worst.value / s.rules[0].at
}

// miss notes a sample without a number.
func (s *strip) miss(from, to, half float64, why, brief string) {
	if n := len(s.gaps); n > 0 && s.gaps[n-1].why == why && s.gaps[n-1].to >= from-half/2 {
		s.gaps[n-1].to = to
		return
	}
	s.gaps = append(s.gaps, gap{from, to, why, brief})
}

// why says why there is no number at a sample.
func why(s load.State) string {
	switch s {
	case load.Carried:
		return "not given for its servo"
	case load.Hung:
		return "hung on a stand"
	case load.Unknown:
		return "speed or acceleration unknown"
	case load.Pulled:
		return "the ground cannot carry this: a foot would have to be pulled down"
	case load.Slipping:
		return "the ground cannot carry this: the feet would slide"
	case load.Unsupported:
		return "nothing carries this: no foot is on the ground"
	case load.Flying:
		return "no foot is on the ground, the robot falls freely"
	}
	return s.String()
}

// brief says so where there is little room.
func brief(s load.State) string {
	switch s {
	case load.Pulled:
		return "a foot would pull"
	case load.Slipping:
		return "feet would slide"
	}
	return s.String()
}

// extremes gives the least and the greatest of the finite values.
func (s *strip) extremes() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range s.lines {
		l := &s.lines[i]
		for k := range len(l.data) / l.stride {
			if v := l.at(k); v-v == 0 {
				lo, hi = min(lo, v), max(hi, v)
			}
		}
	}
	for i := range s.stems {
		hi = max(hi, s.stems[i].value)
	}
	return lo, hi
}

// smallest gives the least value of the lines that are judged, +Inf for none.
func (s *strip) smallest() float64 {
	least := math.Inf(1)
	for i := range min(s.judged, len(s.lines)) {
		l := &s.lines[i]
		for k := range len(l.data) / l.stride {
			if v := l.at(k); v-v == 0 {
				least = min(least, v)
			}
		}
	}
	return least
}

// Most of a limit that still shows; a line beyond leaves the strip.
const mostShare = 4

// fit chooses what range of values shows: that of the whole motion, so that it
// is the same at every zoom, with the limit always in it.
func (s *strip) fit() {
	lo, hi := s.extremes()
	limit := 0.0
	for i := range s.rules {
		if s.rules[i].bad != fine {
			limit = max(limit, s.rules[i].at)
		}
	}
	if s.least {
		// A margin of many times the wanted one is of no interest, unless it is
		// never less: then the lines themselves show.
		most := max(2*limit, 10, 10*limit)
		if least := s.smallest(); !(least > 0.7*most) {
			hi = min(hi, most/1.06)
		}
		hi = max(2*limit, 10, 1.06*hi)
		s.lo, s.hi = max(min(lo, 0), -hi)-0.14*hi, hi
		return
	}
	hi = 1.12 * max(hi, limit, 1e-3)
	if limit > 0 {
		hi = min(hi, mostShare*limit)
	}
	s.lo, s.hi = 0, hi
}
