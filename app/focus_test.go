// SPDX-License-Identifier: MIT

//go:build !headless

package app

import (
	"image"
	"testing"

	"gaitwright/app/snapshot"
	"gaitwright/assets"
)

// Wherever the Tab key goes, it shows: the picture differs by a ring at least
// from the one in which nothing has the keys.
func TestFocusIsVisible(t *testing.T) {
	t.Parallel()
	const ring = 40 // px; the shortest outline, of a small button at scale 1, has more
	for name, light := range map[string]bool{"dark": false, "light": true} {
		t.Run(name, func(t *testing.T) {
			r := openWith(t, Config{Name: "demo", Text: assets.Demo, Light: light}, image.Pt(1000, 640), 1)
			canvas, err := snapshot.Open(r.Tester.Size)
			if err != nil {
				t.Fatal(err)
			}
			defer canvas.Close()
			shot := func() *image.RGBA {
				img, err := canvas.Draw(r.Ops())
				if err != nil {
					t.Fatal(err)
				}
				return img
			}
			without := shot()
			for i := range 90 {
				r.Tab(false)
				r.Settle()
				now, n := shot(), 0
				for j := 0; j < len(now.Pix); j += 4 {
					if [4]byte(now.Pix[j:j+4]) != [4]byte(without.Pix[j:j+4]) {
						n++
					}
				}
				if n < ring {
					t.Errorf("stop %d: %d pixels show where the keys are", i+1, n)
				}
			}
		})
	}
}
