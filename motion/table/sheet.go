// SPDX-License-Identifier: MIT

package table

import (
	"errors"
	"fmt"
	"math"

	"gaitwright/kin"
	"gaitwright/kin/servo"
	"gaitwright/motion"
	"gaitwright/motion/workfile"
)

// Interpolation is how the player gets from one frame to the next.
type Interpolation uint8

// The ways, as FORMAT.md numbers them.
const (
	Hold   Interpolation = iota // a frame's value until the next one
	Linear                      // straight between two frames
	Cubic                       // by the cubic of Catmull and Rom through four
)

var interpolations = [...]string{"hold", "linear", "cubic"}

// String gives the word, "" for none.
func (i Interpolation) String() string {
	if int(i) >= len(interpolations) {
		return ""
	}
	return interpolations[i]
}

// ParseInterpolation is the inverse of String.
func ParseInterpolation(s string) (Interpolation, error) {
	for i, w := range interpolations {
		if w == s {
			return Interpolation(i), nil
		}
	}
	return 0, fmt.Errorf("table: unknown interpolation %q: want hold, linear or cubic", s)
}

// Bounds of what a sheet holds.
const (
	finest    = 250e-6    // shortest frame, s: finer than any servo is told
	longest   = 16        // longest frame, s
	maxFrames = 65533     // rows are counted with 16 bits
	maxStep   = 1<<30 - 1 // µs; so that the player's sums fit 32 bits
	maxSpeed  = 1 << 20   // units a second; faster ones are not told apart
)

// CheckRate is the rate at which a sheet is held against the motion, Hz.
const CheckRate = 10000

// ErrFit is what errors wrap when no rate keeps within the error asked for.
var ErrFit = errors.New("table: no rate is fine enough")

// SheetOptions say how a clip is made into a sheet. A zero Rate asks for the
// lowest rate that keeps within the errors.
type SheetOptions struct {
	Unit          Unit
	Interpolation Interpolation
	Packed        bool    // deltas instead of values
	Rate          float64 // frames a second at the least, Hz; 0: see Within
	WithinUs      float64 // greatest error of a pulse, after rounding, µs; 0: any
	WithinMM      float64 // greatest error of a foot's place, mm; 0: any

	// Quit is asked while the lowest rate is looked for, nil for never; true
	// gives up with ErrQuit.
	Quit func() bool
}

// ErrQuit is what comes of a search that was given up.
var ErrQuit = errors.New("table: given up")

// Sheet is a clip in frames, as the player reads it.
type Sheet struct {
	*Clip
	Unit          Unit
	Interpolation Interpolation
	Packing       uint8 // 0 plain, 1 deltas, 2 deltas of deltas

	Channels []SheetChannel
	Legs     int
	Frames   int      // without lead-in and lead-out
	Step     uint32   // time of Den frames, µs
	Den      uint16   //
	Rows     []uint16 // (stored rows x channels), 2^-Bits units; negative ones as 2's complement

	Contacts []Instant // which feet stand from when on
	Places   []Instant // of the marks
	Fastest  uint16    // speed factor that no servo's speed forbids, 1/256

	WorstUs float64 // greatest error of a pulse at CheckRate, µs
	WorstMM float64 // greatest error of a foot's place, mm
}

// SheetChannel is one column.
type SheetChannel struct {
	Joint
	Least, Most uint16 // range, as Rows
	Peak        uint32 // greatest speed in this sheet, units/s
	Bound       uint32 // speed counted on of its servo, units/s
}

// Instant is a place in time, in frames, to 1/256 of one.
type Instant struct {
	At      uint32 // 1/256 frames
	Planted uint16 // of a contact
}

// Rate is the frames a second, Hz.
func (s *Sheet) Rate() float64 { return float64(s.Den) / float64(s.Step) * 1e6 }

// intervals is the number of intervals between frames that are played.
func (s *Sheet) intervals() int {
	if s.Loop {
		return s.Frames
	}
	return s.Frames - 1
}

// stored is the number of rows.
func (s *Sheet) stored() int {
	if s.Interpolation == Cubic && !s.Loop {
		return s.Frames + 2
	}
	return s.Frames
}

// Row gives frame k, first to last. The slice is the sheet's own.
func (s *Sheet) Row(k int) []uint16 {
	if s.stored() > s.Frames {
		k++
	}
	n := len(s.Channels)
	return s.Rows[k*n : k*n+n]
}

