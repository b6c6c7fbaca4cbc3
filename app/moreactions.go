// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/io/key"

	"gaitwright/app/camera"
	"gaitwright/app/look"
	"gaitwright/kin"
)

// moreActions are those of the views, the choice of leg and finding, the pages,
// and the window itself.
func (w *Workbench) moreActions() []action {
	short := key.ModShortcut
	all := []action{
		{id: "find", words: "Find", glyph: look.Search, say: "/", do: w.find, plain: true,
			keys:  []key.Filter{{Name: "/", Optional: key.ModShift}}, // Shift makes it on some keyboards
			about: "Find every action, place and term by a word of it"},
		{id: "keys", words: "All keys", say: "? or F1", do: w.allKeys, plain: true,
			keys:  []key.Filter{{Name: "?", Optional: key.ModShift}, {Name: key.NameF1}},
			about: "A list of every key and what it does", more: "help ? shortcuts keyboard key shortcut list manual"},
		{id: "next area", words: "Keys to the next area", say: "F6", do: func() { w.seek(nextArea) },
			keys:  []key.Filter{{Name: key.NameF6}},
			about: "Lead the keys round bar, findings, robot, editor, timeline and strips", more: "focus region keyboard part"},
		{id: "previous area", words: "Keys to the area before", say: "Shift+F6", do: func() { w.seek(previousArea) },
			keys:  []key.Filter{{Name: key.NameF6, Required: key.ModShift}},
			about: "Lead the keys round the areas the other way", more: "focus region keyboard part previous"},
		{id: "recent", words: "Open a recent file", say: "Ctrl+Shift+O", glyph: look.Folder, do: w.findRecent,
			can:   func() bool { return len(w.recentFiles()) > 0 },
			keys:  []key.Filter{{Name: "O", Required: short | key.ModShift}},
			about: "Choose among the files that were open last", more: "last file history reopen workfile"},
		{id: "close", words: "Close the window", say: "Ctrl+Q", do: w.quit,
			keys:  []key.Filter{{Name: "Q", Required: short}},
			about: "Ends the program; what is not saved is asked about", more: "quit exit end leave program"},
		{id: "come back", words: "Go back to the file from before the tour", do: w.comeBack, mode: whileAside,
			about: "The file that was open before the tour, with its history"},
		{id: "tour", words: "Take the tour", do: w.takeTour,
			about: "Eight things to try on the demo, each shown where it is done", more: "help learn first guide introduction start"},
		{id: "larger", words: "Larger", say: "Ctrl+Plus", do: func() { w.resize(1) },
			can:   func() bool { return w.scale() < scales[len(scales)-1] },
			keys:  []key.Filter{{Name: "+", Required: short, Optional: key.ModShift}, {Name: "=", Required: short, Optional: key.ModShift}},
			about: "Draw everything larger, up to three times the usual size", more: "scale zoom text size bigger"},
		{id: "smaller", words: "Smaller", say: "Ctrl+Minus", do: func() { w.resize(-1) },
			can:   func() bool { return w.scale() > 1 },
			keys:  []key.Filter{{Name: "-", Required: short}},
			about: "Draw everything smaller", more: "scale zoom text size"},
		{id: "usual size", words: "Usual size", say: "Ctrl+0", do: func() { w.resize(0) },
			keys:  []key.Filter{{Name: "0", Required: short}},
			about: "Draw everything at the display's own scale", more: "scale reset text size"},
		{id: "look", words: "Light or dark look", glyph: look.Sun, do: w.turnLook,
			about: "Change between dark text on light and light text on dark", more: "theme colours night day bright"},
		{id: "less motion", words: "Less motion, or as usual", do: w.lessMotion,
			about: "Let nothing move that was not asked to", more: "reduced animation loop"},

		{id: "next finding", words: "Next finding", say: "N", do: func() { w.nextFinding(1); w.seek(whereMended) }, can: w.hasFindings, plain: true,
			keys:  []key.Filter{{Name: "N"}},
			about: "Go to the time, leg and view of the next finding", more: "stop caution problem"},
		{id: "previous finding", words: "Previous finding", say: "Shift+N", do: func() { w.nextFinding(-1); w.seek(whereMended) }, can: w.hasFindings, plain: true,
			keys:  []key.Filter{{Name: "N", Required: key.ModShift}},
			about: "Go to the time, leg and view of the finding before", more: "stop caution problem"},
		{id: "next leg", words: "Choose the next leg", say: "G", do: func() { w.nextLeg(1) }, plain: true,
			keys:  []key.Filter{{Name: "G"}},
			about: "Its joints show on the left, its path on the right"},
		{id: "previous leg", words: "Choose the leg before", say: "Shift+G", do: func() { w.nextLeg(-1) }, plain: true,
			keys:  []key.Filter{{Name: "G", Required: key.ModShift}},
			about: "Its joints show on the left, its path on the right", more: "previous"},
		{id: "faster", words: "Play faster", do: func() { w.time.Faster(&w.at) }, can: func() bool { return w.at.Speed < 2 },
			about: "The next higher speed of playback; the motion stays as it is", more: "playback speed"},
		{id: "slower", words: "Play slower", do: func() { w.time.Slower(&w.at) }, can: func() bool { return w.at.Speed > 0.05 },
			about: "The next lower speed of playback; the motion stays as it is", more: "playback speed"},
		{id: "loop", words: "Play over and over, or once", glyph: look.Repeat, do: func() { w.at.Loop = !w.at.Loop },
			about: "Begin again at the end of the sequence, or stop there", more: "loop repeat playback"},
		{id: "zoom in time", words: "Magnify the time", do: func() { w.time.Magnify(w.doc, &w.at, 1) },
			about: "Show a shorter stretch about the present time; in the timeline + does it", more: "zoom timeline in"},
		{id: "zoom out time", words: "Show more time", do: func() { w.time.Magnify(w.doc, &w.at, -1) },
			about: "Show a longer stretch of time; in the timeline − does it", more: "zoom timeline out"},
		{id: "all time", words: "Show all the time", do: w.time.ShowAll,
			about: "Show the whole sequence on the timeline", more: "zoom timeline fit whole"},
	}
	all = append(all, w.robotActions()...)
	for i := range kin.Joints {
		name := kin.JointName(i)
		all = append(all, action{id: "hold " + name, words: "Hold the " + name + ", or let go", do: func() { w.holdJoint(i) },
			mode: onFile, about: "Keep this joint of the chosen leg still, on a stand, while the rest moves", more: "freeze stand joint"})
	}
	for _, v := range viewOrder {
		words := "Look " + v.String()
		if v == camera.Free {
			words = "Look from ahead on the left"
		}
		all = append(all, action{id: "view " + v.String(), words: words, do: func() { w.view.Look(v) },
			about: "Turn the robot view", more: "camera view free perspective projection"})
	}
	for i, d := range desks() {
		all = append(all, action{id: "page " + d.Text, words: "Go to the page “" + d.Text + "”", do: func() { w.turnTo(i) },
			about: d.Hint, more: "panel right column edit show"})
		if i == walkLive {
			all = all[:len(all)-1] // it has an action with a key of its own
		}
	}
	for i := range all {
		if all[i].can == nil {
			all[i].can = always
		}
	}
	return all
}

