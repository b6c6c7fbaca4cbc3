// SPDX-License-Identifier: MIT

package control

import (
	"image"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// gallery shows every part once, in its states.
type gallery struct {
	th *look.Theme

	normal, primary, quiet, off, lit Button
	signs                            [int(look.Moon) + 1]Button
	view, speed                      Choice
	loop, ghost, dead                Toggle
	step, bad, fixed                 Number
	name                             Text
	scrub, slow                      Slider
	rows                             Rows
	scroll                           Scroll
	split                            Split
	modal                            Modal
	save, discard, cancel            Button
}

func newGallery(dark bool) *gallery {
	g := &gallery{th: look.New(dark)}
	g.speed.Value = 1
	g.loop.Value = true
	g.dead.Value = true
	g.step = Number{Value: 32, Min: 5, Max: 80, Unit: "mm"}
	g.bad = Number{Value: 12.5, Min: 0, Max: 45, Decimals: 1, Unit: "°"}
	g.fixed = Number{Value: 2.48, Decimals: 2, Unit: "kg"}
	g.name.Value = "strike with both front feet"
	g.scrub.Value = 0.35
	g.slow = Slider{Value: 2, Min: 0.05, Max: 2}
	g.split.Share = 0.56
	g.rows.Choose(1)
	return g
}

var findings = []struct {
	glyph look.Glyph
	tone  func(*look.Colours) *look.Tone
	text  string
	note  string
}{
	{look.Halt, func(c *look.Colours) *look.Tone { return &c.Stop }, "front left: the foot target lies 14 mm out of reach", "2.31 s"},
	{look.Halt, func(c *look.Colours) *look.Tone { return &c.Stop }, "front right: tibia past its travel by 6.2°", "2.34 s"},
	{look.Warning, func(c *look.Colours) *look.Tone { return &c.Caution }, "margin 8 mm, wanted 15 mm", "2.50 s"},
	{look.Tick, func(c *look.Colours) *look.Tone { return &c.Fine }, "no leg touches another", "–"},
}

func (g *gallery) layout(gtx layout.Context) layout.Dimensions {
	draw.Rect(gtx.Ops, image.Rectangle{Max: gtx.Constraints.Max}, g.th.Panel)
	d := g.split.Layout(g.modal.Under(gtx), g.th, "between controls and drawing", g.left, g.right)
	Card(g.th, &g.modal, "Save the changes before closing?").WithGlyph(look.Warning, &g.th.Caution).Layout(gtx,
		g.th.Para("The workfile drummer.toml has changes that are not saved. Without saving they are lost.").Layout,
		Push(g.th, &g.cancel, "Go back").As(Quiet).Layout,
		Push(g.th, &g.discard, "Close without saving").Layout,
		Push(g.th, &g.save, "Save").As(Primary).Layout,
	)
	return d
}

func (g *gallery) left(gtx layout.Context) layout.Dimensions {
	th := g.th
	in := func(gtx layout.Context, w layout.Widget) layout.Dimensions {
		return layout.Inset{Left: look.Unit * 4, Right: look.Unit * 4}.Layout(gtx, w)
	}
	part := func(w layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return in(gtx, func(gtx layout.Context) layout.Dimensions {
				return layout.Inset{Top: look.Unit * 2}.Layout(gtx, w)
			})
		}
	}
	header := func(s string) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return in(gtx, func(gtx layout.Context) layout.Dimensions {
				return layout.Inset{Top: look.Unit * 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					return Header(gtx, th, s)
				})
			})
		}
	}
	const names = 110
	return g.scroll.Area(gtx, th,
		header("Buttons"),
		part(func(gtx layout.Context) layout.Dimensions {
			return Bar(gtx, 2,
				Push(th, &g.primary, "Export").As(Primary).Layout,
				Push(th, &g.normal, "Undo").WithGlyph(look.Undo).Layout,
				Push(th, &g.lit, "Hang").Lit(true).Layout,
				Push(th, &g.quiet, "Reset").As(Quiet).Layout,
				Push(th, &g.off, "Not now").When(false).Layout,
			)
		}),
		part(func(gtx layout.Context) layout.Dimensions {
			var all []layout.Widget
			for i := look.Play; i <= look.Moon; i++ {
				all = append(all, Sign(th, &g.signs[i], i, "sign").Layout)
			}
			n := (len(all) + 2) / 3
			return Column(gtx, 0.5,
				func(gtx layout.Context) layout.Dimensions { return Bar(gtx, 0.5, all[:n]...) },
				func(gtx layout.Context) layout.Dimensions { return Bar(gtx, 0.5, all[n:2*n]...) },
				func(gtx layout.Context) layout.Dimensions { return Bar(gtx, 0.5, all[2*n:]...) },
			)
		}),
		header("Choices"),
		part(func(gtx layout.Context) layout.Dimensions {
			return Bar(gtx, 3,
				Pick(th, &g.view, Options("Free", "Side", "Above", "Front")...).Layout,
				Pick(th, &g.speed, Option{Glyph: look.Sun, Label: "light"}, Option{Glyph: look.Moon, Label: "dark"}).Layout,
			)
		}),
		part(func(gtx layout.Context) layout.Dimensions {
			return Bar(gtx, 3,
				Check(th, &g.loop, "Repeat").Layout,
				Check(th, &g.ghost, "Last pose").Layout,
				Check(th, &g.dead, "Torque").When(false).Layout,
			)
		}),
		header("Numbers and words"),
		part(func(gtx layout.Context) layout.Dimensions {
			return Column(gtx, 1.5,
				func(gtx layout.Context) layout.Dimensions {
					return Line(gtx, th, "Step height", names, Amount(th, &g.step, "Step height").Layout)
				},
				func(gtx layout.Context) layout.Dimensions {
					return Line(gtx, th, "Coxa swing", names, Amount(th, &g.bad, "Coxa swing").Layout)
				},
				func(gtx layout.Context) layout.Dimensions {
					return Line(gtx, th, "Total mass", names, Amount(th, &g.fixed, "Total mass").When(false).Layout)
				},
				func(gtx layout.Context) layout.Dimensions {
					return Line(gtx, th, "Name", names, Words(th, &g.name, "Name").Layout)
				},
				func(gtx layout.Context) layout.Dimensions {
					return Line(gtx, th, "Time", names, Slide(th, &g.scrub, "Time").Layout)
				},
			)
		}),
		header("Findings"),
		func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Max.Y = 4 * gtx.Dp(look.Row)
			return Listing(th, &g.rows, "Findings").Layout(gtx, len(findings), func(gtx layout.Context, i int) layout.Dimensions {
				f := findings[i]
				return Entry{Theme: th, Glyph: f.glyph, Tone: f.tone(&th.Colours), Text: f.text, Note: f.note}.Layout(gtx)
			})
		},
		part(func(gtx layout.Context) layout.Dimensions {
			return Bar(gtx, 2,
				func(gtx layout.Context) layout.Dimensions { return Badge(gtx, th, th.Stop, look.Halt, "2 stops") },
				func(gtx layout.Context) layout.Dimensions {
					return Badge(gtx, th, th.Caution, look.Warning, "1 caution")
				},
				func(gtx layout.Context) layout.Dimensions { return Badge(gtx, th, th.Fine, look.Tick, "nothing found") },
				func(gtx layout.Context) layout.Dimensions { return Badge(gtx, th, th.Accent, look.Info, "edited") },
			)
		}),
	)
}

