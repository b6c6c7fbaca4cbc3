// SPDX-License-Identifier: MIT

// Package draw puts lines, markers, filled shapes and short texts on a Gio
// canvas at the price of a few outlines a frame.
//
// Gio fills paths; it is slow at stroking them. A [Batch] therefore turns
// every segment into a closed quad and paints all quads of one colour with a
// single fill. The cost of a fill on the graphics side is the bounding box of
// the path plus, for each edge, the area below it down to the bottom of its
// own contour; so contours are kept small and long slanted segments are cut
// in pieces.
//
//	var b draw.Batch
//	b.Reset(image.Rect(0, 0, 400, 300))
//	b.Polyline(pts, draw.Line{Width: 1.5, Pattern: draw.Dashed})
//	b.Disc(pts[0], 3)
//	b.Paint(gtx.Ops, ink)
//
// Coordinates are pixels of the current transform, x right and y down, in
// float64 until the last step. Points that are not finite are left out.
package draw
