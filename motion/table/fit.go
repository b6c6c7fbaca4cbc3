// SPDX-License-Identifier: MIT

package table

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// one is a whole interval.
const one = 1 << 16

// fraction is a·65536/b as the player works it out: both are halved until b
// has 16 bits.
func fraction(a, b uint32) uint32 {
	for b > 0xffff {
		a >>= 1
		b >>= 1
	}
	return min(a<<16/b, 0xffff)
}

// where gives the interval at a time (µs) and the share of it that has passed,
// 65536 at the very end.
func (s *Sheet) where(us uint64) (frame int, share uint32) {
	total := us * uint64(s.Den)
	f, over := total/uint64(s.Step), uint32(total%uint64(s.Step))
	n := uint64(s.intervals())
	if f >= n {
		if !s.Loop {
			return int(n - 1), one
		}
		f %= n
	}
	return int(f), fraction(over, s.Step)
}

// rows gives the rows that an interval is interpolated from: for a cubic four,
// else two.
func (s *Sheet) window(frame int) (r [4]int, n int) {
	n = 2
	first := frame
	if s.Interpolation == Cubic {
		n = 4
		if s.Loop {
			first += s.Frames - 1
		}
	}
	for i := range n {
		r[i] = (first + i) % s.stored()
	}
	return r, n
}

// between gives a channel's value in 1/256 units at a share of an interval:
// what the player works out, to the last bit.
func (s *Sheet) between(r *[4]int, n, channel int, share uint32) int32 {
	w := len(s.Channels)
	at := func(i int) int32 { return s.fine(s.Rows[r[i]*w+channel]) }
	a := 0
	if n == 4 {
		a = 1
	}
	p1, p2 := at(a), at(a+1)
	switch {
	case share >= one:
		return p2
	case s.Interpolation == Hold:
		return p1
	case s.Interpolation == Linear:
		return p1 + partOf(p2-p1, share)
	}
	p0, p3 := at(0), at(3)
	v := partOf(3*(p1-p2)+p3-p0, share)
	v = partOf(2*p0-5*p1+4*p2-p3+v, share)
	v = partOf(p2-p0+v, share)
	return p1 + v>>1
}

// partOf gives a·t/65536, rounded down.
func partOf(a int32, t uint32) int32 { return int32(int64(a) * int64(t) >> 16) }

// fine gives a stored number in 1/256 units.
func (s *Sheet) fine(v uint16) int32 {
	f := int32(v)
	if s.Unit.signed() {
		f = int32(int16(v))
	}
	return f * (256 >> s.Unit.Bits)
}

// At gives what the player has every channel at, at a time since the sheet's
// first frame (µs), in 1/256 units.
func (s *Sheet) At(us uint64) []int32 {
	f, t := s.where(us)
	r, n := s.window(f)
	out := make([]int32, len(s.Channels))
	for i := range out {
		out[i] = s.between(&r, n, i, t)
	}
	return out
}

// measure holds a sheet against the motion at CheckRate: the greatest error of
// a pulse and of a foot's place, the greatest speed of each channel, and that
// no channel leaves its range.
func (m *maker) measure(s *Sheet) error {
	w := len(s.Channels)
	out := worst{at: make([]miss, w)}
	now, before := make([]float64, w), make([]float64, w)
	const over = CheckRate / 1000
	peak := make([]float64, w)
	copy(peak, m.peak)
	for k := range m.n {
		f, t := s.where(uint64(k) * (1e6 / CheckRate))
		r, n := s.window(f)
		for i := range w {
			v := s.between(&r, n, i, t)
			c := &s.Channels[i]
			now[i] = float64(v) / 256
			if v < s.fine(c.Least) || v > s.fine(c.Most) {
				q := (now[i] - m.lines[i].at0) / m.lines[i].perRad
				ch := &m.b.Channels[i/kin.Joints][i%kin.Joints]
				us := ch.Pulse(q)
				if by := max(ch.Min-us, us-ch.Max, m.lines[i].us/256); by > out.at[i].by {
					out.at[i] = miss{by: by, at: float64(k) / CheckRate, entry: m.c.Title + " between frames", us: us, lo: ch.Min, hi: ch.Max}
				}
			}
			s.WorstUs = max(s.WorstUs, math.Abs(now[i]-m.exact[k*w+i])*m.lines[i].us)
		}
		s.WorstMM = max(s.WorstMM, m.off(k, now))
		if s.Interpolation != Hold && k%over == 0 {
			if k > 0 {
				for i := range w {
					peak[i] = max(peak[i], math.Abs(now[i]-before[i])*CheckRate/over)
				}
			}
			copy(before, now)
		}
	}
	if f := out.faults(m.joints()); len(f) > 0 {
		return &JointError{f}
	}
	for i := range s.Channels {
		s.Channels[i].Peak = uint32(min(maxSpeed, math.Ceil(peak[i])))
	}
	return nil
}

