// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"image"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/widget"
	"gioui.org/widget/material"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/pace"
	"gaitwright/motion/review"
)

func jointName(j int) string { return kin.JointName(j) }

// findingsList shows every finding; a click goes to its instant, leg and
// reason.
type findingsList struct {
	list   widget.List
	clicks []*widget.Clickable // their addresses are tags of events
}

// goTo shows a finding: the time, the leg, the pose where it is worst.
func (w *Workbench) goTo(i int) {
	all := w.doc.Result().Findings
	if i < 0 || i >= len(all) {
		return
	}
	w.at.Regard(w.doc, i)
	if f := &all[i]; f.Part >= 0 {
		switch kind := w.doc.Result().Trajectory.Parts[f.Part].Kind; {
		case w.doc.Showing():
		case kind == "move":
			w.shapes.Value = shapeMove
		case kind == "walk" || kind == "change":
			w.shapes.Value = shapeWalk
		}
	}
}

func (l *findingsList) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	all := w.doc.Result().Findings
	for len(l.clicks) < len(all) {
		l.clicks = append(l.clicks, new(widget.Clickable))
	}
	for i := range all {
		if l.clicks[i].Clicked(gtx) {
			w.goTo(i)
		}
	}
	l.list.Axis = layout.Vertical
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 12, Right: 12, Top: 8, Bottom: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				head := "Findings"
				if w.liveOn() {
					head = "Findings, walking live"
				} else if w.trying() {
					head = "Findings, trying a change"
				}
				s := w.th.Strong(head)
				return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
					layout.Flexed(1, s.Layout),
					layout.Rigid(w.th.Label(look.Small, w.th.Dim, summary(all)).Layout),
				)
			})
		}),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			if len(all) == 0 {
				text := w.nothingFound()
				return layout.Inset{Left: 12, Right: 12, Top: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					t := w.th.Label(look.Body, w.th.Dim, text)
					t.MaxLines = 0
					return t.Layout(gtx)
				})
			}
			return material.List(w.th.Theme, &l.list).Layout(gtx, len(all), func(gtx layout.Context, i int) layout.Dimensions {
				return l.row(gtx, w, &all[i], i)
			})
		}),
	)
}

// nothingFound says what to do where the list is empty.
func (w *Workbench) nothingFound() string {
	f := w.doc.File()
	switch {
	case w.doc.OnStand():
		return "None in reach, joints and legs. On the ground there may be more: put the robot down to see (H)."
	case w.liveOn():
		return "None in the last 8 s of walking."
	case w.trying():
		return "None in what plays for this change."
	case w.doc.Showing():
		return "None in what shows."
	case len(f.Sequence) == 0:
		return "None, but the robot only stands: add what it is to do on the page “sequence”, or a walk or a move on theirs."
	case len(f.Moves) == 0:
		return "None. Shape the gait and its command on the page “walk”: the review follows the hand."
	}
	return "None. Drag a point of the path on the right, or shape its timing: the review follows the hand."
}

func summary(all []review.Finding) string {
	if len(all) == 0 {
		return ""
	}
	stops := review.Stops(all)
	var s []string
	if stops > 0 {
		s = append(s, count(stops, "stop"))
	}
	if n := len(all) - stops; n > 0 {
		s = append(s, count(n, "caution"))
	}
	return strings.Join(s, ", ")
}

// amount writes a finding's value beside its limit, with the digits of its
// sentence; nothing where it has none to compare.
func amount(f *review.Finding) string {
	if f.Value == 0 && f.Limit == 0 {
		return ""
	}
	value, limit := f.Amount()
	return told(value + unitOf(f) + ", limit " + limit + unitOf(f))
}

// unitOf writes a finding's unit behind a number.
func unitOf(f *review.Finding) string {
	switch f.Unit {
	case "": // a coefficient has none
		return ""
	case "us":
		return " µs"
	}
	return " " + f.Unit
}

// told writes words of the review as they stand on screen: minus signs and
// degrees as on a drawing.
func told(s string) string { return draw.Degrees(onScreen(s)) }

