// SPDX-License-Identifier: MIT

package curve

import (
	"errors"

	"gonum.org/v1/gonum/spatial/r3"
)

// Span is one piece of a track: a path and when it is travelled. The zero value
// stands at the origin.
type Span struct {
	Path   Bezier
	Timing Timing
	Even   *Even // nil, or NewEven(Path): progress is then the share of the length
}

// Check reports a path with a coordinate that is not finite, a timing that is
// refused, and an Even that was made for another path. It does not compare the ends
// of a span on [Hold]; whoever joins spans to a track does that.
func (s *Span) Check() error {
	if err := s.Path.Check(); err != nil {
		return err
	}
	if err := s.Timing.Check(); err != nil {
		return err
	}
	if s.Even != nil && s.Even.path != s.Path {
		return errors.New("curve: arc-length table belongs to another path: make it again after the path changes")
	}
	return nil
}

// At returns the point at the share x of the span's duration, m, in the frame of
// the path, and its first and second derivative by x, m. By the chain rule
//
//	v = B′·ẏ    a = B″·ẏ² + B′·ÿ
//
// where B′ and B″ are by progress: by u, or with Even by the share of the length.
// It is total as [Timing.At] is; with Even its path is the one travelled. About
// 0.1 µs, with Even 0.3 µs, no allocation.
func (s *Span) At(x float64) (p, v, a r3.Vec) {
	y, dy, ddy := s.Timing.At(x)
	var d, dd r3.Vec
	if s.Even != nil {
		p, d, dd = s.Even.At(y)
	} else {
		p = s.Path.point(y)
		d, dd = s.Path.derivs(y)
	}
	v = r3.Scale(dy, d)
	a = r3.Add(r3.Scale(dy*dy, dd), r3.Scale(ddy, d))
	return p, v, a
}
