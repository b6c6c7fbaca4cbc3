// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"path/filepath"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/look"
	"gaitwright/motion/review"
	"gaitwright/motion/table"
)

// exportCard asks how to write the firmware tables.
type exportCard struct {
	format  control.Choice
	rate    control.Number
	folder  control.Text
	despite control.Toggle
	stops   int // of the robot on the ground
	ok, no  control.Button
	err     error
}

var formats = [...]table.Format{table.AVR, table.C, table.CSV, table.JSON}

func (w *Workbench) export() {
	w.doc.Drop()
	c := &w.modal.table
	if c.rate.Value == 0 {
		c.rate.Value = 50
	}
	if c.folder.Value == "" {
		c.folder.Value = "tables"
		if w.doc.Path != "" {
			c.folder.Value = filepath.Join(filepath.Dir(w.doc.Path), "tables")
		}
		if p, err := filepath.Abs(c.folder.Value); err == nil {
			c.folder.Value = p // said in full, so that it is found again
		}
	}
	c.despite.Value, c.err = false, nil
	c.stops = review.Stops(w.doc.Result().Grounded()) // a stand changes nothing about what may run
	w.modal.kind = exportModal
	w.modal.card.Open(c.ok.Tag())
}

func (c *exportCard) layout(gtx layout.Context, w *Workbench) {
	th := w.th
	c.rate.Min, c.rate.Max, c.rate.Step, c.rate.Unit = 1, 1000, 10, "Hz"
	c.format.Update(gtx)
	c.rate.Update(gtx)
	c.folder.Update(gtx)
	c.despite.Update(gtx)
	stops := c.stops
	if c.no.Update(gtx) {
		w.modal.close()
		return
	}
	if c.ok.Update(gtx) && (stops == 0 || c.despite.Value) {
		if c.err = c.write(w); c.err == nil {
			w.modal.close()
			return
		}
	}
	body := func(gtx layout.Context) layout.Dimensions {
		var rows []layout.Widget
		rows = append(rows,
			wrapped(th, "Servo pulses and joint angles of every move in the sequence, for the firmware to play."),
			func(gtx layout.Context) layout.Dimensions {
				return control.Line(gtx, th, "Format", 80, control.Pick(th, &c.format, control.Options("AVR C", "C", "CSV", "JSON")...).Layout)
			},
			func(gtx layout.Context) layout.Dimensions {
				return control.Line(gtx, th, "Rate", 80, control.Amount(th, &c.rate, "Rate").Layout)
			},
			func(gtx layout.Context) layout.Dimensions {
				return control.Line(gtx, th, "Folder", 80, control.Words(th, &c.folder, "Folder").Layout)
			},
		)
		if stops > 0 {
			rows = append(rows, func(gtx layout.Context) layout.Dimensions {
				return control.Check(th, &c.despite, fmt.Sprintf("write it despite %s, listed in the table", count(stops, "stop"))).Layout(gtx)
			})
		}
		rows = append(rows, wrapped(th, "First run: robot on a stand, low speed, current-limited supply, hands and face away. Mind your battery's instructions and local rules, and ask someone qualified when in doubt."))
		if c.err != nil {
			rows = append(rows, func(gtx layout.Context) layout.Dimensions {
				l := th.Label(look.Body, th.Stop.Ink, c.err.Error())
				l.MaxLines = 0
				return l.Layout(gtx)
			})
		}
		return control.Column(gtx, 3, rows...)
	}
	control.Card(th, &w.modal.card, "Table for the firmware").Layout(gtx, body,
		control.Push(th, &c.no, "Cancel").Layout,
		control.Push(th, &c.ok, "Write the table").As(control.Primary).When(stops == 0 || c.despite.Value).Layout,
	)
}

// write makes the table from the document as it would be saved.
func (c *exportCard) write(w *Workbench) error {
	text, err := w.doc.Text()
	if err != nil {
		return err
	}
	t, err := w.doc.Result().Table(w.Name(), text, c.rate.Value)
	if err != nil {
		return err
	}
	files, err := t.Files(formats[c.format.Value])
	if err != nil {
		return err
	}
	if _, err := table.Write(c.folder.Value, files); err != nil {
		return err
	}
	w.notice.say(fmt.Sprintf("Wrote %s with %d files to %s", count(len(t.Moves), "move"), len(files), c.folder.Value))
	return nil
}