// turnTo shows a page of the right column, as a click on its name does.
func (w *Workbench) turnTo(page int) {
	w.endTrial()
	w.endLive()
	w.shapes.Value = page
	w.fold.part = foldEdit
}

func (w *Workbench) hasFindings() bool { return len(w.doc.Result().Findings) > 0 }

// nextFinding goes on, or back, from the chosen finding, round and round.
func (w *Workbench) nextFinding(by int) {
	n := len(w.doc.Result().Findings)
	if n == 0 {
		return
	}
	to := w.at.Finding + by
	if w.at.Finding < 0 && by < 0 {
		to = -1
	}
	w.goTo((to + n) % n)
}

// nextLeg chooses another leg, round and round.
func (w *Workbench) nextLeg(by int) {
	n := len(w.doc.Result().Built.Robot.Legs)
	w.at.Choose(w.doc, (w.at.Leg+by+n)%n)
}

// holdJoint holds a joint of the chosen leg where it is now, on a stand, or
// lets it go.
func (w *Workbench) holdJoint(joint int) {
	if !w.doc.OnStand() {
		w.toggleStand()
	}
	t := w.doc.Result().Trajectory
	a := t.JointsAt(t.Index(w.at.Time), w.at.Leg)[joint]
	if held, ok := w.at.Held[[2]int{w.at.Leg, joint}]; ok {
		a = held
	}
	w.at.Hold(w.at.Leg, joint, a)
}
