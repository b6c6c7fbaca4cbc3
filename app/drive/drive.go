// SPDX-License-Identifier: MIT

// Package drive runs a window's contents without a window: frame by frame, with
// pointer, keys and typed text put in by program, and with parts found by the
// words a person reads on them. Tests and the picture command use it.
//
//	d := drive.New(image.Pt(800, 600), ui.Layout)
//	err := d.Click("Play")
//	err = d.Settle()
//
// In tests [For] wraps a driver so that a failure ends the test.
package drive

import (
	"errors"
	"fmt"
	"image"
	"strings"
	"time"
	"unicode"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
)

// Driver holds the window's state between frames.
type Driver struct {
	UI     func(layout.Context) layout.Dimensions
	Size   image.Point // canvas, px
	Metric unit.Metric // the zero value means 1 px per dp and sp
	Now    time.Time   // the time that frames see
	Frames int         // frames laid out so far

	router input.Router
	ops    op.Ops
	clock  time.Duration // time stamp of the next pointer event
}

// Errors of a driver.
var (
	ErrNotFound = errors.New("drive: no such label")
	ErrNoClick  = errors.New("drive: not clickable")
	ErrDisabled = errors.New("drive: disabled")
	ErrRestless = errors.New("drive: the window never comes to rest")
)

// New returns a driver after its first frame: handlers exist only from then
// on, and events put in before would be lost.
func New(size image.Point, ui func(layout.Context) layout.Dimensions) *Driver {
	return NewScaled(size, 1, ui)
}

// NewScaled is New with the given number of pixels per dp and sp.
func NewScaled(size image.Point, scale float32, ui func(layout.Context) layout.Dimensions) *Driver {
	d := &Driver{
		UI: ui, Size: size, Now: time.Unix(1_000_000_000, 0),
		Metric: unit.Metric{PxPerDp: scale, PxPerSp: scale},
	}
	d.Frame()
	return d
}

// Frame lays out one frame with the events put in since the last.
func (d *Driver) Frame() {
	d.ops.Reset()
	gtx := layout.Context{
		Ops: &d.ops, Now: d.Now, Metric: d.Metric, Source: d.router.Source(),
		Constraints: layout.Exact(d.Size),
	}
	d.UI(gtx)
	d.router.Frame(&d.ops)
	d.Frames++
}

// Ops returns the drawing of the last frame. It is valid until the next.
func (d *Driver) Ops() *op.Ops { return &d.ops }

// Router gives access to what the driver does not wrap.
func (d *Driver) Router() *input.Router { return &d.router }

const (
	frameTime = 16 * time.Millisecond // between frames that are wanted at once
	// restless is the number of frames after which Settle gives up: 3 s of
	// animation. A blinking text cursor stops after some twenty frames.
	restless = 200
)

// Settle lays out frames, moving the time on as they ask, until none is wanted.
// It fails with ErrRestless when the window goes on forever.
func (d *Driver) Settle() error {
	for range restless {
		d.Frame()
		at, again := d.router.WakeupTime()
		if !again {
			return nil
		}
		if d.Now = d.Now.Add(frameTime); at.After(d.Now) {
			d.Now = at
		}
	}
	return ErrRestless
}

// Awake reports whether the last frame asked for another one, and when.
func (d *Driver) Awake() (time.Time, bool) { return d.router.WakeupTime() }

// Queue puts events in without a frame.
func (d *Driver) Queue(ev ...event.Event) { d.router.Queue(ev...) }

// ClickAt presses and releases the primary button at the pixel p.
func (d *Driver) ClickAt(p f32.Point) { d.click(p, 0) }

func (d *Driver) click(p f32.Point, m key.Modifiers) {
	d.clock += time.Second // apart from the last click
	d.pair(p, m)
	d.Frame()
	d.follow()
}

// follow lays out the frame that a moved focus asks for at once, as a window
// does before the next key.
func (d *Driver) follow() {
	if at, again := d.router.WakeupTime(); again && !at.After(d.Now) {
		d.Frame()
	}
}

