// SPDX-License-Identifier: MIT

package app

import (
	"os"
	"path/filepath"

	"gioui.org/layout"

	"gaitwright/app/filedialog"
)

// filePick is our own file dialog with what follows on its answer.
type filePick struct {
	browser filedialog.Browser
	then    func(path string)
}

func (f *filePick) begin(w *Workbench, save bool, suggested string, kind filedialog.Filter, then func(string)) {
	f.browser.Files = w.cfg.Files
	f.then = then
	r := filedialog.Request{Save: save, Suggested: suggested, Filter: kind}
	if w.doc.Path != "" {
		r.Dir = filepath.Dir(w.doc.Path)
	} else if last := w.prefs.Folder; isFolder(last) {
		r.Dir = last
	} else if here, err := os.Getwd(); err == nil {
		r.Dir = here // where the tables go too
	}
	f.browser.Begin(r)
	w.modal.kind = fileModal
}

func (f *filePick) layout(gtx layout.Context, w *Workbench) {
	f.browser.Layout(gtx, w.th)
	if a, ok := f.browser.Update(gtx); ok {
		w.modal.close()
		if a.Err == nil {
			f.then(a.Path)
		}
	}
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return path != "" && err == nil && info.IsDir()
}
