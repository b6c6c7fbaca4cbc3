// SPDX-License-Identifier: MIT

package strips

import (
	"testing"

	"gaitwright/motion/newrobot"
	"gaitwright/motion/workfile"
)

// A robot that always stands with many times the wanted margin shows its lines
// in the strip; the demo, which comes near the edge, shows what is near it.
func TestSteadyRobotShows(t *testing.T) {
	a := newrobot.Usual(6)
	for _, c := range workfile.Classes() {
		if c.Name == "standard-20" {
			a.Servo = c.Servo
		}
	}
	made, err := newrobot.Make(a)
	if err != nil {
		t.Fatal(err)
	}
	s := stability(made.Rehearsal)
	s.fit()
	_, hi := s.extremes()
	if least := s.smallest(); !(least > 70) || s.hi < hi {
		t.Errorf("least %v mm, shown up to %v of %v mm", least, s.hi, hi)
	}
}
