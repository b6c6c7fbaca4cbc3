// SPDX-License-Identifier: MIT

package app

import (
	"math"
	"path/filepath"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/settings"
)

// remember notes a file that was opened or saved, and its folder.
func (w *Workbench) remember(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		w.prefer(func(s *settings.Settings) { s.Folder, s.Recent = filepath.Dir(abs), s.Recent.With(abs) })
	}
}

// The size with which a window opens that remembers none, dp.
const usualWidth, usualHeight = 1280, 800

// OpensAt is the size with which the window opens, dp.
func (w *Workbench) OpensAt() (width, height int) {
	if s := w.prefs; s.Width > 0 && s.Height > 0 {
		return s.Width, s.Height
	}
	return usualWidth, usualHeight
}

// Resized remembers the window's size, dp.
func (w *Workbench) Resized(width, height int) {
	if x, y := w.OpensAt(); x == width && y == height {
		return
	}
	w.prefer(func(s *settings.Settings) { s.Width, s.Height = width, height })
}

// Tell shows what went wrong outside the window.
func (w *Workbench) Tell(err error) { w.notice.fail(err) }

// LookOutside lets the file on the disk be looked at soon, as when the window
// gets the keys.
func (w *Workbench) LookOutside() { w.watch.Look() }

// Widths of the side columns and of the robot view between them: the ones that
// a wide window has, and the least that dragging leaves; and the same as shares
// of a window that is not wide.
const (
	likedLeft, likedRight             unit.Dp = 292, 484
	leastLeft, leastMiddle, leastSide unit.Dp = 200, 260, 340

	likedLeftShare, likedRightShare                     = 0.27, 0.38
	leastLeftShare, leastMiddleShare, leastSideOfWindow = 0.2, 0.26, 0.34
)

// columns divides the width between the side columns and the robot view, as the
// person did, or else by the window's size.
func (w *Workbench) columns(gtx layout.Context) {
	width, bar := gtx.Constraints.Max.X, gtx.Dp(splitHandle)
	least := func(dp unit.Dp, share float64) unit.Dp {
		return min(dp, gtx.Metric.PxToDp(int(share*float64(width))))
	}
	l, r := &w.left, &w.right
	l.Axis, r.Axis = layout.Horizontal, layout.Horizontal
	r.First, r.Second = least(leastMiddle, leastMiddleShare), least(leastSide, leastSideOfWindow)
	l.First, l.Second = least(leastLeft, leastLeftShare), r.First+r.Second+splitHandle

	total := float64(width - bar) // of the left column and the rest
	// of gives a share of the window's width that reads well in a file.
	of := func(px float64) float64 { return math.Round(px/float64(width)*1e4) / 1e4 }
	if l.Update(gtx) {
		w.prefer(func(s *settings.Settings) { s.Left = of(l.Share * total) })
	}
	px := func(remembered float64, liked unit.Dp, share float64) float64 {
		if remembered > 0 {
			return remembered * float64(width)
		}
		return min(float64(gtx.Dp(liked)), share*float64(width))
	}
	left := px(w.prefs.Left, likedLeft, likedLeftShare)
	left = max(min(left, total-float64(gtx.Dp(l.Second))), float64(gtx.Dp(l.First)))
	rest := total - left - float64(bar) // of the robot view and the right column
	if r.Update(gtx) {
		w.prefer(func(s *settings.Settings) { s.Right = of((1 - r.Share) * rest) })
	}
	right := px(w.prefs.Right, likedRight, likedRightShare)
	l.Share, r.Share = inside(left/total), inside(1-right/rest)
}

// inside keeps a share between what a split takes for one.
func inside(share float64) float64 { return min(max(share, 0.001), 0.999) }

// row is the findings, the robot, and the column in which it is edited.
func (w *Workbench) row(gtx layout.Context) layout.Dimensions {
	w.columns(gtx)
	return w.left.Layout(gtx, w.th, "width of the findings", w.place(placeFindings, w.leftColumn), func(gtx layout.Context) layout.Dimensions {
		return w.right.Layout(gtx, w.th, "width of the editor", w.place(placeRobot, w.area(areaRobot, w.middle)), w.place(placeEdit, w.area(areaEdit, w.rightColumn)))
	})
}
