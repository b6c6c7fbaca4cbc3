// SPDX-License-Identifier: MIT

package control_test

import (
	"fmt"
	"image"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// A small form, filled in by program as a person would.
func Example() {
	th := look.New(false)
	height := control.Number{Value: 30, Min: 5, Max: 80, Unit: "mm"}
	var apply control.Button
	d := drive.New(image.Pt(300, 100), func(gtx layout.Context) layout.Dimensions {
		if apply.Update(gtx) {
			fmt.Println("apply", height.Value)
		}
		return control.Column(gtx, 2,
			func(gtx layout.Context) layout.Dimensions {
				return control.Line(gtx, th, "Step height", 100, control.Amount(th, &height, "Step height").Layout)
			},
			control.Push(th, &apply, "Apply").As(control.Primary).When(height.Err() == nil).Layout,
		)
	})
	_ = d.Click("Step height")
	d.Type("42")
	d.Press(key.NameReturn, 0)
	_ = d.Click("Apply")
	// Output: apply 42
}
