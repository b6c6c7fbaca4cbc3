// SPDX-License-Identifier: MIT

package app

import (
	"image"
	"math"
	"path/filepath"
	"time"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/filedialog"
	"gaitwright/app/limits"
	"gaitwright/app/look"
	"gaitwright/app/machine"
	"gaitwright/app/recovery"
	"gaitwright/app/robotlink"
	"gaitwright/app/robotview"
	"gaitwright/app/sequence"
	"gaitwright/app/settings"
	"gaitwright/app/shape"
	"gaitwright/app/strips"
	"gaitwright/app/timeline"
	"gaitwright/app/walk"
	"gaitwright/app/watch"
	"gaitwright/kin"
)

// Config is what a workbench needs from outside.
type Config struct {
	Name   string            // shown for a text that is no file, "demo"
	Path   string            // file that the text was read from, "" for none
	Text   []byte            // workfile
	Light  bool              // begin with the light look
	Native filedialog.Dialog // the system's file dialogs, nil to use our own only
	Files  filedialog.FS     // how our own dialog reads folders, nil for the disk
	Wake   func()            // asks for a frame from another goroutine, may be nil

	Keep  recovery.Place   // where unsaved work is kept, by Cache, Token and Host; no Token: nowhere
	Watch time.Duration    // how often the file on the disk is looked at; 0: when it is saved
	Now   func() time.Time // for the date of what is kept, nil: the clock

	Settings settings.Settings             // what was remembered from the last start
	Remember func(settings.Settings) error // called when they change, nil to remember nothing
	Ports    robotlink.Ports               // how a robot on a serial port is reached

	OfferTour bool // offer the tour, unless it was offered before
}

// Workbench is the whole window. Make one with New.
type Workbench struct {
	cfg Config
	th  *look.Theme
	doc *document.Document
	at  document.Place

	view     robotview.View
	machine  machine.Panel
	walk     walk.Panel
	shape    shape.Panel
	sequence sequence.Panel
	limits   limits.Panel
	wire     robotlink.Panel // the robot on a line
	time     timeline.Panel
	strips   strips.Panel

	left    control.Split // the findings, and the rest of the row
	right   control.Split // the robot view, and the column in which it is edited
	split   control.Split // the views above, timeline and strips below
	resized bool          // the person moved the handle between them

	shapes control.Choice // what the right column is for, see desk.go
	tryAll control.Button
	shaped int // the same before walking live
	live   liveWalk
	trial  trial
	versus comparing
	stand  standDrive

	top      topBar
	verdict  verdictLine
	findings findingsList
	joints   jointsTable
	views    viewBar

	modal   modal
	answer  chan reply // from the system's file dialog
	notice  notice
	acts    []action
	after   []*action // to do once the field that had the keys is left
	closing bool      // the person said that the window may close

	tabs  control.Order // in which Tab leads through the window
	keep  recovery.Follower
	watch *watch.Watcher
	found []recovery.Found // by earlier windows, to be asked about

	prefs  settings.Settings
	unkept bool      // they are not written yet
	keepAt time.Time // when they are to be, zero: not fixed yet

	tight bool // the bar at the top leaves out words
	isLow bool // the window is low: so are its bars
	fold  fold
	tour  guide

	seeking seeking   // what is to have the keys from the next frame on
	waiting *setAside // the file that was open before the tour, nil for none
	earlier []string  // files of earlier windows, to be looked at for unsaved work

	moved struct { // the last rehearsal of the drag under way
		serial int
		at     time.Time
	}
}

