// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"path/filepath"
	"strings"

	"gaitwright/app/filedialog"
	"gaitwright/motion/diskfile"
	"gaitwright/motion/output"
)

// sheetFiles is what printable pages are called.
var sheetFiles = filedialog.Filter{Name: "Pages", Ext: []string{".html"}}

// checkSheet writes a page to print: the pulse of each servo at some angles.
func (w *Workbench) checkSheet() {
	w.doc.Drop()
	s, err := output.NewSheet(w.doc.Result().Built)
	if err != nil {
		w.modal.tell("There is no check sheet yet", onScreen(strings.TrimPrefix(err.Error(), "output: ")))
		return
	}
	base := filepath.Base(w.Name())
	w.pickOf(true, strings.TrimSuffix(base, filepath.Ext(base))+"-check.html", sheetFiles, func(path string) {
		if err := diskfile.SaveFrom(path, s.HTML); err != nil {
			w.notice.fail(fmt.Errorf("no check sheet is written: %w", err))
			return
		}
		w.notice.say("Wrote " + path + ": open it in a browser to print it")
	})
}

// sheetActions are those of the check sheet.
func (w *Workbench) sheetActions() []action {
	return []action{{id: "check sheet", words: "Check sheet", can: always, do: w.checkSheet, mode: onFile,
		about: "A page to print, with the pulse of each servo at some angles: see whether channel, direction, middle and scale are right",
		more:  "calibration print html trim pulse servo channel calibrate"}}
}