// sentence writes a finding's words as a sentence.
func sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return told(string(unicode.ToUpper(r)) + s[n:] + ".")
}

// mends writes what would mend a finding.
func mends(f *review.Finding) string { return "To mend it: " + told(f.Mend) + "." }

func (l *findingsList) row(gtx layout.Context, w *Workbench, f *review.Finding, i int) layout.Dimensions {
	th := w.th
	chosen := w.at.Finding == i
	tone, glyph := th.Caution, look.Warning
	if f.Level == review.Stop {
		tone, glyph = th.Stop, look.Halt
	}
	control.Reachable(gtx, l.clicks[i])
	return l.clicks[i].Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.DescriptionOp(f.Word + " " + w.where(f)).Add(gtx.Ops)
		m := op.Record(gtx.Ops)
		dim := layout.Inset{Left: 12, Right: 12, Top: 4, Bottom: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			lines := []layout.FlexChild{
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
						layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, glyph, 14, tone.Ink) }),
						look.Gap(1.5),
						layout.Flexed(1, th.Strong(f.Word).Layout),
						layout.Rigid(th.Label(look.Small, th.Text, amount(f)).Layout),
					)
				}),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					return layout.Inset{Left: 20}.Layout(gtx, th.Label(look.Small, th.Dim, w.where(f)).Layout)
				}),
			}
			if chosen {
				for _, s := range []string{sentence(f.Why), mends(f)} {
					lines = append(lines, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
						return layout.Inset{Left: 20, Top: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
							t := th.Label(look.Body, th.Text, s)
							t.MaxLines = 0
							return t.Layout(gtx)
						})
					}))
				}
			}
			return layout.Flex{Axis: layout.Vertical}.Layout(gtx, lines...)
		})
		call := m.Stop()
		box := image.Rectangle{Max: dim.Size}
		defer clip.Rect(box).Push(gtx.Ops).Pop()
		switch {
		case chosen:
			draw.Rect(gtx.Ops, box, th.Chosen)
		case l.clicks[i].Hovered():
			draw.Rect(gtx.Ops, box, th.Hover)
		}
		call.Add(gtx.Ops)
		if gtx.Focused(l.clicks[i]) {
			draw.Frame(gtx.Ops, box, gtx.Dp(2), th.Colours.Focus)
		}
		return dim
	})
}

// jointsTable shows the chosen leg's joints now, and holds them on a stand.
type jointsTable struct {
	hold [kin.Joints]control.Button
	told [4]control.Tip
}

func (j *jointsTable) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	r := w.doc.Result()
	t := r.Trajectory
	leg := w.at.Leg
	k := t.Index(w.at.Time)
	q := t.JointsAt(k, leg)
	th := w.th
	rows := []layout.FlexChild{
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
				layout.Flexed(1, th.Strong("Leg "+r.Built.Robot.Legs[leg].Name).Layout),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					l := th.Label(look.Small, th.Dim, fmt.Sprintf("reach %s mm, step-down %s", draw.Number(t.Reach[k*t.Legs+leg]*1000, 1), w.stepDown(k, leg)))
					return j.told[3].Layout(gtx, th, reachHint, l.Layout)
				}),
			)
		}),
		layout.Rigid(layout.Spacer{Height: 4}.Layout),
		layout.Rigid(jointRow(w, "", "angle", "range", "of limit", nil, j.told[:3]...)),
	}
	for i := range kin.Joints {
		a := q[i]
		held, isHeld := w.at.Held[[2]int{leg, i}]
		if isHeld {
			a = held
		}
		if j.hold[i].Update(gtx) {
			if !w.doc.OnStand() {
				w.toggleStand()
			}
			w.at.Hold(leg, i, a)
		}
		l := &r.Built.Robot.Legs[leg]
		load := w.loadOf(k, leg, i)
		if isHeld {
			load = "held"
		}
		hint := "Hold this joint still, on a stand, while the rest moves"
		rows = append(rows, layout.Rigid(jointRow(w, jointName(i), degrees(a)+"°",
			degrees0(l.Limits[i].Lo)+" … "+degrees0(l.Limits[i].Hi), load,
			func(gtx layout.Context) layout.Dimensions {
				b := control.Push(th, &j.hold[i], "hold")
				b.Small, b.Label = true, "hold "+jointName(i)
				return b.Lit(isHeld).WithHint(hint).When(!w.doc.Showing()).Layout(gtx)
			})))
	}
	return layout.Inset{Left: 12, Right: 12, Top: 8, Bottom: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Axis: layout.Vertical}.Layout(gtx, rows...)
	})
}

