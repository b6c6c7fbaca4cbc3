// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"fmt"
	"os"

	gio "gioui.org/app"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app"
	"gaitwright/app/filedialog"
	"gaitwright/assets"
)

// openWindow opens the window on a workfile; the file name is "" for the
// demo. It does not return: the window system wants the main goroutine, so
// the program ends when the window is closed.
func openWindow(file string, src []byte, e *env) error {
	w := new(gio.Window)
	dialog := nativeDialog(w)
	bench, err := app.New(benchConfig(file, src, dialog, w.Invalidate))
	if err != nil {
		return err
	}
	go func() {
		err := show(w, bench, dialog)
		if err != nil {
			fmt.Fprintln(e.stderr, "gaitwright: the window system failed:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}()
	gio.Main()
	return nil
}

// benchConfig says what the window opens with.
func benchConfig(file string, src []byte, d filedialog.Dialog, wake func()) app.Config {
	c := app.Config{Name: assets.DemoName, Path: file, Text: src, Native: d, Wake: wake}
	if file != "" {
		c.Name = file
	}
	return c
}

// show runs the window until it is closed.
func show(w *gio.Window, bench *app.Workbench, dialog *native) error {
	title := bench.Title()
	w.Option(gio.Title(title), gio.Size(unit.Dp(1280), unit.Dp(800)), gio.MinSize(unit.Dp(1024), unit.Dp(700)))
	var ops op.Ops
	for {
		e := w.Event()
		dialog.listen(e)
		switch ev := e.(type) {
		case *gio.ClosingEvent:
			if !bench.MayClose() {
				ev.Abort()
				w.Invalidate()
			}
		case gio.DestroyEvent:
			return ev.Err
		case gio.FrameEvent:
			gtx := gio.NewContext(&ops, ev)
			bench.Layout(gtx)
			ev.Frame(gtx.Ops)
			if bench.Closing() {
				return nil
			}
			// Options cost a redraw: only when the title changes.
			if t := bench.Title(); t != title {
				title = t
				w.Option(gio.Title(title))
			}
		}
	}
}