// off gives how far the foot farthest from its place at sample k is from it
// when the channels have these values, mm.
func (m *maker) off(k int, now []float64) (mm float64) {
	for leg := range m.b.Robot.Legs {
		var q [kin.Joints]float64
		for j := range q {
			i := leg*kin.Joints + j
			q[j] = (now[i] - m.lines[i].at0) / m.lines[i].perRad
		}
		p := m.b.Robot.Legs[leg].Forward(q)
		e := m.feet[(k*len(m.b.Robot.Legs)+leg)*3:]
		mm = max(mm, 1000*r3.Norm(r3.Sub(p, r3.Vec{X: e[0], Y: e[1], Z: e[2]})))
	}
	return mm
}

// lowest finds the fewest frames that keep within the errors: it tries one
// number of frames after the other, and passes over those that fail already
// where the one before failed.
func (m *maker) lowest() (*Sheet, error) {
	most := min(maxFrames-3, int(m.c.Duration/finest))
	bad := 0 // sample that spoilt the last one
	for n := m.fewest(); n <= most; n++ {
		if m.o.Quit != nil && m.o.Quit() {
			return nil, ErrQuit
		}
		k, ok := m.try(n, bad)
		if !ok {
			bad = k
			continue
		}
		s, err := m.sheet(n)
		if err != nil {
			return nil, err
		}
		if (m.o.WithinUs == 0 || s.WorstUs <= m.o.WithinUs) && (m.o.WithinMM == 0 || s.WorstMM <= m.o.WithinMM) {
			return s, nil
		}
	}
	limits := ""
	if m.o.WithinUs > 0 {
		limits = fmt.Sprintf("%g µs", m.o.WithinUs)
	}
	if m.o.WithinMM > 0 {
		if limits != "" {
			limits += " and "
		}
		limits += fmt.Sprintf("%g mm", m.o.WithinMM)
	}
	return nil, fmt.Errorf("%w: %s cannot be kept within %s by %s interpolation in %s: allow more, or take finer units or another interpolation",
		ErrFit, m.c.Title, limits, m.o.Interpolation, m.o.Unit.text())
}

// try looks whether n intervals may keep within the errors, with frames read
// off the samples instead of the plan. It begins with the samples about k and
// gives the one where it fails. A foretaste: what passes is measured exactly
// afterwards, and what fails by less than it can be wrong is let pass.
func (m *maker) try(n, k int) (bad int, ok bool) {
	s := &Sheet{Clip: m.c, Unit: m.o.Unit, Interpolation: m.o.Interpolation, Frames: n + 1}
	if m.c.Loop {
		s.Frames = n
	}
	w := len(m.lines)
	scale := float64(int(1) << s.Unit.Bits)
	frame := m.c.Duration / float64(n) * CheckRate // in samples
	knot := func(f, i int) float64 {
		switch {
		case m.c.Loop:
			f = (f + n) % n
		case f < 0: // as the motion goes there
			return m.sampleAt(frame, i) - 2*frame*m.slope(0, i)
		case f > n:
			return m.sampleAt(frame*float64(n-1), i) + 2*frame*m.slope(m.n-2, i)
		}
		return math.Round(m.sampleAt(frame*float64(f), i)*scale) / scale
	}
	const slack = 1.02 // and a part of the rounding, for slopes that are not exact
	now := make([]float64, w)
	fails := func(k int) bool {
		f := min(int(float64(k)/frame), n-1)
		t := float64(k)/frame - float64(f)
		for i := range w {
			p1 := knot(f, i)
			v := p1
			switch s.Interpolation {
			case Linear:
				v += (knot(f+1, i) - p1) * t
			case Cubic:
				p0, p2, p3 := knot(f-1, i), knot(f+1, i), knot(f+2, i)
				v += t / 2 * (p2 - p0 + t*(2*p0-5*p1+4*p2-p3+t*(3*(p1-p2)+p3-p0)))
			}
			now[i] = v
			if m.o.WithinUs > 0 && math.Abs(v-m.exact[k*w+i])*m.lines[i].us > m.o.WithinUs*slack+m.lines[i].us/64 {
				return true
			}
		}
		return m.o.WithinMM > 0 && m.off(k, now) > m.o.WithinMM*slack+0.01
	}
	for d := -5; d <= 5; d++ {
		if i := k + d*max(1, int(frame/8)); i >= 0 && i < m.n && fails(i) {
			return i, false
		}
	}
	step := max(1, int(frame/8))
	for i := 0; i < m.n; i += step {
		if fails(i) {
			return i, false
		}
	}
	return 0, true
}

// sampleAt reads the motion between samples, by the cubic through four of
// them, whole units.
func (m *maker) sampleAt(at float64, channel int) float64 {
	k := max(1, min(m.n-3, int(at)))
	w := len(m.lines)
	t := at - float64(k)
	a, b := m.exact[(k-1)*w+channel], m.exact[k*w+channel]
	c, d := m.exact[(k+1)*w+channel], m.exact[(k+2)*w+channel]
	return -t*(t-1)*(t-2)/6*a + (t+1)*(t-1)*(t-2)/2*b - (t+1)*t*(t-2)/2*c + (t+1)*t*(t-1)/6*d
}

// slope is the motion's by the sample, whole units.
func (m *maker) slope(k, channel int) float64 {
	w := len(m.lines)
	return m.exact[(k+1)*w+channel] - m.exact[k*w+channel]
}
