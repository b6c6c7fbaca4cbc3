// SPDX-License-Identifier: MIT

//go:build !headless

package main

import "errors"

// openWindow opens the window on a workfile; the file name is "" for the
// demo.
func openWindow(file string, src []byte, e *env) error {
	return errors.New("the window is not part of this build yet; the other commands work")
}
