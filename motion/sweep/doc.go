// SPDX-License-Identifier: MIT

// Package sweep tries every change at many instants: each gait of a workfile
// asked to become each other one, and each gait interrupted by each move,
// at evenly spread phases of its cycle. Every run is planned by motion/sequence
// from entries of a workfile (Script), sampled, loaded and reviewed with all
// checks, so that any of them can be opened and looked at.
//
// # What is looked at
//
// First each gait by itself: from standing into the steady walk, and one cycle
// of it. A gait that a finding of level stop forbids there cannot be walked: it
// is told once, and no run has it.
//
// Of a run the time is judged from the request to one cycle past the instant
// at which it is in force (as stride.Walker.Done tells), since a foot that was
// put down during the change is lifted by then: findings that begin in it
// count. Margins, slip and joint speeds are the worst between the request and
// the instant at which it is in force. With a move this is the way into it,
// until the robot stands and the move begins, and the way back, from the end of
// the move until the walk is at its command again; the move itself, which is
// the same whenever it was asked for, is reviewed and not measured.
//
// The joint speed is the share of the servo's speed without load, the slip the
// greater of how far a planted foot drifts and how far friction lets the robot
// slide (where that can be told).
package sweep
