// SPDX-License-Identifier: MIT

package shape

import (
	"fmt"
	"image"
	"slices"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/motion/curve"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// What the menu of moves ends with, behind the moves themselves.
const (
	addMove = iota
	copyMove
	renameMove
	mirrorMove
	removeMove
)

// What the menu of a track begins with; behind it stand the legs to copy to.
const (
	mirrorTrack = iota
	pairTrack
	removeTrack
)

// empty is what shows where there is no move.
func (p *Panel) empty(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	if p.acts.first.Update(gtx) {
		p.addMove(d, at)
	}
	return layout.UniformInset(16).Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return control.Column(gtx, 3,
			th.Para("There is no move yet. A move takes feet and body along paths that you shape by hand: a greeting, a drum stroke. A new one lifts the first foot and puts it down, and is played at the end of the sequence.").Layout,
			control.Natural(control.Push(th, &p.acts.first, "Add a move").WithGlyph(look.Plus).As(control.Primary).Layout),
			func(gtx layout.Context) layout.Dimensions { return p.note(gtx, th, d, at) },
		)
	})
}

// moveRow chooses move and track, and says how fast the entry plays the move.
func (p *Panel) moveRow(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	if p.acts.renaming {
		return p.nameRow(gtx, th, d, at)
	}
	p.moveMenu(gtx, d, at)
	p.trackMenus(gtx, d, at)
	p.takeSpeed(gtx, d, at)
	p.tracks.Value = at.Track + 1
	if p.tracks.Update(gtx) {
		p.toTrack(d, at, p.tracks.Value-1)
	}
	if i, ok := p.acts.choose.Update(gtx); ok {
		p.toTrack(d, at, i-1)
	}
	_, played := at.MovePart(d)
	if p.acts.play.Update(gtx) && !played {
		move := at.Move
		if p.acts.do(d, at, "play a move", func(f *workfile.File) error { _, err := edit.PlayMove(f, move); return err }) {
			showEnd(d, at)
		}
	}
	f := d.File()
	if len(f.Moves) == 0 { // the last one has just been deleted
		return layout.Dimensions{}
	}

	// What fits is found by the widths of the words, so that each part is laid
	// out once.
	tracks := trackNames(d, at)
	width := func(s string) int {
		m := op.Record(gtx.Ops)
		g := gtx
		g.Constraints.Min = image.Point{}
		dim := th.Plain(s).Layout(g)
		m.Stop()
		return dim.Size.X
	}
	name := shortened(f.Moves[at.Move].Name, 20)
	unitPx := gtx.Dp(look.Unit)
	spare := gtx.Constraints.Max.X - width(name) - 9*unitPx // the menu's button
	signs := 2*gtx.Dp(look.Control) + unitPx
	wide := 0
	for _, t := range tracks {
		wide += width(t) + 5*unitPx
	}
	narrow := width(tracks[at.Track+1]) + 9*unitPx
	caption := "speed in this entry"
	speed := func(s string) int { return width(s) + unitPx + gtx.Dp(66) }
	few := false
	if spare-signs-wide-speed(caption)-4*unitPx < 0 {
		caption = "speed"
	}
	if spare-signs-wide-speed(caption)-4*unitPx < 0 {
		few = true
	}
	if few && spare-signs-narrow-speed(caption)-4*unitPx < 0 {
		caption = ""
	}

	var moves []control.MenuItem
	for i := range f.Moves {
		moves = append(moves, control.MenuItem{Text: f.Moves[i].Name, On: i == at.Move})
	}
	moves = append(moves,
		control.MenuItem{Text: "Add a move", Glyph: look.Plus, Apart: true},
		control.MenuItem{Text: "Copy this move"},
		control.MenuItem{Text: "Rename this move"},
		control.MenuItem{Text: "Mirror this move, left for right", Glyph: look.Mirror},
		control.MenuItem{Text: "Delete this move", Glyph: look.Bin, Apart: true},
	)
	menu := control.Drop(th, &p.acts.moves, name, moves...)
	menu.Face.Label, menu.Face.Hint = "move "+f.Moves[at.Move].Name, "Choose a move, add, copy, rename, mirror or delete it"

	mid := func(gtx layout.Context) layout.Dimensions {
		if !played {
			return control.Push(th, &p.acts.play, "Play it in the sequence").WithHint("No entry of the sequence plays this move: add one at the end").Layout(gtx)
		}
		return p.speedField(gtx, th, d, at, caption)
	}
	which := control.Pick(th, &p.tracks, control.Options(tracks...)...).Layout
	if few {
		var items []control.MenuItem
		for i, t := range tracks {
			items = append(items, control.MenuItem{Text: t, On: i == at.Track+1})
		}
		m := control.Drop(th, &p.acts.choose, tracks[at.Track+1], items...).AtEnd()
		m.Face.Label = "track " + tracks[at.Track+1]
		which = m.Layout
	}
	add, more := p.addItems(d, at), p.moreItems(d, at)
	return layout.Flex{Alignment: layout.Middle, Spacing: layout.SpaceBetween}.Layout(gtx,
		layout.Rigid(menu.Layout),
		layout.Rigid(mid),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return control.Bar(gtx, 0, which,
				control.DropSign(th, &p.acts.add, look.Plus, "add a track", texts(add)...).When(len(add) > 0).AtEnd().Layout,
				control.DropSign(th, &p.acts.more, look.More, "more for this track", more...).AtEnd().Layout)
		}),
	)
}

