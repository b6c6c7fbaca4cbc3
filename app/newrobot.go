// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/newrobot"
)

// newRobot opens the card that makes a robot of four answers.
func (w *Workbench) newRobot() {
	w.doc.Drop()
	first := w.modal.robot.Open(w.cfg.Wake)
	w.modal.kind = newRobotModal
	w.modal.card.Open(first)
}

func (m *modal) layoutNewRobot(gtx layout.Context, w *Workbench) {
	switch m.robot.Layout(gtx, w.th, &m.card) {
	case newrobot.Left:
		m.close()
	case newrobot.Made:
		m.close()
		begin := func() { w.begin(m.robot.Robot().File.Robot.Name) }
		if w.doc.Dirty() {
			m.ask(w, "Begin another robot without saving?", "There are changes in "+w.Name()+" that are not saved.", begin)
			return
		}
		begin()
	}
}

// begin shows the robot that the card made, as a file that is not saved yet.
func (w *Workbench) begin(name string) {
	d, err := document.Fresh(w.modal.robot.Robot().File)
	if err != nil {
		w.notice.fail(err)
		return
	}
	w.cfg.Name = name
	w.take(d)
	w.shapes.Value = shapeRobot
	w.notice.say("Made " + name + ": put your own measures in, save, then shape its walk and moves")
}
