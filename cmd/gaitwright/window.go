// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"fmt"
	"math"
	"os"

	gio "gioui.org/app"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app"
	"gaitwright/app/filedialog"
	"gaitwright/app/robotlink"
	"gaitwright/assets"
	"gaitwright/link/port"
)

// openWindow opens the window on a workfile; the file name is "" for the
// demo. It does not return: the window system wants the main goroutine, so
// the program ends when the window is closed.
func openWindow(file string, src []byte, e *env) error {
	w := new(gio.Window)
	dialog := nativeDialog(w)
	c := benchConfig(file, src, dialog, w.Invalidate)
	kept(&c, e.now)
	end, odd := remembered(&c)
	bench, err := app.New(c)
	if err != nil {
		return err
	}
	if odd != nil {
		bench.Tell(odd)
	}
	go func() {
		defer func() {
			if fault := recover(); fault != nil {
				bench.Abandon() // a robot on the line is stopped first
				panic(fault)
			}
		}()
		err := show(w, bench, dialog)
		bench.Close()
		end()
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
	c := app.Config{Name: assets.DemoName, Path: file, Text: src, Native: d, Wake: wake,
		Ports: robotlink.Ports{Open: port.Open, List: port.List}}
	if file != "" {
		c.Name = file
	}
	return c
}

// show runs the window until it is closed.
func show(w *gio.Window, bench *app.Workbench, dialog *native) error {
	title := bench.Title()
	width, height := bench.OpensAt()
	w.Option(gio.Title(title), gio.Size(unit.Dp(width), unit.Dp(height)), gio.MinSize(unit.Dp(400), unit.Dp(260)))
	var ops op.Ops
	windowed := true
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
		case gio.ConfigEvent:
			windowed = ev.Config.Mode == gio.Windowed
			if ev.Config.Focused {
				bench.LookOutside()
			}
		case gio.FrameEvent:
			if windowed { // what fills the screen says nothing about the usual size
				bench.Resized(int(math.Round(float64(ev.Metric.PxToDp(ev.Size.X)))), int(math.Round(float64(ev.Metric.PxToDp(ev.Size.Y)))))
			}
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
