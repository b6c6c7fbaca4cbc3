// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	gio "gioui.org/app"
	"gioui.org/io/event"
	"gioui.org/x/explorer"

	"gaitwright/app/filedialog"
)

// native asks by the system's file dialogs. Where there is none (on Linux it
// needs a desktop portal) it fails, and the window asks by its own dialog.
type native struct{ ex *explorer.Explorer }

func nativeDialog(w *gio.Window) *native { return &native{explorer.NewExplorer(w)} }

// listen must see every event of the window.
func (n *native) listen(e event.Event) { n.ex.ListenEvents(e) }

// Open asks for a file to read.
func (n *native) Open(_ context.Context, f filedialog.Filter) (string, error) {
	r, err := n.ex.ChooseFile(f.Ext...)
	if errors.Is(err, explorer.ErrUserDecline) {
		return "", filedialog.ErrDeclined
	}
	if err != nil {
		return "", fmt.Errorf("system file dialog: %w", err)
	}
	defer r.Close()
	file, ok := r.(*os.File)
	if !ok {
		return "", errors.New("system file dialog: gave no file on disk")
	}
	return file.Name(), nil
}

// Save always fails: the system's dialog, as the library gives it, empties
// the file before a byte of the new one is written. Our own dialog only asks.
func (n *native) Save(context.Context, string, filedialog.Filter) (string, error) {
	return "", errors.New("system file dialog: not used for saving")
}