// Value gives a number of Rows in whole units.
func (s *Sheet) Value(v uint16) float64 {
	if s.Unit.signed() {
		return float64(int16(v)) / float64(int(1)<<s.Unit.Bits)
	}
	return float64(v) / float64(int(1)<<s.Unit.Bits)
}

// NewSheet makes a clip into a sheet. Nothing is clamped: a value outside a
// servo's range, on a frame or between two, is a JointError, as is a joint
// without a channel. Errors wrap ErrFit when no rate keeps within the errors
// asked for.
func NewSheet(b *workfile.Built, c *Clip, o SheetOptions) (*Sheet, error) {
	if err := o.Unit.check(); err != nil {
		return nil, err
	}
	if o.Interpolation > Cubic {
		return nil, fmt.Errorf("table: unknown interpolation %d", o.Interpolation)
	}
	if !(o.Rate >= 0) || !(o.WithinUs >= 0) || !(o.WithinMM >= 0) || math.IsInf(o.Rate+o.WithinUs+o.WithinMM, 0) {
		return nil, fmt.Errorf("table: rate %g Hz, errors %g µs and %g mm: want numbers that are not negative", o.Rate, o.WithinUs, o.WithinMM)
	}
	if o.Rate == 0 && o.WithinUs == 0 && o.WithinMM == 0 {
		return nil, errors.New("table: give a rate, or the error to keep within")
	}
	m := &maker{b: b, c: c, o: o, lines: o.Unit.lines(b), sampler: motion.NewSampler(&b.Robot)}
	if err := m.wired(); err != nil {
		return nil, err
	}
	if err := m.refer(); err != nil {
		return nil, err
	}
	if o.Rate == 0 {
		return m.lowest()
	}
	n := int(math.Ceil(c.Duration*o.Rate - onGrid))
	n = max(n, m.fewest())
	if float64(n)*finest > c.Duration || n+3 > maxFrames {
		return nil, fmt.Errorf("table: %s lasts %.4g s: %g Hz are more frames than a table holds (%d, of at least %g ms): lower the rate",
			c.Title, c.Duration, o.Rate, maxFrames-3, finest*1000)
	}
	s, err := m.sheet(n)
	if err != nil {
		return nil, err
	}
	if o.WithinUs > 0 && s.WorstUs > o.WithinUs || o.WithinMM > 0 && s.WorstMM > o.WithinMM {
		return nil, fmt.Errorf("%w: %s at %g Hz is off by up to %.3g µs and %.3g mm: raise the rate, leave it out, or allow more", ErrFit, c.Title, o.Rate, s.WorstUs, s.WorstMM)
	}
	return s, nil
}

// maker makes the sheets of one clip.
type maker struct {
	b       *workfile.Built
	c       *Clip
	o       SheetOptions
	lines   []line
	sampler *motion.Sampler

	exact []float64 // (samples at CheckRate x channels), whole units
	feet  []float64 // (samples x legs x 3), foot in the leg's own frame, m
	n     int       // samples
	peak  []float64 // of exact, by channel, units/s
}

// wired tells which joints have no channel.
func (m *maker) wired() error {
	var faults []string
	taken := map[int]string{}
	for i := range m.b.Robot.Legs {
		for j := range kin.Joints {
			ch := &m.b.Channels[i][j]
			where := fmt.Sprintf("leg %s, %s", m.b.Robot.Legs[i].Name, kin.JointName(j))
			switch other := taken[ch.Number]; {
			case !ch.Set:
				faults = append(faults, where+": the joint has no channel: give it one in the workfile")
			case ch.Number < 0 || ch.Number > math.MaxUint16:
				faults = append(faults, fmt.Sprintf("%s: channel %d is outside 0 to %d: give it another", where, ch.Number, math.MaxUint16))
			case other != "":
				faults = append(faults, fmt.Sprintf("%s: channel %d belongs to %s already: give it another", where, ch.Number, other))
			default:
				taken[ch.Number] = where
			}
		}
	}
	if len(faults) > 0 {
		return &JointError{faults}
	}
	return nil
}

// longestClip bounds what is kept in memory at CheckRate, s.
const longestClip = 120