func shortened(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

// moveMenu answers the menu of moves.
func (p *Panel) moveMenu(gtx layout.Context, d *document.Document, at *document.Place) {
	i, ok := p.acts.moves.Update(gtx)
	n := len(d.File().Moves)
	if !ok {
		return
	}
	if i < n {
		if i != at.Move {
			p.toMove(d, at, i)
		}
		return
	}
	move := at.Move
	switch i - n {
	case addMove:
		p.addMove(d, at)
	case copyMove:
		p.copyMove(d, at)
	case renameMove:
		p.acts.renaming, p.acts.begun = true, true
		p.acts.name.Value = d.File().Moves[move].Name
		gtx.Execute(op.InvalidateCmd{})
	case mirrorMove:
		p.acts.do(d, at, "mirror a move", func(f *workfile.File) error { return edit.MirrorMove(f, move) })
		p.toTrackLeg(d, at)
	case removeMove:
		p.deleteMove(d, at)
	}
}

// nameRow is where a move gets another name.
func (p *Panel) nameRow(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	a := &p.acts
	changed := a.name.Update(gtx)
	entered := a.name.Entered()
	if changed || entered || a.taken.Update(gtx) {
		move, name := at.Move, a.name.Typed()
		if a.do(d, at, "rename a move", func(f *workfile.File) error { return edit.RenameMove(f, move, name) }) {
			a.renaming = false
		}
	}
	if a.leave.Update(gtx) {
		a.renaming = false
	}
	dim := layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Rigid(th.Quiet("name of the move").Layout), look.Gap(2),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return control.Words(th, &a.name, "name of the move").Layout(gtx)
		}), look.Gap(2),
		layout.Rigid(control.Push(th, &a.taken, "Rename").Layout), look.Gap(1),
		layout.Rigid(control.Push(th, &a.leave, "Go back").As(control.Quiet).Layout),
	)
	if a.begun { // now the field is there to take the keys
		a.begun = false
		gtx.Execute(key.FocusCmd{Tag: a.name.Tag()})
	}
	return dim
}

// trackNames lists the tracks of the chosen move, the body's first.
func trackNames(d *document.Document, at *document.Place) []string {
	f := d.File()
	names := []string{"body"}
	for i := range f.Moves[at.Move].Feet {
		names = append(names, strings.Join(edit.Moved(f, &f.Moves[at.Move].Feet[i]), " and "))
	}
	return names
}

// target is a leg, or a leg and its mirror, that a menu offers.
type target struct {
	text string
	leg  string
	pair bool
	off  string // why not
}

func texts(t []target) (items []control.MenuItem) {
	for _, t := range t {
		items = append(items, control.MenuItem{Text: t.text, Note: t.off, Off: t.off != ""})
	}
	return items
}

// addItems lists what a track can be added for.
func (p *Panel) addItems(d *document.Document, at *document.Place) (all []target) {
	f := d.File()
	if len(f.Moves[at.Move].Body) == 0 {
		all = append(all, target{text: "Track for the body"})
	}
	for i := range f.Legs {
		l := f.Legs[i].Name
		if edit.TrackOf(f, at.Move, l) < 0 {
			all = append(all, target{text: "Track for leg " + l, leg: l})
		}
	}
	for i := range f.Legs {
		l := f.Legs[i].Name
		if o := other(d, l); o != "" && f.Legs[i].Mirrors == "" && edit.TrackOf(f, at.Move, l) < 0 && edit.TrackOf(f, at.Move, o) < 0 {
			all = append(all, target{text: "Track for legs " + l + " and " + o, leg: l, pair: true})
		}
	}
	return all
}

