// SPDX-License-Identifier: MIT

package workfile

// ServoClass is a generic class of hobby servo, by size and torque: a first
// guess for a robot whose datasheets are not at hand.
type ServoClass struct {
	Name  string // as a key below [servo]
	Title string // as people say it
	Servo Servo
}

// ClassNote says how far the numbers of Classes can be trusted.
const ClassNote = "Typical values; take those of your servo’s datasheet."

// Classes gives the generic classes, the smallest first. The numbers are
// typical of datasheets, from memory, at the voltage given; no maker's servo
// is meant. Idle current and gear efficiency are left to their defaults.
func Classes() []ServoClass {
	return []ServoClass{
		class("micro-9g", "micro, 9 g", 1.6, 0.12, 4.8, 9, 0.65),
		class("small-20g", "small, 20 g, metal gear", 3.2, 0.11, 6, 20, 1.1),
		class("standard-plastic", "standard, plastic gear", 4, 0.18, 6, 40, 1),
		class("standard-10", "standard, metal gear, 10 kgf·cm", 10, 0.17, 6, 55, 1.5),
		class("standard-15", "standard, metal gear, 15 kgf·cm", 15, 0.16, 6, 60, 2.2),
		class("standard-20", "standard, metal gear, 20 kgf·cm", 20, 0.15, 6.8, 60, 2.6),
		class("standard-25", "standard, metal gear, 25 kgf·cm", 25, 0.15, 6.8, 62, 3.2),
		class("standard-35", "standard, metal gear, 35 kgf·cm", 35, 0.15, 7.4, 68, 4.4),
	}
}

// class fills a class: stall torque (kgf·cm), speed (s for 60°), voltage (V),
// mass (g), stall current (A).
func class(name, title string, torque, speed, voltage, mass, stall float64) ServoClass {
	return ServoClass{name, title, Servo{StallKgfCm: &torque, Speed: speed, Voltage: voltage, Mass: mass, StallA: &stall}}
}
