// SPDX-License-Identifier: MIT

package strips

import (
	"image"

	"gioui.org/layout"

	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/rehearsal"
)

// ghost is another motion whose lines show thin behind those of the document.
type ghost struct {
	of   *rehearsal.Rehearsal // nil for none
	name string

	done *rehearsal.Rehearsal // that was worked out last
	view view
	all  derived
	made int // changes whenever other lines are to be drawn
}

// Overlay shows the lines of another motion, thin and dashed, behind those of
// the document; r may be nil for none. It is called in every frame, before
// Update.
func (p *Panel) Overlay(r *rehearsal.Rehearsal, name string) {
	g := &p.ghost
	if g.of != r || g.name != name {
		g.of, g.name = r, name
		g.made++
	}
	if r == nil {
		*g = ghost{made: g.made} // what is kept is large
	}
}

// update works out the lines of another motion.
func (g *ghost) update(show view, leg int) {
	r := g.of
	if r == nil {
		return
	}
	if g.done != r {
		g.all.prepare(r)
		g.all.reserve(r)
	}
	if g.done != r || g.view != show {
		g.all.leg = leg
		g.all.fill(r, show)
		g.done, g.view = r, show
		g.made++
		return
	}
	if g.all.choose(r, leg) {
		g.made++
	}
}

// find gives the strip of the other motion with a name, nil for none.
func (g *ghost) find(name string) *strip {
	if g.of == nil {
		return nil
	}
	for i := range g.all.strips {
		if s := &g.all.strips[i]; s.name == name {
			return s
		}
	}
	return nil
}

// ghostWidth is the width of the lines of another motion, dp, and ghostStroke
// stands for them in a key.
const (
	ghostWidth  = 1.0
	ghostStroke = 3
	ghostDots   = 4 // where another line is dashed already
)

// faint gives the stroke of another motion's line: the colour of the line that
// it goes with, weaker, and dashed.
func faint(th *look.Theme, k look.Stroke) look.Stroke {
	return look.Stroke{Color: look.Mix(th.Canvas, k.Color, 0.62), Pattern: draw.Dashed}
}

// shadow draws the lines of the other motion in a strip.
func (w *painter) shadow(gtx layout.Context, s *strip, area image.Rectangle, y scale) {
	o := w.ghost.find(s.name)
	if o == nil {
		return
	}
	t := w.ghost.of.Trajectory
	for i := range min(len(o.lines), len(s.lines)) {
		k := faint(w.th, strokes(w.th)[i])
		if s.angle {
			k.Pattern = draw.Dotted
		}
		w.curve(gtx, t, &o.lines[i], k, ghostWidth, area, y)
	}
}