// copyItems lists what the chosen foot track can be copied to.
func copyItems(d *document.Document, at *document.Place) (all []target) {
	f := d.File()
	own := edit.Moved(f, &f.Moves[at.Move].Feet[at.Track])
	note := func(legs ...string) string { // not a reason against it
		for _, l := range legs {
			if edit.TrackOf(f, at.Move, l) >= 0 {
				return "in place of its track"
			}
		}
		return ""
	}
	for i := range f.Legs {
		l := f.Legs[i].Name
		if !slices.Contains(own, l) {
			all = append(all, target{text: "Copy to leg " + l, leg: l, off: note(l)})
		}
	}
	for i := range f.Legs {
		l := f.Legs[i].Name
		if o := other(d, l); o != "" && f.Legs[i].Mirrors == "" && !slices.Contains(own, l) && !slices.Contains(own, o) {
			all = append(all, target{text: "Copy to legs " + l + " and " + o, leg: l, pair: true, off: note(l, o)})
		}
	}
	return all
}

// moreItems is the menu of the chosen track.
func (p *Panel) moreItems(d *document.Document, at *document.Place) []control.MenuItem {
	f := d.File()
	if at.Track < 0 {
		none := len(f.Moves[at.Move].Body) == 0
		return []control.MenuItem{
			mirrorTrack: {Text: "Mirror this track, left for right", Glyph: look.Mirror, Off: none},
			pairTrack:   {Text: "Move the mirrored leg as well", Off: true, Note: "of a foot only"},
			removeTrack: {Text: "Remove this track", Glyph: look.Bin, Off: none},
		}
	}
	t := &f.Moves[at.Move].Feet[at.Track]
	o := other(d, t.Leg)
	pair := control.MenuItem{Text: "Move the mirrored leg as well", On: t.Pair, Off: o == ""}
	if o != "" {
		pair.Text = "Move leg " + o + " as well, mirrored"
	}
	mirror := control.MenuItem{Text: "Mirror this track, left for right", Glyph: look.Mirror, Off: o == "" || t.Pair}
	if t.Pair {
		mirror.Note = "a pair is its own mirror"
	}
	items := []control.MenuItem{
		mirrorTrack: mirror,
		pairTrack:   pair,
		removeTrack: {Text: "Remove this track", Glyph: look.Bin},
	}
	for i, c := range copyItems(d, at) {
		items = append(items, control.MenuItem{Text: c.text, Note: c.off, Apart: i == 0})
	}
	return items
}

// trackMenus answers the menus of tracks.
func (p *Panel) trackMenus(gtx layout.Context, d *document.Document, at *document.Place) {
	f := d.File()
	if len(f.Moves) == 0 {
		return
	}
	move, track, span := at.Move, at.Track, at.Span
	if i, ok := p.acts.add.Update(gtx); ok {
		if all := p.addItems(d, at); i < len(all) {
			t := all[i]
			if t.leg == "" {
				if p.acts.do(d, at, "add a track", func(f *workfile.File) error { return edit.AddBodyTrack(f, move) }) {
					p.toTrack(d, at, edit.BodyTrack)
				}
			} else if p.acts.do(d, at, "add a track", func(f *workfile.File) error {
				_, err := edit.AddFootTrack(f, move, t.leg, t.pair)
				return err
			}) {
				p.toLeg(d, at, t.leg, 0)
				p.acts.say(d, at, "The foot stands through the whole move. Split its span where it is to move, and choose ground or body for that part.", true)
			}
		}
	}
	i, ok := p.acts.more.Update(gtx)
	if !ok {
		return
	}
	switch {
	case i == mirrorTrack:
		leg := ""
		if track >= 0 {
			leg = other(d, f.Moves[move].Feet[track].Leg)
		}
		if p.acts.do(d, at, "mirror a track", func(f *workfile.File) error { return edit.MirrorTrack(f, move, track) }) && leg != "" {
			p.toLeg(d, at, leg, span)
		}
	case track < 0 && i == removeTrack:
		if p.acts.do(d, at, "remove a track", func(f *workfile.File) error { return edit.RemoveTrack(f, move, track) }) {
			at.Tidy(d)
		}
	case track < 0:
	case i == pairTrack:
		t := &f.Moves[move].Feet[track]
		label := "make a pair"
		if t.Pair {
			label = "make two tracks of a pair"
		}
		leg, on := t.Leg, !t.Pair
		if p.acts.do(d, at, label, func(f *workfile.File) error { return edit.SetPair(f, move, track, on) }) {
			p.toLeg(d, at, leg, span)
		}
	case i == removeTrack:
		if p.acts.do(d, at, "remove a track", func(f *workfile.File) error { return edit.RemoveTrack(f, move, track) }) {
			p.toTrack(d, at, min(track, len(d.File().Moves[move].Feet)-1))
		}
	default:
		all := copyItems(d, at)
		if k := i - removeTrack - 1; k >= 0 && k < len(all) {
			t := all[k]
			if p.acts.do(d, at, "copy a track", func(f *workfile.File) error {
				_, err := edit.CopyTrack(f, move, track, t.leg, t.pair)
				return err
			}) {
				p.toLeg(d, at, t.leg, span)
			}
		}
	}
}

