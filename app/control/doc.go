// SPDX-License-Identifier: MIT

// Package control holds the small parts that a window is made of: buttons,
// choices, fields, sliders, lists, splits and dialogs.
//
// Each part is two things: a state that the window keeps (its zero value is
// ready) and a style made for every frame. Update returns what the person did;
// Layout draws, and may be called before or after Update.
//
//	var play control.Button
//	if play.Update(gtx) {
//		start()
//	}
//	control.Push(th, &play, "Play").WithGlyph(look.Play).Layout(gtx)
//
// All parts work by keyboard: Tab moves between them, a ring shows which one
// has the keys. They carry semantic labels, by which tests find them.
package control
