// SPDX-License-Identifier: MIT

// Package pace says what a gait and a command mean for a robot: stride, stroke,
// feet down, margins, Froude number; and how fast the robot can go with the
// gait, in which direction, and what limits it.
//
// # The steady cycle
//
// All of it is about walking on and on with one gait and one command, without
// starting and stopping: every foot stands on the ground while the body passes
// over its standing point, which it does in the middle of the stance; then it
// swings, as the gait says, to where the body will pass over it again. The
// body sways as the gait says. The cycle is sampled: each leg at 64 instants
// of its own, ends of the stance among them, and all legs at 64 common ones
// where distances between legs are asked for, or 256 where these are small.
//
// # What is looked at
//
// A command can be walked when at every sampled instant of the cycle each leg
// reaches its foot's place, each joint stands within its travel and turns no
// faster than the share of its servo's no-load speed that is counted on, and
// no leg comes nearer to another one or to the body than the clearance. These
// are the words out-of-reach, joint-limit, joint-speed and legs-touch of the
// review. Loads are not looked at: under its load a servo turns more slowly
// than without, and balance and friction limit a walk as well. Whether a walk
// can be done the review says, on its trajectory; the fastest command is no
// more than a bound from above.
package pace