func (d *Driver) pair(p f32.Point, m key.Modifiers) {
	d.Queue(
		pointer.Event{Kind: pointer.Move, Source: pointer.Mouse, Position: p, Time: d.clock},
		pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: p, Modifiers: m, Time: d.clock},
		pointer.Event{Kind: pointer.Release, Source: pointer.Mouse, Position: p, Modifiers: m, Time: d.clock + 20*time.Millisecond},
	)
}

// DoubleClickAt clicks twice in quick succession at the pixel p.
func (d *Driver) DoubleClickAt(p f32.Point) {
	d.clock += time.Second
	d.pair(p, 0)
	d.Frame()
	d.clock += 80 * time.Millisecond
	d.pair(p, 0)
	d.Frame()
}

// MoveTo moves the pointer to the pixel p with no button down.
func (d *Driver) MoveTo(p f32.Point) {
	d.Queue(pointer.Event{Kind: pointer.Move, Source: pointer.Mouse, Position: p, Time: d.clock})
	d.Frame()
}

// Drag presses at from, moves to to in the given number of steps with a frame
// each, and releases there.
func (d *Driver) Drag(from, to f32.Point, steps int) {
	d.DragWith(pointer.ButtonPrimary, 0, from, to, steps)
}

// DragWith is Drag with a button and modifier keys.
func (d *Driver) DragWith(b pointer.Buttons, m key.Modifiers, from, to f32.Point, steps int) {
	d.clock += time.Second
	ev := pointer.Event{Source: pointer.Mouse, Buttons: b, Modifiers: m, Position: from, Time: d.clock}
	ev.Kind = pointer.Press
	d.Queue(ev)
	d.Frame()
	ev.Kind = pointer.Move // a move with a button down arrives as a drag
	steps = max(steps, 1)
	for i := 1; i <= steps; i++ {
		ev.Position = from.Add(to.Sub(from).Mul(float32(i) / float32(steps)))
		ev.Time += 16 * time.Millisecond
		d.Queue(ev)
		d.Frame()
	}
	ev.Kind, ev.Buttons = pointer.Release, 0
	d.Queue(ev)
	d.Frame()
	d.clock = ev.Time
}

// Scroll turns the wheel by dy px at the pixel p; positive moves the contents
// up.
func (d *Driver) Scroll(p f32.Point, dy float32, m key.Modifiers) {
	d.Queue(pointer.Event{Kind: pointer.Scroll, Source: pointer.Mouse, Position: p, Scroll: f32.Pt(0, dy), Modifiers: m, Time: d.clock})
	d.Frame()
}

// Press presses and releases a key with modifiers.
func (d *Driver) Press(n key.Name, m key.Modifiers) {
	d.Queue(key.Event{Name: n, Modifiers: m, State: key.Press}, key.Event{Name: n, Modifiers: m, State: key.Release})
	d.Frame()
}

// Type types text into the focused editor, a key at a time as a window does:
// the key first, then the text that it makes.
func (d *Driver) Type(text string) {
	for _, r := range text {
		name := key.Name(string(unicode.ToUpper(r)))
		if r == ' ' {
			name = key.NameSpace
		}
		sel := d.router.EditorState().Selection.Range
		if sel.Start > sel.End {
			sel.Start, sel.End = sel.End, sel.Start
		}
		d.Queue(
			key.Event{Name: name, State: key.Press},
			key.EditEvent{Range: sel, Text: string(r)},
			key.SelectionEvent{Start: sel.Start + 1, End: sel.Start + 1},
			key.Event{Name: name, State: key.Release},
		)
		d.Frame()
	}
}

// Tab moves the keyboard focus on, or back, and scrolls it into view, as the
// Tab key does in a window.
func (d *Driver) Tab(back bool) {
	dir := key.FocusForward
	if back {
		dir = key.FocusBackward
	}
	d.router.MoveFocus(dir)
	d.router.RevealFocus(image.Rectangle{Max: d.Size})
	d.Frame()
	d.follow()
}

