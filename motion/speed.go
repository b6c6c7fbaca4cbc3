// SPDX-License-Identifier: MIT

package motion

import "gonum.org/v1/gonum/spatial/r3"

// Speed gives how fast the foot goes along its path when the share x of the
// span's time has passed, in the axes that the path is in: over the ground, or
// in the body's. 0 when planted, m/s.
func (f *FootPiece) Speed(x float64) float64 {
	if f.Hold == Planted {
		return 0
	}
	from, to := f.clock()
	return along(x, from, to, f.Span.At)
}

// Speed gives how fast the body's origin goes along its shift when the share x
// of the piece's time has passed, m/s. In a walk, where the body is carried
// over a moving course, it is 0.
func (b *BodyPiece) Speed(x float64) float64 {
	if b.Drive != nil || b.Carriage != nil {
		return 0
	}
	return along(x, b.From, b.To, b.Shift.At)
}

func along(x, from, to float64, at func(float64) (p, v, a r3.Vec)) float64 {
	if to <= from {
		return 0
	}
	_, v, _ := at(max(0, min(1, x)))
	return r3.Norm(v) / (to - from)
}