// New opens a workfile. Errors are those of the reader, or of a sequence that
// cannot be planned.
func New(c Config) (*Workbench, error) {
	d, err := document.Open(c.Path, c.Name, c.Text)
	if err != nil {
		return nil, err
	}
	w := &Workbench{cfg: c, th: look.New(!c.Light && !c.Settings.Light), answer: make(chan reply, 1), prefs: c.Settings}
	w.fold.part = foldEdit
	if s := c.Settings.Views; s > 0 {
		w.split.Share, w.resized = s, true
	}
	w.makeTour()
	w.linking()
	w.machine.CheckSheet = w.checkSheet
	w.sequence.Open, w.time.Open = w.openEntry, w.openEntry
	w.acts = w.actions()
	w.shapes.Value = shapeMove
	w.walk.Beside = w.button(&w.tryAll, "changes", true)
	w.take(d)
	if d.Path != "" {
		w.remember(d.Path)
	}
	w.earlier = nil
	w.offer()
	w.lookEarlier()
	if c.OfferTour && !c.Settings.TourOffered && w.onDemo() {
		w.tour.Offer()
		w.prefer(func(s *settings.Settings) { s.TourOffered = true })
	}
	return w, nil
}

// take shows another document from its beginning.
func (w *Workbench) take(d *document.Document) {
	w.leaveRobot()
	w.endLive()
	w.endTrial()
	w.versus, w.stand.legs = comparing{}, nil // they are of the other document
	w.doc = d
	w.attach()
	w.at = document.Place{Finding: -1, Speed: 1, Loop: !w.prefs.ReducedMotion}
	if w.modal.kind == weighModal || w.modal.kind == changesModal { // it is about another robot
		w.modal.close()
	}
	for i, m := range d.File().Moves {
		if len(m.Feet) > 0 {
			w.at.Move, w.at.Track = i, 0
			for j, s := range m.Feet[0].Spans {
				if s.Hold != "planted" {
					w.at.Span = j // the first one with something to drag
					break
				}
			}
			if l := d.Result().Built.Robot.LegIndex(m.Feet[0].Leg); l >= 0 {
				w.at.Leg = l
			}
			break
		}
	}
	w.at.Tidy(d)
	w.view.Fit()
}

// Document is the open document.
func (w *Workbench) Document() *document.Document { return w.doc }

// Place is where the person looks.
func (w *Workbench) Place() *document.Place { return &w.at }

// Title is the window's title.
func (w *Workbench) Title() string {
	name := w.cfg.Name
	if w.doc.Path != "" {
		name = filepath.Base(w.doc.Path)
	}
	if w.doc.Dirty() {
		name += " (not saved)"
	}
	return name + " – Gaitwright"
}

// MayClose tells whether the window may close at once. With unsaved work it
// may not: the question is shown, and Closing turns true when it is answered
// so.
func (w *Workbench) MayClose() bool {
	w.doc.Drop()
	w.keepPrefsNow()
	if !w.closing && w.wire.Live() {
		w.askRobot(w.MayClose)
		return false
	}
	if w.closing {
		return true
	}
	unsaved := func() bool { return w.waiting != nil && w.waiting.doc.Dirty() }
	if unsaved() && (w.onDemo() || !w.doc.Dirty()) {
		w.comeBackNow() // it is asked about
	}
	if !w.doc.Dirty() {
		return true
	}
	w.modal.ask(w, "Close without saving?", "There are changes in "+w.Name()+" that are not saved.", func() {
		if unsaved() {
			w.comeBackNow()
			w.closing = w.MayClose()
			return
		}
		w.closing = true
	})
	return false
}

// Closing tells that the person chose to close.
func (w *Workbench) Closing() bool { return w.closing }

// Name is how the open file is called on screen.
func (w *Workbench) Name() string {
	if w.doc.Path != "" {
		return filepath.Base(w.doc.Path)
	}
	return w.cfg.Name
}

