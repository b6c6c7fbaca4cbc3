// SPDX-License-Identifier: MIT

package shape

import (
	"image/color"
	"math"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/review"
)

// effort is what the chosen span asks of the joint that turns fastest, as a
// share of what its servo does unloaded.
type effort struct {
	ok    bool
	share float64
	short string // joint and share, and what is wrong with it
	full  string // the same in more words
	over  bool   // the review stops it
	near  bool   // the review cautions
}

// effort reads the chosen span's from the rehearsal: of the chosen leg, or of
// all legs when it is the body that moves.
func (t *track) effort(d *document.Document, at *document.Place) (e effort) {
	p, ok := t.piece(at.Span)
	if !ok {
		return e
	}
	r := d.Result()
	tr := r.Trajectory
	leg := at.Leg
	if at.Track < 0 {
		leg = -1
	}
	// Samples within: at a seam the speed is the next span's.
	from, to := int(math.Ceil(p.from*tr.Rate-1e-6)), int(math.Ceil(p.to*tr.Rate-1e-6))-1
	peak, ok := r.Loads.SpeedPeak(tr, leg, from, max(from, to))
	if !ok {
		return e
	}
	e.ok, e.share, e.over = true, peak.Share, peak.Share > 1
	e.short = kin.JointName(peak.Joint) + " "
	if leg < 0 {
		e.short = r.Built.Robot.Legs[peak.Leg].Name + " " + e.short
	}
	if percent := peak.Share * 100; percent < 1000 {
		e.short += draw.Number(percent, 0) + " %"
	} else {
		e.short += "over 1000 %"
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Word != "joint-speed" || leg >= 0 && f.Leg != leg || f.To < p.from || f.From > p.to {
			continue
		}
		if f.Level == review.Stop {
			e.over = true
		} else {
			e.near = true
		}
	}
	e.full = e.short + " of its speed"
	switch {
	case e.over:
		e.short += ", too fast"
		e.full = e.short
	case e.near:
		e.short += ", near its limit"
		e.full = e.short
	}
	return e
}

// ink is the colour of the words.
func (e *effort) ink(th *look.Theme) color.NRGBA {
	switch {
	case e.over:
		return th.Stop.Ink
	case e.near:
		return th.Caution.Ink
	}
	return th.Text
}

// glyph goes before the words when there is something to say.
func (e *effort) glyph() look.Glyph {
	switch {
	case e.over:
		return look.Halt
	case e.near:
		return look.Warning
	}
	return look.NoGlyph
}