// spanRow walks through the track's spans and edits them.
func (p *Panel) spanRow(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	a := &p.acts
	step := 0
	if p.prev.Update(gtx) {
		step--
	}
	if p.next.Update(gtx) {
		step++
	}
	n, _ := spans(d, at)
	if step != 0 {
		p.chooseSpan(d, at, max(0, min(n-1, at.Span+step)))
	}
	for _, b := range []struct {
		button *control.Button
		do     func()
	}{
		{&a.split, func() { p.splitSpan(d, at) }}, {&a.join, func() { p.joinSpan(d, at) }}, {&a.insert, func() { p.insertSpan(d, at) }},
		{&a.sooner, func() { p.shiftSpan(d, at, -1) }}, {&a.later, func() { p.shiftSpan(d, at, 1) }}, {&a.bin, func() { p.deleteSpan(d, at) }},
	} {
		if b.button.Update(gtx) && n > 0 {
			b.do()
		}
	}
	n, to := spans(d, at)
	hold := -1
	if at.Track >= 0 && n > 0 {
		hold = slices.Index(holds[:], d.File().Moves[at.Move].Feet[at.Track].Spans[at.Span].Hold)
	}
	p.hold.Value = hold
	if hold >= 0 && p.hold.Update(gtx) {
		p.setHold(d, at, holds[p.hold.Value])
	}
	if i, ok := a.fix.Update(gtx); ok && hold >= 0 && i < len(holds) {
		p.setHold(d, at, holds[i])
	}
	text := spanWords(at, n, to)
	if n > 0 { // the strip has the names
		text = fmt.Sprintf("%d of %d", at.Span+1, n)
	}
	inside := false
	if ms, _, ok := moment(d, at); ok && n > 0 {
		from, end, _ := edit.SpanTimes(d.File(), spot(at))
		inside = ms > from+1 && ms < end-1
	}
	splitHint := "split this span at the present time"
	if n > 0 && !inside {
		splitHint = "split this span: go to an instant inside of it first"
	}
	sign := func(b *control.Button, g look.Glyph, words string, ok bool) layout.FlexChild {
		return layout.Rigid(control.Sign(th, b, g, words).When(ok).Layout)
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		sign(&p.prev, look.ArrowLeft, "span before", at.Span > 0),
		sign(&p.next, look.ArrowRight, "next span", at.Span < n-1),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: look.Unit}.Layout(gtx, th.Label(look.Body, th.Dim, text).Layout)
		}),
		sign(&a.split, look.Cut, splitHint, n > 0),
		sign(&a.join, look.Join, "join this span with the next", at.Span < n-1),
		sign(&a.insert, look.Insert, "insert a span after this one, later marks move along", n > 0),
		sign(&a.sooner, look.Sooner, "play this span earlier, in place of the one before", at.Span > 0),
		sign(&a.later, look.Later, "play this span later, in place of the next", at.Span < n-1),
		sign(&a.bin, look.Bin, "delete this span", n > 1),
		look.Gap(2),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return p.holdPick(gtx, th, hold) }),
	)
}

// narrow is the width below which what a span is fixed to is chosen from a
// menu.
const narrow unit.Dp = 420

