// SPDX-License-Identifier: MIT

package draw

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Hull appends the corners of the convex hull of pts to dst, once round, and
// returns it. It sorts pts. Points on a side are left out; of points on one
// line the two ends are given. Andrew's monotone chain (Information Processing
// Letters 9, 1979; from memory).
func Hull(dst, pts []r2.Vec) []r2.Vec {
	slices.SortFunc(pts, func(a, b r2.Vec) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	pts = slices.Compact(pts)
	if len(pts) < 3 {
		return append(dst, pts...)
	}
	from := len(dst)
	chain := func(p r2.Vec, least int) {
		for n := len(dst); n >= least+2 && r2.Cross(r2.Sub(dst[n-1], dst[n-2]), r2.Sub(p, dst[n-2])) <= 0; n-- {
			dst = dst[:n-1]
		}
		dst = append(dst, p)
	}
	for _, p := range pts {
		chain(p, from)
	}
	turn := len(dst) - 1
	for i := len(pts) - 2; i >= 0; i-- {
		chain(pts[i], turn)
	}
	return dst[:len(dst)-1] // the first point once more
}