// refer samples the clip at CheckRate.
func (m *maker) refer() error {
	c := m.c
	if !(c.Duration >= 4*finest) {
		return fmt.Errorf("%w: %s lasts %.4g s, less than a table can hold: slow it down", ErrNoMove, c.Title, c.Duration)
	}
	if c.Duration > longestClip {
		return fmt.Errorf("table: %s lasts %.4g s, more than the %d s of a table: export moves and walks instead, or cut the sequence in two", c.Title, c.Duration, longestClip)
	}
	legs := len(m.b.Robot.Legs)
	w := worst{at: make([]miss, legs*kin.Joints)}
	const piece = 5 // s at a time
	for from := 0; float64(from) < c.Duration; from += piece {
		to := min(float64(from+piece), c.Duration)
		t, err := m.sampler.Sample(c.Plan.Cut(float64(from), to), CheckRate, nil)
		if err != nil {
			return fmt.Errorf("table: %s: %w", c.Title, err)
		}
		n := t.N
		if to < c.Duration {
			n = piece * CheckRate // the last one is the next piece's first
		}
		for k := range n {
			for i := range legs {
				q := t.JointsAt(k, i)
				for j := range q {
					l := i*kin.Joints + j
					m.note(&w, l, float64(m.n)/CheckRate, q[j])
					m.exact = append(m.exact, m.lines[l].at0+m.lines[l].perRad*q[j])
				}
				p := m.b.Robot.Legs[i].Forward(q)
				m.feet = append(m.feet, p.X, p.Y, p.Z)
			}
			m.n++
		}
	}
	if f := w.faults(m.joints()); len(f) > 0 {
		return &JointError{f}
	}
	m.peak = make([]float64, legs*kin.Joints)
	const over = CheckRate / 1000 // samples in a millisecond
	for k := over; k < m.n; k++ {
		for i := range m.peak {
			m.peak[i] = max(m.peak[i], math.Abs(m.exact[k*len(m.peak)+i]-m.exact[(k-over)*len(m.peak)+i])*CheckRate/over)
		}
	}
	return nil
}

// note looks whether a joint can follow, as exact as the unit is.
func (m *maker) note(w *worst, l int, at, q float64) {
	ch := &m.b.Channels[l/kin.Joints][l%kin.Joints]
	w.note(l, at, m.c.Title, ch.Pulse(q), math.Round(q*(1800/math.Pi)), ch)
}

// joints gives a table with nothing but names, for faults.
func (m *maker) joints() *Table {
	t := &Table{}
	for i := range m.b.Robot.Legs {
		for j := range kin.Joints {
			t.Joints = append(t.Joints, Joint{Leg: m.b.Robot.Legs[i].Name, Name: kin.JointName(j), Channel: m.b.Channels[i][j].Number})
		}
	}
	return t
}

// fewest is the least number of intervals.
func (m *maker) fewest() int {
	return max(2, int(math.Ceil(m.c.Duration/longest)))
}

