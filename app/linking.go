// SPDX-License-Identifier: MIT

package app

import (
	"fmt"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/filedialog"
	"gaitwright/motion/diskfile"
)

// stopKey stops the robot on the line by one key, before anything else can
// take it: whatever has the keys, and whatever card is open.
func (w *Workbench) stopKey(gtx layout.Context) {
	if !w.wire.Live() {
		return
	}
	for {
		ev, ok := gtx.Event(key.Filter{Name: key.NameEscape, Optional: key.ModCtrl | key.ModShift | key.ModAlt})
		if !ok {
			return
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			w.stopRobot()
			gtx.Execute(op.InvalidateCmd{})
		}
	}
}

func (w *Workbench) stopRobot() {
	w.at.Playing = false
	w.wire.Stop()
	w.notice.say("The robot is told to stand still")
}

// linking prepares the page of the robot on a line.
func (w *Workbench) linking() {
	w.wire.Ports = w.cfg.Ports
	w.wire.OpenLog = func() {
		w.pickOf(false, "", logFiles, func(path string) {
			text, err := diskfile.Load(path, mostLog)
			if err != nil {
				w.notice.fail(fmt.Errorf("not opened: %w", err))
				return
			}
			w.TakeLog(path, text)
		})
	}
	w.wire.SaveLog = func() {
		text := w.wire.Log()
		w.pickOf(true, "robot.csv", logFiles, func(path string) {
			if err := diskfile.Save(path, text); err != nil {
				w.notice.fail(err)
				return
			}
			w.notice.say("Saved " + path)
		})
	}
}

// mostLog bounds a log that is opened, bytes.
const mostLog = 1 << 28

// logFiles is what logs are called.
var logFiles = filedialog.Filter{Name: "Logs", Ext: []string{".csv"}}

// Recording gives the log of what the robot did, as it would be saved; nil for
// none.
func (w *Workbench) Recording() []byte { return w.wire.Log() }

// TakeLog holds a robot's log (CSV) against the motion.
func (w *Workbench) TakeLog(name string, text []byte) { w.wire.Take(name, text, w.doc) }
