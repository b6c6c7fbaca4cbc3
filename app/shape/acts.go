// SPDX-License-Identifier: MIT

package shape

import (
	"errors"
	"fmt"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// acts is what is done with moves, tracks and spans beside shaping them.
type acts struct {
	moves, add, more control.Menu
	fix              control.Menu // what a span is fixed to, where there is little room
	choose           control.Menu // of tracks, likewise
	point, ease      control.Menu // what is dragged, and named timings, likewise

	renaming      bool
	begun         bool // in this frame
	name          control.Text
	taken, leave  control.Button
	split, join   control.Button
	insert, bin   control.Button
	sooner, later control.Button
	stay          bool // later marks stay when one is moved in time
	along         control.Button
	details       control.Button
	sheet         bool // the values show in place of the plates
	first, play   control.Button
	strip         strip
	values        values

	said said
}

// said is a sentence about the last act, which stays until the next one.
type said struct {
	text   string
	fine   bool // nothing was refused
	serial int  // rehearsal that it was said after
	place  document.Place
	ask    func() // what the sentence offers to do, nil for nothing
	yes    control.Button
	no     control.Button
}

// say keeps a sentence to show.
func (a *acts) say(d *document.Document, at *document.Place, text string, fine bool) {
	a.said.text, a.said.fine, a.said.serial, a.said.place, a.said.ask = text, fine, d.Serial(), *at, nil
}

// do makes one undo step of an edit. What is refused is said in words, and
// changes nothing.
func (a *acts) do(d *document.Document, at *document.Place, label string, change func(*workfile.File) error) bool {
	var refused error
	err := d.Change(label, func(f *workfile.File) { refused = change(f) })
	a.say(d, at, "", true)
	switch {
	case refused != nil:
		a.say(d, at, edit.Words(refused), false)
	case err != nil:
		a.say(d, at, document.Reason(err), false)
	default:
		return true
	}
	return false
}

// spot names the chosen span to the edits.
func spot(at *document.Place) edit.Spot {
	return edit.Spot{Move: at.Move, Track: at.Track, Span: at.Span}
}

// moment gives the present time in the chosen move (ms), and the entry of the
// sequence that plays it; false while another one plays.
func moment(d *document.Document, at *document.Place) (ms float64, entry int, ok bool) {
	part, ok := at.MovePart(d)
	if !ok || at.Time < part.From || at.Time > part.To {
		return 0, part.Index, false
	}
	return (at.Time - part.From) * part.Speed * 1000, part.Index, true
}

// toMove looks at a move: at its first foot track, in its first span that has
// a path.
func (p *Panel) toMove(d *document.Document, at *document.Place, move int) {
	f := d.File()
	at.Move, at.Track, at.Span = move, 0, 0
	at.Tidy(d)
	if move >= 0 && move < len(f.Moves) {
		if part, ok := at.MovePart(d); ok {
			at.Playing = false
			at.Time = part.From
		}
		p.toTrackLeg(d, at)
		if m := &f.Moves[move]; len(m.Feet) > 0 {
			for i, s := range m.Feet[0].Spans {
				if s.Hold != "planted" {
					at.Track, at.Span = 0, i
					break
				}
			}
		}
		at.Tidy(d)
		showEnd(d, at)
	}
}

// toTrack looks at a track of the chosen move.
func (p *Panel) toTrack(d *document.Document, at *document.Place, track int) {
	at.Track, at.Span = track, 0
	p.toTrackLeg(d, at)
	at.Tidy(d)
}

// toLeg looks at the track that moves a leg.
func (p *Panel) toLeg(d *document.Document, at *document.Place, leg string, span int) {
	if i := edit.TrackOf(d.File(), at.Move, leg); i >= 0 {
		p.toTrack(d, at, i)
		at.Span = span
		at.Tidy(d)
	}
}

func (p *Panel) addMove(d *document.Document, at *document.Place) {
	i := 0
	if p.acts.do(d, at, "add a move", func(f *workfile.File) (err error) { i, err = edit.AddMove(f, ""); return err }) {
		p.toMove(d, at, i)
	}
}

func (p *Panel) copyMove(d *document.Document, at *document.Place) {
	move, i := at.Move, 0
	if p.acts.do(d, at, "copy a move", func(f *workfile.File) (err error) { i, err = edit.CopyMove(f, move); return err }) {
		p.toMove(d, at, i)
	}
}

// deleteMove deletes the chosen move. Where entries play it, it asks whether
// they are to go as well.
func (p *Panel) deleteMove(d *document.Document, at *document.Place) {
	move := at.Move
	var used *edit.MoveInUse
	ok := p.acts.do(d, at, "delete a move", func(f *workfile.File) error {
		err := edit.DeleteMove(f, move, false)
		errors.As(err, &used)
		return err
	})
	if ok {
		p.toMove(d, at, max(0, move-1))
	}
	if used == nil {
		return
	}
	n := len(used.Entries)
	what := "it and the entry"
	if n > 1 {
		what = fmt.Sprintf("it and the %d entries", n)
	}
	p.acts.said.text = fmt.Sprintf("The sequence plays the move %s. Delete %s that play it?", used.Name, what)
	if n == 1 {
		p.acts.said.text = fmt.Sprintf("The sequence plays the move %s. Delete it and the entry that plays it?", used.Name)
	}
	p.acts.said.ask = func() {
		if p.acts.do(d, at, "delete a move and what plays it", func(f *workfile.File) error { return edit.DeleteMove(f, move, true) }) {
			p.toMove(d, at, max(0, move-1))
		}
	}
}

// splitSpan splits the chosen span at the present time.
func (p *Panel) splitSpan(d *document.Document, at *document.Place) {
	s := spot(at)
	ms, entry, ok := moment(d, at)
	if !ok {
		p.acts.say(d, at, "The move does not play at the present time. Go to an instant inside of the span first.", false)
		return
	}
	var off edit.Drift
	if p.acts.do(d, at, "split a span", func(f *workfile.File) (err error) { off, err = edit.Split(f, s, ms, entry); return err }) {
		p.acts.drifted(d, at, off)
	}
}

// joinSpan joins the chosen span with the next.
func (p *Panel) joinSpan(d *document.Document, at *document.Place) {
	s := spot(at)
	_, entry, _ := moment(d, at)
	var off edit.Drift
	if p.acts.do(d, at, "join two spans", func(f *workfile.File) (err error) { off, err = edit.Join(f, s, entry); return err }) {
		at.Tidy(d)
		p.acts.drifted(d, at, off)
	}
}

// drifted says how far a motion has changed that was meant to stay, when one
// could see it.
func (a *acts) drifted(d *document.Document, at *document.Place, off edit.Drift) {
	switch {
	case off.Path >= 0.05:
		a.say(d, at, fmt.Sprintf("The motion changed by up to %.1f mm there.", off.Path), true)
	case off.Lean >= 0.05:
		a.say(d, at, fmt.Sprintf("The lean changed by up to %.1f° there.", off.Lean), true)
	}
}

func (p *Panel) insertSpan(d *document.Document, at *document.Place) {
	s := spot(at)
	if p.acts.do(d, at, "insert a span", func(f *workfile.File) error { return edit.InsertSpan(f, s) }) {
		p.chooseSpan(d, at, s.Span+1)
	}
}

func (p *Panel) deleteSpan(d *document.Document, at *document.Place) {
	s := spot(at)
	if p.acts.do(d, at, "delete a span", func(f *workfile.File) error { return edit.DeleteSpan(f, s) }) {
		p.chooseSpan(d, at, s.Span)
	}
}

func (p *Panel) shiftSpan(d *document.Document, at *document.Place, by int) {
	s := spot(at)
	label := "play a span later"
	if by < 0 {
		label = "play a span earlier"
	}
	if p.acts.do(d, at, label, func(f *workfile.File) error { return edit.ShiftSpan(f, s, by) }) {
		p.chooseSpan(d, at, s.Span+by)
	}
}

// chooseSpan takes a span of the track and goes to its end.
func (p *Panel) chooseSpan(d *document.Document, at *document.Place, i int) {
	at.Span = i
	at.Tidy(d)
	showEnd(d, at)
}

// retime puts the mark on which the chosen span ends at a time, ms. The
// present time goes along when it is there.
func (p *Panel) retime(d *document.Document, at *document.Place, ms float64) {
	_, to := spans(d, at)
	i := edit.MarkIndex(d.File(), at.Move, to)
	if i < 0 {
		return
	}
	move, along := at.Move, !p.acts.stay
	was := d.File().Moves[move].Marks[i].At
	now, _, playing := moment(d, at)
	if p.acts.do(d, at, "move a mark in time", func(f *workfile.File) error { return edit.Retime(f, move, i, ms, along) }) &&
		playing && now > was-1e-3 && now < was+1e-3 {
		showEnd(d, at)
	}
}

// alongWords says what becomes of the later marks when one is moved in time.
func (a *acts) alongWords() string {
	if a.stay {
		return "Later marks stay where they are: the next span has the rest of the time"
	}
	return "Later marks move along: no other span gets faster"
}
