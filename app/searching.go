// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"strings"

	"gioui.org/layout"

	"gaitwright/app/draw"
	"gaitwright/app/finder"
	"gaitwright/app/glossary"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile/edit"
)

// find opens the search.
func (w *Workbench) find() {
	w.modal.kind = findModal
	w.modal.card.Open(w.modal.finder.Open(w.findable()))
}

func (m *modal) layoutFind(gtx layout.Context, w *Workbench) {
	take, left := m.finder.Layout(gtx, w.th, &m.card)
	if take != nil {
		m.close() // first: what is done may open a card of its own
		w.tour.found = true
		take.Do()
		return
	}
	if left {
		m.close()
	}
}

// findable lists all that can be found, in the order in which it is shown
// before anything is typed.
func (w *Workbench) findable() []finder.Item {
	var items []finder.Item
	for i := range w.acts {
		a := &w.acts[i]
		if a.id == "find" || a.special() && !w.heeds(a) {
			continue // it would only lead to itself, or belongs to a state that is off
		}
		items = append(items, finder.Item{
			Kind: "action", Name: capital(a.words), More: a.more, Hint: a.hint(), Keys: a.say, Why: w.whyNot(a), Do: a.do,
		})
	}
	items = append(items, w.foundItems()...)
	items = append(items, w.places()...)
	items = append(items, w.limitKeys()...)
	items = append(items, w.gaitsToAdd()...)
	items = append(items, w.recentItems()...)
	for _, t := range glossary.Terms() {
		items = append(items, finder.Item{
			Kind: "term", Name: t.Word, More: t.More, Hint: t.Sentence(),
			Do: func() { w.modal.tellOf(capital(t.Word), capital(t.Means)+".\n\nSource: "+t.Source+".") },
		})
	}
	return items
}

// foundItems are the findings, to go to.
func (w *Workbench) foundItems() []finder.Item {
	var items []finder.Item
	for i := range w.doc.Result().Findings {
		f := &w.doc.Result().Findings[i]
		more := "caution"
		if f.Level == review.Stop {
			more = "stop"
		}
		items = append(items, finder.Item{
			Kind: "finding", Name: f.Word + ", " + w.where(f), More: more + " " + strings.ReplaceAll(f.Word, "-", " "),
			Hint: sentence(f.Why), Do: func() { w.goTo(i) },
		})
	}
	return items
}

// places are the parts of the robot and of its motion, to go to.
func (w *Workbench) places() []finder.Item {
	var items []finder.Item
	r, f := w.doc.Result(), w.doc.File()
	for i, l := range r.Built.Robot.Legs {
		items = append(items, finder.Item{Kind: "leg", Name: "Leg " + l.Name, Hint: "Choose this leg: its joints on the left, its path on the right",
			Do: func() { w.at.Choose(w.doc, i) }})
	}
	away := ""
	if w.doc.Showing() {
		away = "another motion shows; end it first (Esc)"
	}
	for i, m := range f.Moves {
		items = append(items, finder.Item{Kind: "move", Name: m.Name, Hint: "Shape this move", Why: away, Do: func() {
			w.at.Move, w.at.Track, w.at.Span = i, min(0, len(m.Feet)-1), 0
			if p, ok := w.at.MovePart(w.doc); ok {
				w.at.Playing = false
				w.at.Time = p.From
			}
			w.turnTo(shapeMove)
		}})
	}
	for _, g := range f.Gaits {
		at, plays := 0.0, false
		for _, p := range r.Trajectory.Parts {
			if walks := p.Kind == "walk" || p.Kind == "change"; walks && !plays && p.Index >= 0 && p.Index < len(f.Sequence) && f.Sequence[p.Index].Gait == g.Name {
				at, plays = p.From, true
			}
		}
		why := away
		if why == "" && !plays {
			why = "no entry of the sequence walks in it"
		}
		items = append(items, finder.Item{Kind: "gait", Name: g.Name, More: "walk", Hint: "Shape the first walk of the sequence in this gait", Why: why, Do: func() {
			w.at.Playing = false
			w.at.GoTo(w.doc, at+1e-6)
			w.turnTo(shapeWalk)
		}})
	}
	for _, p := range r.Trajectory.Parts {
		items = append(items, finder.Item{
			Kind: "entry", Name: fmt.Sprintf("%s, at %s s", p.Name, draw.Number(p.From, 2)), More: p.Kind + " sequence",
			Hint: "Go to the beginning of this entry of the sequence",
			Do: func() {
				w.at.Playing = false
				w.at.GoTo(w.doc, p.From)
			},
		})
	}
	return items
}

