// SPDX-License-Identifier: MIT

// Package walk is where gaits and walks are shaped by hand: a gait as a diagram
// whose bars are dragged and as numbers, the swing of a foot to scale, and the
// command.
package walk

import (
	"image"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Panel is the right column for walks. The zero value is ready.
type Panel struct {
	Beside layout.Widget // stands beside the choice of the page, nil for nothing

	pages   control.Choice
	numbers [numbers]control.Number
	diagram diagram
	legs    legs
	swing   swing
	shares  shares
	facts   facts
	polar   polar

	gaits     control.Menu // which one is shaped
	library   control.Menu // which one is added
	known     known
	acts      control.Menu // what is done with it
	play      control.Button
	asked     question
	answer    control.Text   // a name
	duty      control.Number // of a wave
	yes, no   control.Button
	agreed    bool
	alone     string // gait that is shaped wherever it is played, "" for the one at the present time
	said      string // why the last edit was refused
	news      string // how the gait that was added last does
	newsFine  bool   // well
	last      place
	lastFound bool
	seen      seen
}

// seen is what the last frame showed, to notice what others changed.
type seen struct {
	doc    *document.Document
	serial int
	time   float64
}

// What the panel shows.
const (
	gaitPage = iota
	legsPage
	swingPage
	commandPage
)

// Layout fills the constraints.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	p.typed(gtx, d)
	p.follow(d, at)
	p.update(gtx, d, at)
	w, ok := p.find(d, at)
	p.last, p.lastFound = w, ok
	p.seen = seen{d, d.Serial(), at.Time}
	if !ok {
		return p.empty(gtx, th, d)
	}
	row := func(c layout.Widget) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 8, Top: 4}.Layout(gtx, c)
		})
	}
	p.pages.Update(gtx)
	p.facts.update(d, w)
	all := []layout.FlexChild{
		row(func(gtx layout.Context) layout.Dimensions { return p.head(gtx, th, d, w) }),
		row(func(gtx layout.Context) layout.Dimensions { return p.bar(gtx, th) }),
	}
	if p.news != "" {
		all = append(all, row(func(gtx layout.Context) layout.Dimensions {
			if p.newsFine {
				return control.Remark(th, look.Tick, th.Fine.Ink, p.news)(gtx)
			}
			return control.Remark(th, look.Warning, th.Caution.Ink, p.news)(gtx)
		}))
	}
	if p.said != "" {
		all = append(all, row(func(gtx layout.Context) layout.Dimensions { return p.refusal(gtx, th) }))
	}
	all = append(all,
		layout.Rigid(layout.Spacer{Height: 8}.Layout),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return p.page(gtx, th, d, at, w)
		}))
	switch p.pages.Value {
	case gaitPage:
		all = append(all, row(p.pair(th, d, w, period, duty)))
	case commandPage:
		all = append(all, row(p.pair(th, d, w, forward, side)), row(p.pair(th, d, w, turn, cycles)))
	}
	if p.pages.Value == gaitPage || p.pages.Value == commandPage {
		all = append(all, layout.Rigid(layout.Spacer{Height: 8}.Layout))
	}
	layout.Flex{Axis: layout.Vertical}.Layout(gtx, all...)
	return layout.Dimensions{Size: size}
}

// page is the drawing of the page, with numbers beside it.
func (p *Panel) page(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, w place) layout.Dimensions {
	if p.pages.Value == legsPage {
		return p.legs.layout(gtx, th, d, at, w)
	}
	wide := min(gtx.Dp(factsWidth), gtx.Constraints.Max.X/2)
	exactly := func(c layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return c(gtx)
		}
	}
	return layout.Flex{}.Layout(gtx,
		layout.Flexed(1, exactly(func(gtx layout.Context) layout.Dimensions {
			switch p.pages.Value {
			case swingPage:
				return p.swing.layout(gtx, th, d, w, p.facts.command)
			case commandPage:
				return p.polar.layout(gtx, th, &p.facts, d, w)
			}
			return p.diagram.layout(gtx, th, d, at, w)
		})),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(image.Pt(wide, gtx.Constraints.Max.Y))
			if p.pages.Value == swingPage {
				return p.swingFields(gtx, th, d, w)
			}
			if w.entry < 0 {
				return p.facts.layout(gtx, th, d, p.playButton(th))
			}
			return p.facts.layout(gtx, th, d, nil)
		}),
	)
}

// pages names what the panel shows.
func pages() []control.Option {
	o := control.Options("gait", "legs", "swing", "command")
	o[gaitPage].Hint = "When each leg stands: phases, period, duty factor"
	o[legsPage].Hint = "Phase and duty factor of each leg in numbers"
	o[swingPage].Hint = "How a foot swings: step height, handles, sway"
	o[commandPage].Hint = "Where to and how fast, and the fastest in each direction"
	return o
}

// bar chooses the page.
func (p *Panel) bar(gtx layout.Context, th *look.Theme) layout.Dimensions {
	pick := control.Pick(th, &p.pages, pages()...).Layout
	if p.Beside == nil {
		return pick(gtx)
	}
	return layout.Flex{Alignment: layout.Middle, Spacing: layout.SpaceBetween}.Layout(gtx, layout.Rigid(pick), layout.Rigid(p.Beside))
}

// refusal says why an edit was not taken.
func (p *Panel) refusal(gtx layout.Context, th *look.Theme) layout.Dimensions {
	return control.Refusal(th, p.said)(gtx)
}

// Typing tells whether one of the panel's fields has the keys.
func (p *Panel) Typing(gtx layout.Context) bool {
	for i := range p.numbers {
		if p.numbers[i].Focused(gtx) {
			return true
		}
	}
	return p.answer.Focused(gtx) || p.duty.Focused(gtx) || p.legs.typing(gtx) || p.shares.typing(gtx)
}
