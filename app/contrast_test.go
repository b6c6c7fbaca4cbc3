// SPDX-License-Identifier: MIT

//go:build !headless

package app

import (
	"fmt"
	"image"
	"image/color"
	"strings"
	"testing"

	"gioui.org/io/key"

	"gaitwright/app/look"
	"gaitwright/app/snapshot"
	"gaitwright/assets"
)

// inks are the colours that words are written in, and what draws attention.
func inks(th *look.Theme) map[string]*color.NRGBA {
	return map[string]*color.NRGBA{
		"text": &th.Text, "dim": &th.Dim,
		"accent ink": &th.Accent.Ink, "stop ink": &th.Stop.Ink, "caution ink": &th.Caution.Ink, "fine ink": &th.Fine.Ink,
		"on accent": &th.Accent.On, "on stop": &th.Stop.On, "on caution": &th.Caution.On, "on fine": &th.Fine.On,
	}
}

// pair is an ink on a ground.
type pair struct {
	ink    string
	ground color.NRGBA
}

// pairs measures which inks stand on which grounds in the window as it looks
// now, and by how many pixels. It draws the window twice, the second time with
// other inks: what differs is ink, and what is next to it and does not differ
// is its ground.
func (r *rig) pairs(t *testing.T) map[pair]int {
	t.Helper()
	canvas, err := snapshot.Open(r.Tester.Size)
	if err != nil {
		t.Fatal(err)
	}
	defer canvas.Close()
	shot := func() *image.RGBA {
		r.Frame()
		img, err := canvas.Draw(r.Ops())
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	a := shot()
	was := map[string]color.NRGBA{}
	for name, c := range inks(r.th) {
		was[name] = *c
		*c = color.NRGBA{R: c.R ^ 0x80, G: c.G ^ 0x80, B: c.B ^ 0x80, A: 0xff}
	}
	b := shot()
	for name, c := range inks(r.th) {
		*c = was[name]
	}
	at := func(img *image.RGBA, x, y int) color.NRGBA {
		c := img.RGBAAt(x, y)
		return color.NRGBA{R: c.R, G: c.G, B: c.B, A: 0xff}
	}
	out := map[pair]int{}
	const near = 3 // px
	size := a.Bounds().Size()
	for y := near; y < size.Y-near; y++ {
		for x := near; x < size.X-near; x++ {
			c := at(a, x, y)
			if c == at(b, x, y) {
				continue
			}
			var same []string // inks may be alike
			for name, w := range was {
				if c == w {
					same = append(same, name)
				}
			}
			if len(same) == 0 {
				continue // half covered
			}
			for _, d := range [...]image.Point{{X: near}, {X: -near}, {Y: near}, {Y: -near}} {
				// Three alike in a row: a hairline is no ground.
				g, flat := at(a, x+d.X, y+d.Y), true
				for k := range 3 {
					q := image.Pt(x+d.X+k*d.X/near, y+d.Y+k*d.Y/near)
					flat = flat && q.In(a.Rect) && at(a, q.X, q.Y) == g && at(b, q.X, q.Y) == g
				}
				if flat {
					for _, ink := range same {
						out[pair{ink, g}]++
					}
				}
			}
		}
	}
	return out
}

// All that is written in the window has a contrast of 4.5 to 1 with what it
// stands on (WCAG 2.2, 1.4.3), in both looks. Measured where an ink has more
// than a few letters on a ground: what only passes by a letter is not its
// ground.
func TestContrastOnScreen(t *testing.T) {
	t.Parallel()
	const least, letters = 4.5, 400
	for name, light := range map[string]bool{"dark": false, "light": true} {
		t.Run(name, func(t *testing.T) {
			seen := map[string]bool{}
			check := func(r *rig, where string) {
				t.Helper()
				r.Settle()
				for p, n := range r.pairs(t) {
					if n < letters {
						continue
					}
					seen[p.ink] = true
					for n, c := range inks(r.th) {
						if n != p.ink {
							continue
						}
						need := least
						if n == "accent ink" && strings.HasSuffix(where, "page robot") {
							need = 3 // handles on the drawing of the body: marks, not words (1.4.11)
						}
						if got := look.Contrast(*c, p.ground); got < need {
							t.Errorf("%s: %s on %02x%02x%02x has a contrast of %.2f", where, p.ink, p.ground.R, p.ground.G, p.ground.B, got)
						}
					}
				}
			}
			text, err := assets.Faults.ReadFile("faults/tips-slow.toml")
			if err != nil {
				t.Fatal(err)
			}
			for file, src := range map[string][]byte{"demo": assets.Demo, "tips-slow": text} {
				r := openWith(t, Config{Name: file, Text: src, Light: light}, normal, 2)
				for i, d := range desks() {
					if i != walkLive {
						r.turnTo(i)
						check(r, file+", page "+d.Text)
					}
				}
				r.goTo(0)
				check(r, file+", first finding")
				if file != "demo" {
					continue
				}
				for _, id := range []string{"export", "find", "weigh", "new"} {
					r.act(id).do()
					r.worked()
					check(r, id)
					r.Press(key.NameEscape, 0)
					r.Settle()
				}
				r.takeTour()
				check(r, "tour")
			}
			for _, ink := range []string{"text", "dim", "accent ink", "on accent", "stop ink", "fine ink"} {
				if !seen[ink] {
					t.Errorf("%s was not seen: the test does not measure", fmt.Sprint(ink))
				}
			}
		})
	}
}