// limitKeys are the thresholds of the review, to go to.
func (w *Workbench) limitKeys() []finder.Item {
	var items []finder.Item
	for _, k := range edit.Settings() {
		items = append(items, finder.Item{
			Kind: "limit", Name: k.Name, More: k.Key + " " + strings.Join(k.Words, " ") + " " + k.Group + " threshold " + moreOf(k.Key),
			Hint: k.Means + " On the page “limits”.",
			Do: func() {
				w.turnTo(shapeLimits)
				w.limits.Seek(k.Key)
			},
		})
	}
	return items
}

// moreOf gives other words by which a threshold is found.
func moreOf(key string) string {
	switch key {
	case "friction":
		return "coefficient"
	case "tilt_roll_deg", "tilt_pitch_deg":
		return "slope"
	case "voltage_v", "current_limit_a", "resistance_mohm":
		return "battery supply"
	}
	return ""
}

// gaitsToAdd are the gaits known for the robot's legs that the file has not.
func (w *Workbench) gaitsToAdd() []finder.Item {
	all, err := edit.Library(w.doc.Own())
	if err != nil {
		return nil // the page “walk” says why
	}
	why := ""
	if w.doc.Showing() {
		why = "another motion shows; end it first (Esc)"
	}
	var items []finder.Item
	known := map[string]bool{}
	for _, g := range all {
		known[g.Name] = true
		if edit.GaitIndex(w.doc.Own(), g.Name) >= 0 {
			continue
		}
		items = append(items, finder.Item{
			Kind: "gait", Name: "Add " + g.Name, More: "gait walk new library", Why: why,
			Hint: "Add the gait “" + g.Name + "” to the file, to be shaped on the page “walk”.",
			Do: func() {
				w.turnTo(shapeWalk)
				w.walk.Add(w.doc, &w.at, g)
			},
		})
	}
	// What is known for other legs is found as well, with the reason.
	for _, o := range [...]struct {
		legs  int
		words string
		names []string
	}{{4, "four legs", []string{"trot", "pace", "bound", "crawl"}}, {6, "six legs", []string{"tripod", "tetrapod"}}} {
		if len(w.doc.Own().Legs) == o.legs {
			continue
		}
		for _, name := range o.names {
			if known[name] || edit.GaitIndex(w.doc.Own(), name) >= 0 {
				continue
			}
			items = append(items, finder.Item{Kind: "gait", Name: "Add " + name, More: "gait walk new library",
				Why: "it is a gait of " + o.words, Hint: "A gait of " + o.words + ".", Do: func() {}})
		}
	}
	return items
}

// whyNot says why an action cannot be done now, "" when it can.
func (w *Workbench) whyNot(a *action) string {
	if !w.heeds(a) {
		switch {
		case w.liveOn():
			return "not while walking live; end it first (Esc)"
		case w.trying():
			return "not while a change is tried; go back first (Esc)"
		case w.snapshotShows():
			return "not while a snapshot shows; flip back first (Esc)"
		}
		return "not in this mode"
	}
	if a.can() {
		return ""
	}
	switch a.id {
	case "recent":
		return "no other file was open yet"
	case "undo":
		return "nothing to undo"
	case "redo":
		return "nothing to redo"
	case "next finding", "previous finding":
		return "nothing was found"
	case "larger":
		return "it is the largest"
	case "smaller":
		return "it is the usual size"
	case "faster":
		return "it is the fastest"
	case "slower":
		return "it is the slowest"
	case "flip", "overlay", "compare", "snapshot again", "forget":
		return "there is no snapshot; keep one first (K)"
	case "keep":
		return "there are as many snapshots as can be kept"
	}
	return "not now"
}

// hint says what an action does, with its key.
func (a *action) hint() string {
	if a.about != "" {
		return a.about + "."
	}
	if s, ok := abouts()[a.id]; ok {
		return s + "."
	}
	return sentence(a.words)
}

// abouts says what the actions do whose words alone may not say it.
func abouts() map[string]string {
	return map[string]string{
		"new":       "Begin a robot of your own from a few questions",
		"open":      "Open another workfile",
		"save":      "Write the workfile; your comments stay",
		"save as":   "Write the workfile under another name",
		"undo":      "Take the last edit back, without limit",
		"redo":      "Do again what was taken back",
		"export":    "Write servo pulses and joint angles for the firmware to play",
		"weigh":     "Find the body's mass and centre from scales under the feet",
		"play":      "Play the sequence, or pause",
		"step on":   "A hundredth of a second on",
		"step back": "A hundredth of a second back",
		"start":     "Go to the start of the sequence",
		"end":       "Go to the end of the sequence",
		"fit":       "Turn and zoom so that the whole robot shows",
		"stand":     "Hang the robot on a stand, or put it down: on a stand, checks that need the ground are off",
		"live":      "The robot walks as you press keys; the file stays as it is",
		"changes":   "A map of each change of gait, asked for at 25 instants of the cycle",
		"end live":  "Stop walking live and go back to the file's motion",
		"end trial": "Go back to the file's motion",
	}
}

// capital begins a text with a capital letter.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.TrimSuffix(sentence(s), ".")
}
