// SPDX-License-Identifier: MIT

package edit

import (
	"fmt"
	"maps"
	"slices"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// ServoNames lists the servo classes of a file in order.
func ServoNames(f *workfile.File) []string {
	return slices.Sorted(maps.Keys(f.Servos))
}

// AddServo adds a servo class and gives the name that it got: the one asked
// for, numbered when it is taken.
func AddServo(f *workfile.File, name string, s workfile.Servo) string {
	got := name
	for n := 2; ; n++ {
		if _, taken := f.Servos[got]; !taken {
			break
		}
		got = fmt.Sprintf("%s-%d", name, n)
	}
	if f.Servos == nil {
		f.Servos = map[string]workfile.Servo{}
	}
	f.Servos[got] = s
	return got
}

// RenameServo gives a servo class another name, also in the joints that have
// it.
func RenameServo(f *workfile.File, old, name string) error {
	s, there := f.Servos[old]
	if !there || old == name {
		return nil
	}
	if _, taken := f.Servos[name]; taken {
		return refuse("choose another name", "there is a servo %s already", name)
	}
	delete(f.Servos, old)
	f.Servos[name] = s
	for i := range f.Legs {
		for j := range kin.Joints {
			if q := JointOf(&f.Legs[i], j); q.Servo == old {
				q.Servo = name
			}
		}
	}
	return nil
}

// ServoUses counts the joints that have a servo class, by joint.
func ServoUses(f *workfile.File, name string) (n [kin.Joints]int) {
	for i := range f.Legs {
		w := f.Whole(i)
		for j := range kin.Joints {
			if JointOf(&w, j).Servo == name {
				n[j]++
			}
		}
	}
	return n
}

// DeleteServo takes a servo class out that no joint has.
func DeleteServo(f *workfile.File, name string) error {
	n := ServoUses(f, name)
	if used := n[0] + n[1] + n[2]; used > 0 {
		return refuse("give them another one first", "%d joints have the servo %s", used, name)
	}
	if len(f.Servos) == 1 {
		return refuse("add another one first", "%s is the only servo", name)
	}
	delete(f.Servos, name)
	return nil
}

// SetServo gives a joint a servo class where it comes from: a leg that mirrors
// another one and names no servo of its own changes that one.
func SetServo(f *workfile.File, leg, joint int, name string) {
	if !has(f, leg) {
		return
	}
	l := &f.Legs[leg]
	if JointOf(l, joint).Servo == "" {
		l = &f.Legs[Source(f, leg)]
	}
	JointOf(l, joint).Servo = name
}

// SetServos gives one joint of every leg a servo class.
func SetServos(f *workfile.File, joint int, name string) {
	for i := range f.Legs {
		SetServo(f, i, joint, name)
	}
}

// SetTorque gives a servo class another stall torque, in N·m or in kgf·cm.
func SetTorque(s *workfile.Servo, v float64, newtonMetres bool) {
	s.StallKgfCm, s.StallNm = nil, nil
	if newtonMetres {
		s.StallNm = &v
	} else {
		s.StallKgfCm = &v
	}
}