// Focused reports whether the keyboard focus is on tag.
func (d *Driver) Focused(tag event.Tag) bool { return d.router.Source().Focused(tag) }

// Focus moves the keyboard focus to tag.
func (d *Driver) Focus(tag event.Tag) {
	d.router.Source().Execute(key.FocusCmd{Tag: tag})
	d.Frame()
	d.follow()
}

// Nodes returns the semantic tree of the last frame, the root first.
func (d *Driver) Nodes() []input.SemanticNode { return d.router.AppendSemantics(nil) }

// Find returns the first part whose label, or else whose description, is text.
func (d *Driver) Find(text string) (input.SemanticNode, bool) {
	nodes := d.Nodes()
	for _, n := range nodes {
		if n.Desc.Label == text {
			return n, true
		}
	}
	for _, n := range nodes {
		if n.Desc.Description == text {
			return n, true
		}
	}
	return input.SemanticNode{}, false
}

// Clickable returns the part with the given label, or the nearest part around
// it, that takes clicks. A button's text is a child of the button, and its
// bounds may overhang it.
func (d *Driver) Clickable(label string) (input.SemanticNode, error) {
	nodes := d.Nodes()
	found := false
	for _, n := range nodes {
		if n.Desc.Label != label {
			continue
		}
		found = true
		// A field's own name stands around the editor that takes the click; a
		// disabled button has no gesture.
		if n.Desc.Class != semantic.Unknown || takesClicks(n) {
			return n, nil
		}
	}
	if !found {
		n, ok := d.Find(label) // by its description
		if !ok {
			return n, fmt.Errorf("%w: %q in\n%s", ErrNotFound, label, d.Dump())
		}
		label = n.Desc.Label
		if takesClicks(n) {
			return n, nil
		}
	}
	byID := make(map[input.SemanticID]input.SemanticNode, len(nodes))
	for _, n := range nodes {
		byID[n.ID] = n
	}
	for _, n := range nodes {
		if n.Desc.Label != label {
			continue
		}
		for p, ok := byID[n.ParentID]; ok; p, ok = byID[p.ParentID] {
			if takesClicks(p) {
				return p, nil
			}
		}
	}
	return input.SemanticNode{}, fmt.Errorf("%w: %q in\n%s", ErrNoClick, label, d.Dump())
}

// takesClicks reports whether clicking the part itself is meant: areas that
// scroll see clicks too.
func takesClicks(n input.SemanticNode) bool {
	return n.Desc.Gestures&input.ClickGesture != 0 && n.Desc.Gestures&input.ScrollGesture == 0
}

// Centre returns the middle pixel of the clickable part with the label.
func (d *Driver) Centre(label string) (f32.Point, error) {
	n, err := d.Clickable(label)
	return middle(n), err
}

func middle(n input.SemanticNode) f32.Point {
	c := n.Desc.Bounds.Min.Add(n.Desc.Bounds.Max)
	return f32.Pt(float32(c.X)/2, float32(c.Y)/2)
}

// Click clicks in the middle of the part with the given label. It fails with
// ErrDisabled where a person could not click; see ClickAt to try all the same.
func (d *Driver) Click(label string) error {
	n, err := d.Clickable(label)
	if err != nil {
		return err
	}
	if n.Desc.Disabled {
		return fmt.Errorf("%w: %q in\n%s", ErrDisabled, label, d.Dump())
	}
	d.ClickAt(middle(n))
	return nil
}

// Dump lists the semantic tree, for the messages of failures.
func (d *Driver) Dump() string {
	var s strings.Builder
	for _, n := range d.Nodes() {
		fmt.Fprintf(&s, "%d in %d: %q (%q) %v %v gestures %v", n.ID, n.ParentID, n.Desc.Label, n.Desc.Description, n.Desc.Class, n.Desc.Bounds, n.Desc.Gestures)
		if n.Desc.Disabled {
			s.WriteString(" disabled")
		}
		if n.Desc.Selected {
			s.WriteString(" selected")
		}
		s.WriteByte('\n')
	}
	return s.String()
}
