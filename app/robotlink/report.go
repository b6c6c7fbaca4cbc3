// SPDX-License-Identifier: MIT

package robotlink

import (
	"errors"
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/record"
)

// reports shows what the robot reports, and how it compares.
func (p *Panel) reports(th *look.Theme) []layout.Widget {
	rows := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
		return control.Header(gtx, th, "What the robot did")
	}}
	w := p.wire
	online := w != nil && w.err == nil
	if online && p.known {
		rows = append(rows, p.switches(th))
	}
	rows = append(rows, func(gtx layout.Context) layout.Dimensions {
		var all []layout.Widget
		if online {
			text := "Record"
			if w.log.on {
				text = "End the recording"
			}
			all = append(all, control.Push(th, &p.logs, text).Lit(w.log.on).Layout)
		}
		all = append(all, control.Push(th, &p.load, "Open a log").WithHint("CSV with motion_s or robot_s, and columns such as LF_down, LF_femur_us").When(p.OpenLog != nil).Layout)
		if p.seen.text != nil {
			all = append(all, control.Push(th, &p.save, "Save it").When(p.SaveLog != nil).Layout, control.Push(th, &p.forget, "Forget it").Layout)
		}
		return control.Bar(gtx, 2, all...)
	})
	switch {
	case online && w.log.on && w.log.played == 0:
		rows = append(rows, control.NotePara(th, "Play the motion now: looks are taken while the robot follows it."))
	case online && w.log.on:
		rows = append(rows, control.NotePara(th, fmt.Sprintf("%d looks so far, up to %s s. The recording ends where the motion begins anew.", w.log.played, draw.Number(w.log.latest, 1))))
	case p.told != "":
		rows = append(rows, control.NotePara(th, p.told))
	}
	switch s := &p.seen; {
	case s.text == nil:
		rows = append(rows, control.NotePara(th, "Record while the robot plays, or open a log. What its foot switches and servos report then lies over the legs' rows of the timeline, and over “angle” in the strips."))
	case s.Err != nil:
		rows = append(rows, control.Remark(th, look.Warning, th.Stop.Ink, unusable(s)))
	default:
		rows = append(rows, p.compared(th)...)
	}
	return rows
}

// ofRobot is what a recording is called.
const ofRobot = "the recording"

// called is what the log is called at the beginning of a sentence.
func (s *Seen) called() string {
	if s.Name == ofRobot {
		return control.Capital(s.Name)
	}
	return filepath.Base(s.Name)
}

// unusable says why a log cannot be held against the motion.
func unusable(s *Seen) string {
	why := strings.TrimPrefix(s.Err.Error(), "record: ")
	switch {
	case errors.Is(s.Err, record.ErrOther):
		why += ". Open the workfile of the robot that it is of, or another log"
	case errors.Is(s.Err, record.ErrApart):
		why += ". The motion is another one than that which the robot played"
	}
	return s.called() + ": " + control.Sentence(why)
}

// switches shows the foot switches as they are now: a filled square for a foot
// that is down, a ring for one that is up.
func (p *Panel) switches(th *look.Theme) layout.Widget {
	legs := p.wire.doc.Result().Built.Robot.Legs
	return func(gtx layout.Context) layout.Dimensions {
		const sign, gap unit.Dp = 10, 4
		write := th.Writer(look.Small+1, th.Text)
		wide := 0
		for i := range legs {
			d, _ := write.Measure(gtx, legs[i].Name)
			wide = max(wide, d.Size.X)
		}
		cell := image.Pt(gtx.Dp(sign+gap+16)+wide, gtx.Dp(18))
		lead, _ := th.Writer(look.Small+1, th.Dim).Measure(gtx, "feet down")
		x0 := lead.Size.X + gtx.Dp(look.Unit*3)
		each := max((gtx.Constraints.Max.X-x0)/cell.X, 1)
		size := image.Pt(gtx.Constraints.Max.X, cell.Y*((len(legs)+each-1)/each))
		defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
		th.Writer(look.Small+1, th.Dim).At(gtx, r2.Vec{Y: float64(cell.Y) / 2}, layout.W, "feet down")
		var b draw.Batch
		b.Reset(image.Rectangle{Max: size})
		var words []string
		r := float64(gtx.Dp(sign)) / 2
		for i := range legs {
			at := image.Pt(x0+i%each*cell.X, i/each*cell.Y)
			mid := r2.Vec{X: float64(at.X) + r, Y: float64(at.Y) + float64(cell.Y)/2}
			word := " up"
			if p.feet>>i&1 != 0 {
				b.Square(mid, r)
				word = " down"
			} else {
				b.Ring(mid, r-1, max(float64(gtx.Dp(1)), 1))
			}
			words = append(words, legs[i].Name+word)
			write.At(gtx, r2.Vec{X: mid.X + r + float64(gtx.Dp(gap)), Y: mid.Y}, layout.W, legs[i].Name)
		}
		b.Paint(gtx.Ops, th.Text)
		semantic.LabelOp("Foot switches: " + strings.Join(words, ", ")).Add(gtx.Ops)
		return layout.Dimensions{Size: size}
	}
}

