// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"fmt"
	"os"

	"gaitwright/app"
	"gaitwright/app/settings"
)

// remembered gives the window what it remembers from the last start, and lets
// it remember until end is called. The error says what could not be used; the
// window opens all the same.
func remembered(c *app.Config) (end func(), err error) {
	c.OfferTour = true
	dir, err := os.UserConfigDir()
	if err != nil {
		return func() {}, fmt.Errorf("nothing is remembered: %w", err)
	}
	path := settings.Path(dir)
	c.Settings, err = settings.Load(path)
	r := newRememberer(func(s settings.Settings) error { return s.Save(path) })
	c.Remember = r.take
	return r.close, err
}
