// SPDX-License-Identifier: MIT

package app

import (
	"image"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/look"
)

// The least size, below the verdict, in which everything shows at once: that
// of a window of 1000 by 640 dp. In less the window folds: a choice under the
// verdict says which part shows, and a part with less room than it needs
// scrolls.
const (
	leastWide unit.Dp = 1000
	leastTall unit.Dp = 640 - 44 - 38
)

// fold is which part of a folded window shows.
type fold struct {
	part   int
	choice control.Choice

	scroll [foldParts]control.Scroll
}

// The parts of a folded window.
const (
	foldFindings = iota
	foldRobot
	foldEdit
	foldTime
	foldParts
)

// Least heights of the parts, dp: in less they scroll.
var foldLeast = [foldParts]unit.Dp{foldFindings: 300, foldRobot: 140, foldEdit: 480, foldTime: 300}

// besideWide is from which width on the robot stays in view beside the
// findings and the page that edits, dp.
const besideWide unit.Dp = 700

// folded tells whether the window is too small to show everything at once.
func (w *Workbench) folded(gtx layout.Context) bool {
	s := gtx.Constraints.Max
	return s.X < gtx.Dp(leastWide) || s.Y < gtx.Dp(leastTall)
}

// foldOptions names the parts.
func foldOptions() []control.Option {
	o := control.Options("findings", "robot", "edit", "time")
	for i, hint := range [...]string{
		foldFindings: "What the review found, and the joints of the chosen leg",
		foldRobot:    "The robot in space",
		foldEdit:     "The pages that edit robot, walk, move, sequence and limits",
		foldTime:     "The timeline, and the strips below it",
	} {
		o[i].Hint = hint
	}
	return o
}

// layoutFolded draws what is below the verdict, one part at a time.
func (w *Workbench) layoutFolded(gtx layout.Context) layout.Dimensions {
	f := &w.fold
	f.choice.Value = f.part
	if f.choice.Update(gtx) {
		f.part = f.choice.Value
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: look.Unit * 2, Right: look.Unit * 2, Top: w.low(look.Unit, 1), Bottom: w.low(look.Unit, 1)}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				return control.Pick(w.th, &f.choice, foldOptions()...).Layout(gtx)
			})
		}),
		layout.Rigid(w.rule(false)),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			size := gtx.Constraints.Max
			gtx.Constraints = layout.Exact(size)
			if size.X < gtx.Dp(besideWide) || f.part == foldRobot || f.part == foldTime {
				return w.foldPart(gtx, f.part)
			}
			return layout.Flex{}.Layout(gtx,
				layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
					gtx.Constraints = layout.Exact(gtx.Constraints.Max)
					return w.place(placeRobot, w.area(areaRobot, w.middle))(gtx)
				}),
				layout.Rigid(w.rule(true)),
				layout.Rigid(fixed(max(size.X*52/100, gtx.Dp(390)), 0, func(gtx layout.Context) layout.Dimensions { return w.foldPart(gtx, f.part) })),
			)
		}),
	)
}

// foldPart draws a part in the room given, or scrolls it there.
func (w *Workbench) foldPart(gtx layout.Context, part int) layout.Dimensions {
	draw := [foldParts]layout.Widget{
		foldFindings: w.place(placeFindings, w.leftColumn), foldRobot: w.place(placeRobot, w.area(areaRobot, w.middle)),
		foldEdit: w.place(placeEdit, w.area(areaEdit, w.rightColumn)), foldTime: w.place(placeTime, w.bottom),
	}[part]
	size := gtx.Constraints.Max
	least := gtx.Dp(foldLeast[part])
	if part == foldTime { // the timeline wants all its legs, and the strips something too
		_, rows := w.timeHeights(gtx)
		least = rows + gtx.Dp(120)
	}
	if size.Y >= least {
		return draw(gtx)
	}
	return w.fold.scroll[part].Area(gtx, w.th, func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints = layout.Exact(image.Pt(gtx.Constraints.Max.X, least))
		draw(gtx)
		return layout.Dimensions{Size: gtx.Constraints.Max}
	})
}
