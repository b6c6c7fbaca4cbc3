// SPDX-License-Identifier: MIT

package app

import (
	"image"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/camera"
	"gaitwright/app/control"
	"gaitwright/app/settings"
	"gaitwright/app/tour"
	"gaitwright/assets"
	"gaitwright/motion/review"
)

// Places of the window that the tour frames.
const (
	placeTop      = "top bar"
	placeFindings = "findings"
	placeRobot    = "robot"
	placeEdit     = "right column"
	placeTime     = "time"
	placeUndo     = "undo"
	placeFind     = "find"
	placeTable    = "table"
)

// guide is the tour with what it compares with.
type guide struct {
	tour.Tour
	camera camera.Camera
	tabled bool // the card for the table was open since the step began
	found  bool // something was taken in the search since the step began
}

// place lays a part of the window out, named while the tour may frame it.
func (w *Workbench) place(name string, child layout.Widget) layout.Widget {
	if w.tour.Place() != name && w.tour.Watch() != name {
		return child
	}
	return func(gtx layout.Context) layout.Dimensions { return control.Mark(gtx, name, child) }
}

// makeTour writes the steps.
func (w *Workbench) makeTour() {
	g := &w.tour
	g.Steps = []tour.Step{
		{
			Title: "Play", Place: placeTime,
			Text: "Press Space, or the button with the triangle. The robot stands, walks to the drum, strikes it twice and squares up.",
			Done: func() bool { return w.at.Playing },
		},
		{
			Title: "Look around", Place: placeRobot,
			Text:  "Drag in the robot view to turn it; with Shift to shift it; the wheel zooms. F shows the whole robot again.",
			Begin: func() { g.camera = w.view.Camera },
			Done:  func() bool { c := w.view.Camera; return c.Yaw != g.camera.Yaw || c.Pitch != g.camera.Pitch },
		},
		{
			Title: "Go to a moment", Place: placeTime,
			Text:  "In the row of marks, click the small flag called “hit”. On the right, the piece of the path that ends there is chosen: the stroke on the drum.",
			Begin: func() { w.at.Playing = false },
			Done:  w.atMark("hit"),
		},
		{
			Title: "Drag a point", Place: placeEdit, Watch: placeRobot,
			Text: "A plate is a view straight from one side, to scale. On the plate “from the side”, take the filled dot and drag it straight down, some 15 mm below the dash-dotted line. In the robot view both front legs follow. Let go when the bar at the top says: Do not run this on the robot.",
			Begin: func() {
				if !w.doc.Showing() {
					w.shapes.Value = shapeMove
				}
			},
			Done: func() bool { return !w.doc.Dragging() && review.Stops(w.doc.Result().Findings) > 0 },
		},
		{
			Title: "Read why", Place: placeFindings,
			Text:  "Click the first finding. The time, the leg and the view go to the worst instant; below it stand the reason and what mends it.",
			Begin: func() { w.at.Finding = -1 },
			Done:  func() bool { return w.at.Finding >= 0 },
		},
		{
			Title: "Undo", Place: placeUndo,
			Text: "Press Ctrl+Z, or the bent arrow, until the review finds nothing. Every edit can be taken back, in order and without limit; Ctrl+Shift+Z goes forward again.",
			Done: func() bool { return !w.doc.Dragging() && len(w.doc.Result().Findings) == 0 },
		},
		{
			Title: "Find anything", Place: placeFind,
			Text:  "Press / and type: whole. “Show the whole robot” comes first, and its key, F, stands at the right; Enter does it. Every action, place and term of the trade is found like this.",
			Begin: func() { g.found = false },
			Done:  func() bool { return g.found },
		},
		{
			Title: "A table for the firmware", Place: placeTable,
			Text:  "Press “Table for the firmware”: servo pulses for your controller. Look at the card; Escape leaves it, nothing has to be written now.",
			Begin: func() { g.tabled = false },
			Done: func() bool {
				g.tabled = g.tabled || w.modal.kind == exportModal
				return g.tabled && w.modal.kind == noModal
			},
		},
	}
}

// atMark tells whether the chosen span ends on a mark and the time is there.
func (w *Workbench) atMark(name string) func() bool {
	return func() bool {
		f := w.doc.File()
		if w.at.Move >= len(f.Moves) {
			return false
		}
		m := &f.Moves[w.at.Move]
		if w.at.Track >= 0 && w.at.Track < len(m.Feet) && w.at.Span < len(m.Feet[w.at.Track].Spans) {
			return m.Feet[w.at.Track].Spans[w.at.Span].To == name && w.at.Time > 0
		}
		return false
	}
}

// onDemo tells whether the demo is open.
func (w *Workbench) onDemo() bool { return w.doc.Path == "" && w.cfg.Name == assets.DemoName }

// takeTour begins the tour where it was left. It is about the demo.
func (w *Workbench) takeTour() {
	begin := func() { w.tour.Begin(w.prefs.TourStep) }
	if w.onDemo() {
		begin()
		return
	}
	w.modal.put(w, question{
		title: "Open the demo for the tour?", main: 1,
		text: "The tour is on the demo. " + w.Name() + " is set aside as it is, with its history, and comes back at the end of the tour.",
		answers: []answer{
			{"Not now", nil},
			{"Take the tour", func() {
				if w.demoAside() {
					begin()
				}
			}},
		},
	})
}

// layoutTour draws the tour over the window, and goes on with it.
func (w *Workbench) layoutTour(gtx layout.Context, inner layout.Context) {
	if !w.tour.On() && !w.tour.Offered() {
		return
	}
	came := w.tour.Update(inner, w.prefs.ReducedMotion)
	if came != tour.Nothing {
		gtx.Execute(op.InvalidateCmd{}) // the place to frame is laid out in the next frame
	}
	switch came {
	case tour.Moved:
		w.prefer(func(s *settings.Settings) { s.TourStep = w.tour.At() })
		w.unfoldFor(w.tour.Place())
	case tour.Left:
		w.prefer(func(s *settings.Settings) { s.TourStep = w.tour.At() })
		w.notice.say("The tour goes on from here when you take it again: press / and type: tour")
		w.offerBack()
	case tour.Finished:
		w.prefer(func(s *settings.Settings) { s.TourStep = 0 })
		w.notice.say("That was the tour. Now make a file of your own: New robot")
		w.offerBack()
	case tour.Declined:
		w.notice.say("The tour is there when you want it: press / and type: tour")
	}
	var at, watch image.Rectangle
	if !w.modal.open() {
		at, _ = control.Where(gtx.Ops, w.tour.Place())
		watch, _ = control.Where(gtx.Ops, w.tour.Watch())
	}
	w.tour.Layout(inner, w.th, at, watch)
}

// unfoldFor shows the part of a folded window in which a place is.
func (w *Workbench) unfoldFor(place string) {
	switch place {
	case placeFindings:
		w.fold.part = foldFindings
	case placeRobot:
		w.fold.part = foldRobot
	case placeEdit:
		w.fold.part = foldEdit
	case placeTime:
		w.fold.part = foldTime
	}
}