// right shows the colours of drawings.
func (g *gallery) right(gtx layout.Context) layout.Dimensions {
	th := g.th
	size := gtx.Constraints.Max
	view := image.Rectangle{Max: size}
	draw.Rect(gtx.Ops, view, th.Canvas)
	dp := float64(gtx.Dp(100)) / 100
	for x := 20 * dp; x < float64(size.X); x += 20 * dp {
		draw.Vertical(gtx.Ops, x, 0, float64(size.Y), 1, th.Grid)
	}
	for y := 20 * dp; y < float64(size.Y); y += 20 * dp {
		draw.Horizontal(gtx.Ops, 0, float64(size.X), y, 1, th.Grid)
	}
	draw.Horizontal(gtx.Ops, 0, float64(size.X), 160*dp, 1, th.GridStrong)

	at := func(x, y float64) r2.Vec { return r2.Vec{X: x * dp, Y: y * dp} }
	var s draw.Sheet
	s.Reset(view)
	s.In(th.Support).Polygon(at(60, 150), at(200, 130), at(270, 165), at(140, 185))
	robot := s.In(th.Robot)
	robot.Taper(at(110, 60), at(170, 40), 7*dp, 6*dp)
	robot.Taper(at(170, 40), at(220, 150), 6*dp, 3*dp)
	far := s.In(th.RobotFar)
	far.Taper(at(90, 64), at(60, 70), 4*dp, 4*dp)
	far.Taper(at(60, 70), at(40, 140), 4*dp, 2*dp)
	for i, c := range []look.ReachClass{look.ReachOK, look.ReachNear, look.ReachOut} {
		y := 200 + 26*float64(i)
		k := th.Reach[c]
		s.In(k.Color).Polyline([]r2.Vec{at(20, y), at(60, y-6), at(100, y+4), at(140, y)}, k.Line(2*dp))
	}
	for i := range 12 {
		y := 290 + 22*float64(i)
		k := th.Leg(i)
		s.In(k.Color).Segment(at(20, y), at(140, y), k.Line(2*dp))
	}
	marks := s.In(th.Accent.Ink)
	marks.Disc(at(220, 150), 5*dp)
	marks.Ring(at(240, 200), 6*dp, 1.5*dp)
	marks.Square(at(262, 200), 5*dp)
	marks.Diamond(at(284, 200), 6*dp)
	marks.Triangle(at(240, 226), 7*dp, -1.5708)
	marks.Cross(at(262, 226), 5*dp, 2*dp)
	marks.Plus(at(284, 226), 6*dp, 2*dp)
	marks.Arrow(at(220, 262), at(250, 252), 9*dp)
	marks.Segment(at(220, 262), at(243, 254), draw.Line{Width: 1.5 * dp})
	s.Paint(gtx.Ops)

	w := th.Writer(look.Small+1, th.Dim)
	for i, c := range []look.ReachClass{look.ReachOK, look.ReachNear, look.ReachOut} {
		w.At(gtx, at(150, 200+26*float64(i)), layout.W, c.String())
	}
	for i := range 12 {
		w.At(gtx, at(150, 290+22*float64(i)), layout.W, "leg "+draw.Number(float64(i+1), 0))
	}
	w.Color, w.Back, w.Pad = th.Text, th.Panel, gtx.Dp(3)
	w.At(gtx, at(228, 138), layout.SW, "x 184.0  z −12.5 mm")
	return layout.Dimensions{Size: size}
}