// stepDown writes how far below the ground, at the place over which it is, the
// foot of a leg could still reach at sample k.
func (w *Workbench) stepDown(k, leg int) string {
	r := w.doc.Result()
	t, l := r.Trajectory, &r.Built.Robot.Legs[leg]
	up := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	p := t.FootAt(k, leg)
	p = r3.Sub(p, r3.Scale(r3.Dot(up, p)-l.FootRadius, up)) // on the ground below it
	x := t.BodyPose(k)
	d, ok := pace.StepDown(l, x.Into(p), x.R.TMul(r3.Scale(-1, up)))
	if !ok {
		return "none"
	}
	return draw.Number(d*1000, 0) + " mm"
}

// loadOf writes what a joint takes at sample k of what its servo can, as the
// strips plot it: of its torque-speed line at the voltage left, derated.
func (w *Workbench) loadOf(k, leg, joint int) string {
	r := w.doc.Result()
	o := leg*kin.Joints + joint
	i := k*r.Loads.Legs*kin.Joints + o
	line := r.Loads.LineAt(k, o)
	if d := r.Built.Limits.Derating; d > 0 && d <= 1 {
		line = line.Derated(d)
	}
	tau := r.Loads.Torque[i]
	if tau != tau || !(r.Loads.Lines[o].Stall > 0) {
		return "–"
	}
	return percent(100 * line.Use(tau, r.Trajectory.V[i]))
}

// percent writes a share. What has no bound is not a number to write.
func percent(v float64) string {
	if v > 999 {
		return "over 999 %"
	}
	if v > 0 && v < 0.5 {
		return "< 1 %"
	}
	return draw.Number(v, 0) + " %"
}

func degrees(a float64) string  { return draw.Number(a*180/math.Pi, 1) }
func degrees0(a float64) string { return draw.Number(a*180/math.Pi, 0) }

// What the head of the joints table says to the pointer.
const reachHint = "Reach: how far the foot is from the edge of where it can get to. Step-down: how far below the ground, over the place where it is, it could still reach"

var jointHints = [...]string{
	"The angle of the joint at this instant",
	"The range that the joint may turn in, as the file has it",
	"What the joint takes of its servo, at this torque and speed: 100 % is the derated torque-speed line, where the servo can do no more",
}

// jointRow aligns a row of the joints table: numbers to the right, with hints
// at those of the head.
func jointRow(w *Workbench, name, angle, limits, load string, button layout.Widget, told ...control.Tip) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		th := w.th
		c := th.Text
		if button == nil {
			c = th.Dim
		}
		size := look.Body
		if button == nil {
			size = look.Small
		}
		cell := func(i int, width float32, s string) layout.FlexChild {
			return layout.Flexed(width, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				words := th.Label(size, c, s).Layout
				if i >= len(told) {
					return layout.E.Layout(gtx, words)
				}
				return layout.E.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return told[i].Layout(gtx, th, jointHints[i], words) })
			})
		}
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Flexed(0.8, th.Label(size, c, name).Layout),
			cell(0, 1.1, angle), cell(1, 1.6, limits), cell(2, 1, load),
			look.Gap(2),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Dp(42)
				if button == nil {
					return layout.Dimensions{Size: image.Pt(gtx.Constraints.Min.X, gtx.Dp(16))}
				}
				return button(gtx)
			}),
		)
	}
}
