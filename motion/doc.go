// SPDX-License-Identifier: MIT

// Package motion holds a motion in time: the plan, which is exact and made of
// few pieces, and the trajectory, which is the plan sampled at even steps
// with every leg solved. The trajectory is the single truth: the window, the
// checks, the tables and the trace read it and none of them solves a leg.
//
//	plan: one chain of pieces for the body, one for each foot, in the ground frame G
//	trajectory: flat arrays, one row a sample, in the world frame W
//
// A chain has no gaps: a piece begins where and when the one before ends.
package motion
