// SPDX-License-Identifier: MIT

package control

import (
	"errors"
	"fmt"
	"image"
	"math"
	"strconv"
	"strings"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/look"
)

// Number is the state of a field for a typed number. Value is in the unit that
// the field shows; the window may set it at any time.
//
// A text that is no number, or lies outside the range, stays in the field with
// the reason below it, and the value stays as it was.
type Number struct {
	Value    float64
	Min, Max float64 // range; none unless Min < Max
	Step     float64 // of the arrow keys; zero means 1
	Decimals int     // shown
	Unit     string  // may be typed behind the number

	// Optional says that there need not be a number: an empty text is taken,
	// see Cleared. Absent says that there is none now; Value, which holds
	// instead, is shown dimmed and slanted.
	Optional, Absent bool

	entry   entry
	set     float64 // value that the text stands for
	init    bool
	err     error
	changed bool
	cleared bool
	tip     Tip
}

// Update reports whether the person changed Value: by Enter, by leaving the
// field, or by the up and down keys (ten steps with Shift).
func (n *Number) Update(gtx layout.Context) bool {
	n.pull(gtx)
	changed := n.changed
	n.changed = false
	return changed
}

// Cleared reports, once, that the person emptied an optional field, to have
// what holds without a number.
func (n *Number) Cleared() bool {
	c := n.cleared
	n.cleared = false
	return c
}

// Err says why the typed text is not the value, or nil.
func (n *Number) Err() error { return n.err }

// Wrong says why what stands in the field, be it taken or still being typed, is
// no value, or nil.
func (n *Number) Wrong() error {
	if n.err != nil || !n.entry.dirty {
		return n.err
	}
	_, err := n.Parse(n.entry.editor.Text())
	return err
}

// Focused reports whether the field has the keys.
func (n *Number) Focused(gtx layout.Context) bool { return gtx.Focused(&n.entry.editor) }

// Tag is what to give the keyboard focus to.
func (n *Number) Tag() any { return &n.entry.editor }

func (n *Number) pull(gtx layout.Context) {
	if !n.init || n.set != n.Value && (n.set == n.set || n.Value == n.Value) {
		n.take() // set by the window
	}
	for {
		ev, factor, ok := n.entry.update(gtx, true)
		if !ok {
			return
		}
		switch ev {
		case entryRestore:
			n.take()
		case entryUp:
			n.step(factor)
		case entryDown:
			n.step(-factor)
		case entryCommit:
			if n.Optional && strings.TrimSpace(n.entry.editor.Text()) == "" {
				n.cleared = true
				n.take()
				continue
			}
			v, err := n.Parse(n.entry.editor.Text())
			if n.entry.editor.Text() == n.entry.shown {
				v, err = n.Value, nil
			}
			if err != nil {
				n.err = err
				continue
			}
			if v != n.Value && (v == v || n.Value == n.Value) {
				n.Value, n.changed = v, true
			}
			n.take()
		}
	}
}

// take shows Value and forgets what was typed.
func (n *Number) take() {
	n.init, n.set, n.err = true, n.Value, nil
	n.entry.show(n.format(n.Value))
}

func (n *Number) format(v float64) string {
	if v-v != 0 {
		return "–"
	}
	s := strconv.FormatFloat(v, 'f', max(n.Decimals, 0), 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// step moves the value, from what is typed if that is a number, along the grid
// of steps, and stays in the range.
func (n *Number) step(by float64) {
	v := n.Value
	if n.entry.dirty {
		if typed, err := n.Parse(n.entry.editor.Text()); err == nil {
			v = typed
		}
	}
	if v-v != 0 {
		v = 0
	}
	step := n.Step
	if !(step > 0) {
		step = 1
	}
	v += by * step
	r := math.Round(v/step) * step
	if step < 1 { // a tenth is no number of the machine, ten is
		n := math.Round(1 / step)
		r = math.Round(v*n) / n
	}
	if math.Abs(r-v) < 1e-9*step {
		v = r // keeps sums of steps round
	}
	if n.Min < n.Max {
		v = min(max(v, n.Min), n.Max)
	}
	if v != n.Value {
		n.Value, n.changed = v, true
	}
	n.take()
}

// Parse reads a text as the field does: a decimal number with a point, with or
// without the field's unit behind it, within the range.
func (n *Number) Parse(s string) (float64, error) {
	t := strings.TrimSpace(s)
	if n.Unit != "" {
		same := strings.NewReplacer("\u00a0", " ", "·", " ") // a product is written either way
		if rest, ok := strings.CutSuffix(same.Replace(t), same.Replace(n.Unit)); ok {
			t = strings.TrimSpace(rest)
		}
	}
	t = strings.ReplaceAll(t, "−", "-") // the minus sign, U+2212
	switch {
	case t == "":
		return 0, errors.New("type a number")
	case strings.Contains(t, ","):
		return 0, fmt.Errorf("write the decimals with a point, such as %s", strings.Replace(strings.ReplaceAll(t, ".", ""), ",", ".", 1))
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || v-v != 0 || strings.ContainsAny(t, "xX_pP") {
		return 0, fmt.Errorf("“%s” is not a number", clipped(t))
	}
	if n.Min < n.Max && (v < n.Min || v > n.Max) {
		return 0, fmt.Errorf("must lie from %s to %s%s", plain(n.Min), plain(n.Max), spaced(n.Unit))
	}
	return v, nil
}

func plain(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

func spaced(unit string) string {
	if unit == "" || unit == "°" { // written close up
		return unit
	}
	return " " + unit
}

// clipped shortens what is quoted back to the person.
func clipped(s string) string {
	const most = 16
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// NumberStyle is the look of a number field in this frame.
type NumberStyle struct {
	Theme    *look.Theme
	Number   *Number
	Label    string  // spoken name
	Hint     string  // shown when the pointer rests on it; what the glossary says of the label when empty
	Width    unit.Dp // when the constraints leave it open
	Disabled bool
	Brief    bool // the window says elsewhere why a text was not taken
}

// Amount returns the style of a number field. The label is its spoken name;
// see Line for one that is also shown.
func Amount(th *look.Theme, n *Number, label string) NumberStyle {
	return NumberStyle{Theme: th, Number: n, Label: label, Width: 92}
}

// WithHint adds a hint.
func (s NumberStyle) WithHint(h string) NumberStyle { s.Hint = h; return s }

// When disables the field unless ok.
func (s NumberStyle) When(ok bool) NumberStyle { s.Disabled = !ok; return s }

// Layout draws the field.
func (s NumberStyle) Layout(gtx layout.Context) layout.Dimensions {
	n := s.Number
	if s.Disabled || reading(gtx) {
		gtx = gtx.Disabled()
	}
	n.pull(gtx)
	gtx.Constraints.Min = image.Pt(max(gtx.Constraints.Min.X, min(gtx.Dp(s.Width), gtx.Constraints.Max.X)), 0)
	b := box{th: s.Theme, label: s.Label, brief: s.Brief, unit: n.Unit, right: true, absent: n.Absent && !n.entry.dirty}
	if n.err != nil {
		b.err = n.err.Error()
	}
	b.about, n.tip.Quiet = saying(s.Hint, s.Label), n.Focused(gtx)
	return n.tip.Layout(gtx, s.Theme, explaining(s.Hint, s.Label), func(gtx layout.Context) layout.Dimensions { return b.layout(gtx, &n.entry) })
}