// Layout handles input and draws the window.
func (w *Workbench) Layout(gtx layout.Context) layout.Dimensions {
	w.collect()
	gtx = w.tabs.In(w.scaled(gtx))
	w.stopKey(gtx)
	w.isLow = gtx.Constraints.Max.Y < gtx.Dp(lowWindow)
	inner := gtx
	if w.modal.open() {
		w.at.Playing = false // nothing behind the card goes on
		inner = inner.Disabled()
	}
	w.hearOutside(inner)
	w.leaveField(inner)
	if w.deskTyping(inner) {
		w.at.Playing = false // it would choose another span under the typed number
	}
	w.tick(inner)
	w.time.Update(inner, w.doc, &w.at) // first, so that every view shows the same instant
	w.wire.Update(gtx, w.doc, &w.at)
	w.layOver()
	w.layRobot()
	w.hand()
	w.strips.Update(inner, w.doc, &w.at, &w.time)
	w.at.Tidy(w.doc)
	before := w.shown()
	th := w.th
	th.HintsApart = true
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)

	layout.Flex{Axis: layout.Vertical}.Layout(inner,
		layout.Rigid(w.area(areaTop, func(gtx layout.Context) layout.Dimensions { return w.top.layout(gtx, w) })),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return w.verdict.layout(gtx, w) }),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			if w.folded(gtx) {
				return w.layoutFolded(gtx)
			}
			w.share(gtx)
			return w.split.Layout(gtx, th, "height of the timeline", w.row, w.place(placeTime, w.bottom))
		}),
	)
	w.rest(gtx)
	w.layoutTour(gtx, inner)
	w.modal.layout(gtx, w)
	w.keepPrefs(gtx)
	control.Hints(gtx, th)
	// Shortcuts last: what has the focus takes its keys first.
	w.tabs.Look(gtx)
	if !w.modal.open() {
		w.seekFocus(gtx)
		w.shortcuts(gtx)
	}
	w.keepWork()
	w.at.Tidy(w.doc) // what was changed in this frame may have made the motion shorter
	// A part that was handled late in this frame changed what an earlier one
	// had drawn: show it.
	if w.shown() != before {
		gtx.Execute(op.InvalidateCmd{})
	}
	return layout.Dimensions{Size: size}
}

// settled is how long the pointer has to rest in a drag before the motion is
// sampled in full under it.
const settled = 250 * time.Millisecond

// rest samples a drag in full once nothing has changed for a while.
func (w *Workbench) rest(gtx layout.Context) {
	if !w.doc.Dragging() || !w.doc.Coarse() {
		return
	}
	if w.moved.serial != w.doc.Serial() {
		w.moved.serial, w.moved.at = w.doc.Serial(), gtx.Now
	}
	if due := w.moved.at.Add(settled); gtx.Now.Before(due) {
		gtx.Execute(op.InvalidateCmd{At: due})
		return
	}
	w.doc.Refine()
}

// shown is what every part of the window draws from, to tell whether it
// changed within a frame.
type shown struct {
	doc                                  *document.Document
	serial, leg, move, track, span, find int
	time                                 float64
	held                                 int
	dragging, playing, dark              bool
	notice                               string
	modal                                modalKind
	err                                  string
	live                                 bool
	driven                               [kin.Joints]float64
}

func (w *Workbench) shown() shown {
	s := shown{
		w.doc, w.doc.Serial(), w.at.Leg, w.at.Move, w.at.Track, w.at.Span, w.at.Finding, w.at.Time,
		len(w.at.Held), w.doc.Dragging(), w.at.Playing, w.th.Dark, w.notice.text, w.modal.kind, "", w.liveOn(),
		w.drivenTo(),
	}
	if err := w.doc.Err(); err != nil {
		s.err = err.Error()
	}
	return s
}

// Heights of the views, the timeline and the strips.
const (
	likedViews unit.Dp = 432 // for all plates to be of use
	leastViews unit.Dp = 340 // for one to be
	leastTime  unit.Dp = 170

	splitHandle unit.Dp = 7 // of control.Split
)

// timeHeights gives the height of the timeline with all legs in it, px: the
// one it likes to have, and the least.
func (w *Workbench) timeHeights(gtx layout.Context) (likes, least int) {
	rows := len(w.doc.Result().Built.Robot.Legs)
	return gtx.Dp(unit.Dp(112 + rows*18)), gtx.Dp(unit.Dp(113 + rows*13))
}