// compared shows the numbers of a comparison: the feet in the order of the
// timeline's rows, the joints the worst first.
func (p *Panel) compared(th *look.Theme) []layout.Widget {
	s := &p.seen
	c, rec := s.Comparison, s.Record
	from, to := c.Span(rec)
	said := fmt.Sprintf("%s: %d looks, from %s to %s s of the motion.", s.called(), len(rec.Time), draw.Number(from, 2), draw.Number(to, 2))
	if c.Offset != 0 {
		said += " Its clock was set by where feet and joints agree best, so a delay of all of them does not show."
	}
	rows := []layout.Widget{control.NotePara(th, said)}
	if n := len(rec.Foreign); n > 0 {
		rows = append(rows, control.Remark(th, look.Warning, th.Caution.Ink, "Columns of legs that this robot does not have are left out: "+strings.Join(rec.Foreign, ", ")+"."))
	}
	if len(c.Touch) == 0 && len(c.Follow) == 0 {
		return append(rows, control.NotePara(th, "The log has neither foot switches nor joint positions."))
	}
	rows = append(rows, control.Natural(control.Check(th, &p.hide, "hide it in the timeline and the strips").Layout))
	if len(c.Touch) == 0 {
		rows = append(rows, control.NotePara(th, "The log has no foot switches."))
	} else {
		t := table{th: th, rows: &p.touch, label: "touchdown of each leg", title: "Touchdown, ms later than drawn",
			wide: []int{5, 5, 6, 5, 6, 6, 6}, head: []string{"leg", "steps", "missed", "extra", "mean", "spread", "worst"}}
		for _, x := range c.Touch {
			t.cells = append(t.cells, []string{s.legs[x.Leg], fmt.Sprint(x.Steps), fmt.Sprint(x.Missed), fmt.Sprint(x.Extra),
				millis(x.Mean), millis(x.Spread), millis(x.Worst)})
		}
		rows = append(rows, t.layout)
	}
	if len(c.Follow) == 0 {
		rows = append(rows, control.NotePara(th, "The log has no joint positions."))
	} else {
		t := table{th: th, rows: &p.follow, label: "joints, worst first", title: "Joints, degrees measured less drawn, worst first",
			wide: []int{8, 6, 6, 6, 6, 6}, head: []string{"joint", "mean", "rms", "worst", "at, s", "lag, ms"}}
		deg := func(v float64) string { return draw.Number(v*180/math.Pi, 1) }
		for _, x := range worstFirst(c.Follow) {
			t.cells = append(t.cells, []string{s.legs[x.Leg] + " " + kin.JointName(x.Joint), deg(x.Mean), deg(x.RMS), deg(x.Worst), draw.Number(x.At, 2), millis(x.Lag)})
		}
		rows = append(rows, t.layout)
	}
	return rows
}

// worstFirst puts joints in order of how far they were off.
func worstFirst(in []record.Follow) []record.Follow {
	out := slices.Clone(in)
	slices.SortStableFunc(out, func(a, b record.Follow) int {
		switch x, y := math.Abs(a.Worst), math.Abs(b.Worst); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return out
}

// rowsUpdate goes to the leg and the worst instant of a row that is chosen.
func (p *Panel) rowsUpdate(gtx layout.Context, d *document.Document, at *document.Place) {
	c := p.seen.Comparison
	goTo := func(leg int, s float64) {
		at.Playing = false
		at.Choose(d, leg)
		if s == s {
			at.GoTo(d, s)
		}
	}
	for {
		e, ok := p.touch.Update(gtx)
		if !ok {
			break
		}
		if c != nil && e.Index < len(c.Touch) {
			goTo(c.Touch[e.Index].Leg, c.Touch[e.Index].At)
		}
	}
	for {
		e, ok := p.follow.Update(gtx)
		if !ok {
			break
		}
		if c != nil && e.Index < len(c.Follow) {
			f := worstFirst(c.Follow)[e.Index]
			goTo(f.Leg, f.At)
		}
	}
}

// millis writes a time in ms, a dash where there is none.
func millis(s float64) string {
	if s != s {
		return "–"
	}
	return draw.Number(s*1000, 0)
}

// table lays numbers out in columns, the first to the left, the others to the
// right. A click on a row chooses it.
type table struct {
	th           *look.Theme
	rows         *control.Rows
	label, title string
	wide         []int // shares of the width
	head         []string
	cells        [][]string
}

// tableRow is the height of a row.
const tableRow unit.Dp = 20

func (t *table) layout(gtx layout.Context) layout.Dimensions {
	l := control.Listing(t.th, t.rows, t.label)
	l.Height = tableRow
	l.Name = func(i int) string { return strings.Join(t.cells[i], ", ") }
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return t.th.Plain(t.title).Layout(gtx) }),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(tableRow))
			left, right := gtx.Dp(look.Unit*4), gtx.Dp(look.Unit*2) // as rows have it
			defer op.Offset(image.Pt(left, 0)).Push(gtx.Ops).Pop()
			gtx.Constraints = layout.Exact(image.Pt(max(size.X-left-right, 0), size.Y))
			t.line(gtx, t.head, true)
			return layout.Dimensions{Size: size}
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(image.Pt(gtx.Constraints.Max.X, len(t.cells)*gtx.Dp(tableRow)))
			return l.Layout(gtx, len(t.cells), func(gtx layout.Context, i int) layout.Dimensions { return t.line(gtx, t.cells[i], false) })
		}),
	)
}

// line writes a row.
func (t *table) line(gtx layout.Context, cells []string, head bool) layout.Dimensions {
	size := gtx.Constraints.Max
	sum := 0
	for _, n := range t.wide {
		sum += n
	}
	x, mid := 0, float64(size.Y)/2
	for i, s := range cells {
		wide := size.X * t.wide[i] / sum
		write := t.th.Writer(look.Body, t.th.Text)
		if head {
			write = t.th.Writer(look.Small, t.th.Dim)
		}
		if i == 0 {
			write.At(gtx, r2.Vec{X: 0, Y: mid}, layout.W, s)
		} else {
			write.At(gtx, r2.Vec{X: float64(x + wide), Y: mid}, layout.E, s)
		}
		x += wide
	}
	return layout.Dimensions{Size: size}
}
