// SPDX-License-Identifier: MIT

package drive_test

import (
	"fmt"
	"image"

	"gioui.org/font/gofont"
	"gioui.org/layout"
	"gioui.org/text"
	"gioui.org/widget"
	"gioui.org/widget/material"

	"gaitwright/app/drive"
)

// A window's contents are clicked without a window.
func Example() {
	th := material.NewTheme()
	th.Shaper = text.NewShaper(text.NoSystemFonts(), text.WithCollection(gofont.Collection()))
	var play widget.Clickable
	d := drive.New(image.Pt(200, 100), func(gtx layout.Context) layout.Dimensions {
		if play.Clicked(gtx) {
			fmt.Println("playing")
		}
		return material.Button(th, &play, "Play").Layout(gtx)
	})
	err := d.Click("Play")
	fmt.Println(err, d.Settle())
	// Output:
	// playing
	// <nil> <nil>
}
