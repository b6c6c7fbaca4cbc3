// SPDX-License-Identifier: MIT

package workfile_test

import (
	"fmt"
	"strings"

	"gaitwright/motion/workfile"
)

// A slip in a workfile is named with its place and with what would be right;
// mended and changed, the file is written with the notes that people left in
// it.
func Example() {
	text := string(workfile.Starter())
	slip := strings.Replace(text, "step_height_mm", "step_hieght_mm", 1)
	_, err := workfile.Read("robot.toml", []byte(slip))
	_, what, _ := strings.Cut(err.Error(), ": ") // without its line
	fmt.Println(what)

	f, err := workfile.Read("robot.toml", []byte(text))
	if err != nil {
		fmt.Println(err)
		return
	}
	f.Robot.BodyMass = 1350
	saved, err := f.EncodeKeeping([]byte(text))
	if err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.Lines(string(saved)) {
		if strings.HasPrefix(line, "body_mass_g") {
			fmt.Print(line)
		}
	}

	b, err := f.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f kg, %d legs, femur %.3f m\n", b.Robot.Body.Mass, len(b.Robot.Legs), b.Robot.Legs[3].Length[1])

	// Output:
	// gait[tripod].step_hieght_mm: unknown key "step_hieght_mm"; did you mean "step_height_mm"?
	// body_mass_g = 1350 # with battery and electronics, without servos
	// 1.35 kg, 6 legs, femur 0.075 m
}
