// SPDX-License-Identifier: MIT

package edit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
)

// Drift is how far an edit that is to keep the motion takes it from what it
// was: the greatest distance between the points before and after at the same
// instant, in the axes that the track is drawn in.
type Drift struct {
	Path float64 // mm
	Lean float64 // of the body, degrees
}

// segment is a span as it is travelled: where, by which share of its time.
type segment struct {
	path   curve.Bezier // mm, from the foot's standing point or the body's stand pose
	lean   curve.Bezier // of the body: roll, pitch, yaw, degrees
	timing curve.Timing
	even   *curve.Even
}

func newSegment(path, lean curve.Bezier, t curve.Timing, even bool) segment {
	g := segment{path: path, lean: lean, timing: t}
	if even {
		e := curve.NewEven(path)
		g.even = &e
	}
	return g
}

// progress gives the curve parameter of the path and of the lean at the share
// x of the time.
func (g *segment) progress(x float64) (u, v float64) {
	v, _, _ = g.timing.At(x)
	if g.even != nil {
		u, _, _ = g.even.U(v)
		return u, v
	}
	return v, v
}

func (g *segment) at(x float64) (p, lean r3.Vec) {
	u, v := g.progress(x)
	return g.path.At(u), g.lean.At(v)
}

// still tells whether nothing moves.
func (g *segment) still() bool {
	return g.timing.Kind == curve.Hold || g.path.Length() < 1e-6 && g.lean.Length() < 1e-6
}

// drift compares two segments that follow one another at the share x of the
// time with what goes through all of it.
func drift(a, b, whole *segment, x float64) (d Drift) {
	const n = 400
	for i := range n + 1 {
		t := float64(i) / n
		var p, q r3.Vec
		if t < x {
			p, q = a.at(t / x)
		} else {
			p, q = b.at((t - x) / (1 - x))
		}
		v, w := whole.at(t)
		d.Path = max(d.Path, r3.Norm(r3.Sub(p, v)))
		d.Lean = max(d.Lean, r3.Norm(r3.Sub(q, w)))
	}
	return d
}

// start gives where a span begins: of a foot from its standing point in the
// axes in which the span is drawn (mm), of the body from its stand pose (mm,
// and roll, pitch, yaw in degrees). Only playing the sequence tells; where no
// entry of it plays the move, the move is played from standing. Of several
// entries that play it entry is taken, else the first.
func start(f *workfile.File, s Spot, entry int) (at, lean r3.Vec, err error) {
	b, err := f.Build()
	if err != nil {
		return at, lean, err
	}
	script := b.Script
	plays := func(i int) bool {
		return i >= 0 && i < len(script.Seq) && script.Seq[i].Kind == sequence.Move && script.Seq[i].Move == s.Move
	}
	for i := 0; !plays(entry) && i < len(script.Seq); i++ {
		if plays(i) {
			entry = i
		}
	}
	if plays(entry) {
		script.Seq = script.Seq[:entry+1]
	} else {
		script.Seq = []sequence.Entry{{Name: "move", Kind: sequence.Move, Move: s.Move, Speed: 1}}
	}
	plan, err := sequence.Plan(&script)
	if err != nil {
		return at, lean, err
	}
	part := plan.Parts[len(plan.Parts)-1]
	const hair = 1e-9
	if s.Track == BodyTrack {
		n := s.Span
		for i := range plan.Body {
			if p := &plan.Body[i]; p.From >= part.From-hair {
				if n == 0 {
					at = r3.Sub(p.Shift.Path.P0, r3.Vec{Z: b.Height})
					return r3.Scale(1e3, at), r3.Scale(180/math.Pi, p.Lean.Path.P0), nil
				}
				n--
			}
		}
		return at, lean, refuse("", "the body's span %d is not played", s.Span+1)
	}
	leg := b.Robot.LegIndex(f.Moves[s.Move].Feet[s.Track].Leg)
	l := &b.Robot.Legs[leg]
	stand := r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius}
	for i := range plan.Feet[leg] {
		p := &plan.Feet[leg][i]
		if p.From < part.From-hair || p.Source != (motion.Source{Track: s.Track + 1, Span: s.Span + 1}) {
			continue
		}
		at = p.Span.Path.P0
		if p.Hold == motion.WithBody {
			at = r3.Add(at, r3.Vec{Z: b.Height})
		} else {
			at = plan.BodyAt(part.From).Start.Into(at)
		}
		return r3.Scale(1e3, r3.Sub(at, stand)), lean, nil
	}
	return at, lean, refuse("", "span %d of leg %s is not played", s.Span+1, l.Name)
}

func vecOf(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

func list(v r3.Vec) [3]float64 { return [3]float64{micro(v.X), micro(v.Y), micro(v.Z)} }

// between gives a path from its start, its handles from their ends, and its
// end.
func between(start r3.Vec, out, in *[3]float64, end [3]float64) curve.Bezier {
	e := vecOf(end)
	return curve.Bezier{P0: start, P1: r3.Add(start, vecOf(handleOr(out))), P2: r3.Add(e, vecOf(handleOr(in))), P3: e}
}

func standing(p r3.Vec) curve.Bezier { return curve.Bezier{P0: p, P1: p, P2: p, P3: p} }

// footSegment is a foot's span from where it begins.
func footSegment(s *workfile.FootSpan, from r3.Vec) segment {
	if s.Hold == "planted" || s.End == nil {
		return newSegment(standing(from), curve.Bezier{}, curve.Timing{}, false)
	}
	return newSegment(between(from, s.Out, s.In, *s.End), curve.Bezier{}, timingOf(s.Timing), s.Even)
}

func bodySegment(s *workfile.BodySpan, from, lean r3.Vec) segment {
	return newSegment(between(from, s.ShiftOut, s.ShiftIn, s.Shift), between(lean, s.LeanOut, s.LeanIn, s.Lean), timingOf(s.Timing), s.Even)
}

// outIn gives the handles of a path to write.
func outIn(b curve.Bezier) (out, in *[3]float64) {
	return handle(list(r3.Sub(b.P1, b.P0))), handle(list(r3.Sub(b.P2, b.P3)))
}