func (p *Panel) holdPick(gtx layout.Context, th *look.Theme, hold int) layout.Dimensions {
	if hold < 0 {
		return layout.Dimensions{}
	}
	hints := [...]string{"The foot stands still on the ground", "The path is fixed to the ground", "The path travels with the body"}
	if p.width >= gtx.Dp(narrow) {
		o := control.Options(holds[:]...)
		for i := range o {
			o[i].Hint = hints[i]
		}
		return control.Pick(th, &p.hold, o...).Layout(gtx)
	}
	var items []control.MenuItem
	for i, h := range holds {
		items = append(items, control.MenuItem{Text: h, On: i == hold})
	}
	m := control.Drop(th, &p.acts.fix, holds[hold], items...).AtEnd()
	m.Face.Label, m.Face.Hint = "fixed to "+holds[hold], hints[hold]
	return m.Layout(gtx)
}

// stripRow has the spans in time, and the button for the values.
func (p *Panel) stripRow(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	if p.acts.strip.update(gtx, p, d, at) {
		p.deleteSpan(d, at)
	}
	if p.acts.details.Update(gtx) {
		p.acts.sheet = !p.acts.sheet
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions { return p.acts.strip.layout(gtx, th, d, at) }),
		look.Gap(1),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			s := control.Sign(th, &p.acts.details, look.Sheet, "all values of the move and the span").Lit(p.acts.sheet)
			s.Small = true
			return s.Layout(gtx)
		}),
	)
}

// note shows what there is to say about the last act.
func (p *Panel) note(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	s := &p.acts.said
	if s.yes.Update(gtx) && s.ask != nil {
		do := s.ask
		s.text, s.ask = "", nil
		do()
	}
	if s.no.Update(gtx) {
		s.text, s.ask = "", nil
	}
	if s.text != "" && (s.serial != d.Serial() || s.place.Move != at.Move || s.place.Track != at.Track || s.place.Span != at.Span) {
		s.text, s.ask = "", nil // it is about something else
	}
	if s.text == "" {
		return layout.Dimensions{}
	}
	glyph, ink := look.Warning, th.Caution.Ink
	if s.fine {
		glyph, ink = look.Info, th.Dim
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, glyph, 16, ink) }), look.Gap(2),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			l := th.Label(look.Body, th.Text, s.text)
			l.MaxLines = 3
			return l.Layout(gtx)
		}),
		look.Gap(2),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			if s.ask == nil {
				return layout.Dimensions{}
			}
			return control.Push(th, &s.yes, "Delete").Layout(gtx)
		}),
		layout.Rigid(control.Sign(th, &s.no, look.Close, "put this note away").Layout),
	)
}

// partMenu chooses what of a span is dragged and typed, where there is little
// room.
func (p *Panel) partMenu(gtx layout.Context, th *look.Theme) layout.Dimensions {
	names := [...]string{End: "end", Out: "start handle", In: "end handle"}
	if i, ok := p.acts.point.Update(gtx); ok {
		p.Part = Part(i)
	}
	var items []control.MenuItem
	for i, n := range names {
		items = append(items, control.MenuItem{Text: n, On: Part(i) == p.Part})
	}
	text := "turn"
	if p.Part >= 0 && int(p.Part) < len(names) {
		text = names[p.Part]
	}
	m := control.Drop(th, &p.acts.point, text, items...)
	m.Face.Label, m.Face.Hint = "point: "+text, "What the numbers beside are about"
	m.Above = true
	return m.Layout(gtx)
}

// timingMenu chooses a named timing, where there is little room.
func (p *Panel) timingMenu(gtx layout.Context, th *look.Theme, t curve.Timing, ok bool) layout.Dimensions {
	text := "timing"
	var items []control.MenuItem
	for _, n := range presetNames {
		q, err := curve.ParseTiming(n)
		on := ok && err == nil && q == t
		if on {
			text = n
		}
		items = append(items, control.MenuItem{Text: n, On: on})
	}
	m := control.Drop(th, &p.acts.ease, text, items...).When(ok)
	m.Face.Label, m.Face.Hint = "timing "+text, "Timings with a name"
	m.Above = true
	return m.Layout(gtx)
}

// setTiming gives the chosen span a timing.
func (p *Panel) setTiming(d *document.Document, at *document.Place, text string) {
	a := *at
	p.acts.do(d, at, "choose a timing", func(f *workfile.File) error {
		if s := timingOf(f, &a); s != nil {
			*s = text
		}
		return nil
	})
}
