// SPDX-License-Identifier: MIT

// Package dynamics says what a motion costs: the torque of every joint, the
// momentum of a leg and of the whole robot, the point where the ground must
// push, how much energy lies between a stance and a fall, and the mass a foot
// strikes with.
//
// Frames are those of package kin. A link's own frame has its origin on the
// link's joint axis, x along the link, y lateral, z up at angle 0. Torques are
// what the servo exerts, positive along the positive angle; a force on a foot
// is what the outside exerts on it. Nothing here allocates apart from New.
package dynamics