// clock gives the time of a frame as a fraction: Step µs are Den frames. The
// clip's length is a whole number of µs or, where that is not exact, of a
// fraction of it.
func (m *maker) clock(n int) (step uint32, den uint16, err error) {
	us := m.c.Duration * 1e6
	for _, part := range [...]float64{1, 2, 3, 5, 10, 100, 1000} {
		s, d := math.Round(us*part), float64(n)*part
		if part > 1 && (s > maxStep || d > math.MaxUint16) {
			break
		}
		if a, b := uint64(s), uint64(d); math.Abs(s-us*part) < 1e-6*part || part == 1 {
			g := gcd(a, b)
			if a/g <= maxStep && b/g <= math.MaxUint16 {
				step, den = uint32(a/g), uint16(b/g)
			}
			if math.Abs(s-us*part) < 1e-6*part {
				break
			}
		}
	}
	if den == 0 {
		return 0, 0, fmt.Errorf("table: %d frames in %.6g s do not fit the player's clock: take another rate", n, m.c.Duration)
	}
	return step, den, nil
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// sheet makes and checks the sheet of n intervals.
func (m *maker) sheet(n int) (*Sheet, error) {
	c, legs := m.c, len(m.b.Robot.Legs)
	s := &Sheet{Clip: c, Unit: m.o.Unit, Interpolation: m.o.Interpolation, Legs: legs, Frames: n + 1}
	if c.Loop {
		s.Frames = n
	}
	var err error
	if s.Step, s.Den, err = m.clock(n); err != nil {
		return nil, err
	}
	t, err := m.sampler.Sample(c.Plan.Cut(0, c.Duration), float64(n)/c.Duration, nil)
	if err != nil {
		return nil, fmt.Errorf("table: %s: %w", c.Title, err)
	}
	if t.N < n+1 {
		return nil, fmt.Errorf("table: %s: %d frames of %d", c.Title, t.N, n+1)
	}
	w := legs * kin.Joints
	at := func(k, i int) float64 { return m.lines[i].at0 + m.lines[i].perRad*t.Q[k*w+i] }
	rates := func(k, i int) float64 { return m.lines[i].perRad * t.V[k*w+i] * c.Duration / float64(n) }
	put := func(value func(i int) float64) error {
		for i := range w {
			v := math.Round(value(i) * float64(int(1)<<s.Unit.Bits))
			lo, hi := 0.0, float64(math.MaxUint16)
			if s.Unit.signed() {
				lo, hi = math.MinInt16, math.MaxInt16
			}
			if !(v >= lo && v <= hi) {
				j := m.joints().Joints[i]
				return &JointError{[]string{fmt.Sprintf("leg %s, %s, %s: %.6g %s with %d fraction bits do not fit 16 bits: take fewer bits",
					j.Leg, j.Name, c.Title, value(i), s.Unit.Kind, s.Unit.Bits)}}
			}
			s.Rows = append(s.Rows, uint16(int32(v)))
		}
		return nil
	}
	ends := s.stored() > s.Frames
	if ends { // the frame before the first, so that the speed there is right
		if err := put(func(i int) float64 { return at(1, i) - 2*rates(0, i) }); err != nil {
			return nil, err
		}
	}
	for k := range s.Frames {
		if err := put(func(i int) float64 { return at(k, i) }); err != nil {
			return nil, err
		}
	}
	if ends {
		if err := put(func(i int) float64 { return at(n-1, i) + 2*rates(n, i) }); err != nil {
			return nil, err
		}
	}
	if err := m.describe(s); err != nil {
		return nil, err
	}
	if err := m.measure(s); err != nil {
		return nil, err
	}
	m.place(s)
	if m.o.Packed {
		s.Packing = 1
		one := len(s.pack())
		s.Packing = 2
		if len(s.pack()) >= one {
			s.Packing = 1
		}
	}
	return s, nil
}

// describe fills the channels.
func (m *maker) describe(s *Sheet) error {
	one := float64(int(1) << s.Unit.Bits)
	for i, j := range m.joints().Joints {
		l := &m.lines[i]
		lo, hi := math.Ceil(l.lo*one-1e-6), math.Floor(l.hi*one+1e-6)
		if s.Unit.signed() {
			lo, hi = max(lo, math.MinInt16), min(hi, math.MaxInt16)
		} else {
			lo, hi = max(lo, 0), min(hi, math.MaxUint16)
		}
		if lo > hi {
			return &JointError{[]string{fmt.Sprintf("leg %s, %s: nothing of the channel's range can be told in %s: set its range_us, or take another unit", j.Leg, j.Name, s.Unit.text())}}
		}
		leg := &m.b.Robot.Legs[i/kin.Joints]
		fast := servo.At(&leg.Servos[i%kin.Joints], m.b.Robot.Supply.Voltage).NoLoad * m.b.Limits.SpeedShare
		s.Channels = append(s.Channels, SheetChannel{
			Joint: j, Least: uint16(int32(lo)), Most: uint16(int32(hi)),
			Bound: uint32(max(1, min(maxSpeed, math.Floor(fast*math.Abs(l.perRad))))),
		})
	}
	return nil
}

// place puts contacts and marks on frames.
func (m *maker) place(s *Sheet) {
	frame := m.c.Duration / float64(s.intervals()) // s
	on := func(at float64) uint32 {
		return uint32(max(0, min(float64(s.intervals()*256), math.Round(at/frame*256))))
	}
	for _, c := range m.c.contacts() {
		i := Instant{on(c.At), c.Planted}
		if n := len(s.Contacts); n > 0 && s.Contacts[n-1].At == i.At {
			s.Contacts[n-1] = i // nearer to one another than can be told
			continue
		}
		s.Contacts = append(s.Contacts, i)
	}
	for _, k := range m.c.Marks {
		s.Places = append(s.Places, Instant{At: on(k.At)})
	}
	ratio := float64(maxFactor)
	for i := range s.Channels {
		if c := &s.Channels[i]; c.Peak > 0 {
			ratio = min(ratio, float64(c.Bound)/float64(c.Peak))
		}
	}
	s.Fastest = uint16(max(1, ratio) * 256)
}

// maxFactor is the greatest speed factor of the player.
const maxFactor = 16
