// SPDX-License-Identifier: MIT

// Package curve describes one span of a motion: where it goes and when.
//
// Where is a [Bezier]: a cubic path in space, in whatever frame its points
// are given in. When is a [Timing]: a monotone map from the share of the
// span's duration that has passed, x in [0,1], to the progress along the path,
// y in [0,1]. The two are edited apart and meet in a [Span].
//
//	x = share of duration ──Timing──> y = progress ──Path──> point
//
// Progress is the path's own parameter u, or, with an [Even] table, the share
// of the path's length, so that equal steps of progress are equal distances.
//
// A timing can neither run backwards nor leave [0,1]; what would is refused by
// [Timing.Check]. Everything evaluated in an inner loop is total, finite for
// finite points and free of allocation:
//
//   - times before the span (x < 0, or not a number) give the start, at rest;
//   - times after it (x > 1) give the end, at rest;
//   - where a slope is infinite, [MaxSlope] and [MaxBend] stand in for it.
//
// Derivatives are with respect to x. For a span of duration T, divide the first
// by T and the second by T² to get m/s and m/s².
package curve