// share divides the height between the views and what is below them, as the
// person did, or else so that the strips that matter show while the views stay
// of use.
func (w *Workbench) share(gtx layout.Context) {
	w.split.Axis, w.split.First, w.split.Second = layout.Vertical, leastViews, leastTime
	if w.split.Update(gtx) {
		w.resized = true
		w.prefer(func(s *settings.Settings) { s.Views = math.Round(w.split.Share*1e4) / 1e4 })
	}
	height := gtx.Constraints.Max.Y - gtx.Dp(splitHandle)
	if w.resized || height <= 0 {
		return
	}
	likes, least := w.timeHeights(gtx)
	most := min(height*48/100, height-gtx.Dp(likedViews))
	most = max(most, min(least+gtx.Dp(1)+gtx.Dp(strips.Least), height-gtx.Dp(leastViews)))
	bottom := min(likes+gtx.Dp(1)+w.strips.Height(gtx, w.doc, height), most)
	w.split.Share = float64(height-bottom) / float64(height)
}

// bottom is the timeline and the strips below it.
func (w *Workbench) bottom(gtx layout.Context) layout.Dimensions {
	size := gtx.Constraints.Max
	likes, least := w.timeHeights(gtx)
	time := max(least, min(likes, size.Y-gtx.Dp(1)-w.strips.Height(gtx, w.doc, size.Y)))
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(fixed(0, time, w.area(areaTime, func(gtx layout.Context) layout.Dimensions {
			return w.time.Layout(gtx, w.th, w.doc, &w.at)
		}))),
		layout.Rigid(w.rule(false)),
		layout.Flexed(1, w.area(areaStrips, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return w.strips.Layout(gtx, w.th, w.doc, &w.at, &w.time)
		})),
	)
}

// inMiddle lays a child out at its own height in the middle of a bar.
func inMiddle(gtx layout.Context, child layout.Widget) layout.Dimensions {
	size := gtx.Constraints.Max
	gtx.Constraints.Min.Y = 0
	m := op.Record(gtx.Ops)
	d := child(gtx)
	call := m.Stop()
	defer op.Offset(image.Pt(0, max(0, (size.Y-d.Size.Y)/2))).Push(gtx.Ops).Pop()
	call.Add(gtx.Ops)
	return layout.Dimensions{Size: size}
}

// fixed gives a child a width and a height, 0 for all there is.
func fixed(x, y int, child layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		size := gtx.Constraints.Max
		if x > 0 {
			size.X = min(x, size.X)
		}
		if y > 0 {
			size.Y = min(y, size.Y)
		}
		gtx.Constraints = layout.Exact(size)
		child(gtx)
		return layout.Dimensions{Size: size}
	}
}

// rule draws a hairline between regions.
func (w *Workbench) rule(upright bool) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		size := image.Pt(gtx.Constraints.Max.X, max(1, gtx.Dp(1)))
		if upright {
			size = image.Pt(max(1, gtx.Dp(1)), gtx.Constraints.Max.Y)
		}
		draw.Rect(gtx.Ops, image.Rectangle{Max: size}, w.th.Line)
		return layout.Dimensions{Size: size}
	}
}

func (w *Workbench) leftColumn(gtx layout.Context) layout.Dimensions {
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Flexed(1, w.findingsOrCompare),
		layout.Rigid(w.rule(false)),
		layout.Rigid(w.area(areaJoints, w.jointsOrServos)),
	)
}

func (w *Workbench) middle(gtx layout.Context) layout.Dimensions {
	return layout.Stack{}.Layout(gtx,
		layout.Expanded(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return w.view.Layout(gtx, w.th, w.doc, &w.at)
		}),
		layout.Stacked(func(gtx layout.Context) layout.Dimensions {
			return layout.UniformInset(8).Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				return layout.Flex{Axis: layout.Vertical, Gap: gtx.Dp(look.Unit)}.Layout(gtx,
					layout.Rigid(func(gtx layout.Context) layout.Dimensions { return w.views.layout(gtx, w) }),
					layout.Rigid(w.snapshotBanner))
			})
		}),
	)
}
