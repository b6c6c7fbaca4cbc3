// SPDX-License-Identifier: MIT

package timeline

import (
	"math"

	"gaitwright/app/document"
)

// Magnify shows a stretch of time that is shorter, or longer with n < 0, by n
// steps about the present time. Called outside Layout it needs a new frame.
func (p *Panel) Magnify(d *document.Document, at *document.Place, n int) {
	p.window.zoom(math.Pow(zoomStep, float64(n)), at.Time, d.Result().Trajectory.Duration())
}
