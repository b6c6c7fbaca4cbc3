// SPDX-License-Identifier: MIT

// Package stride plans a walk as it is asked for: start, stop, another gait,
// period, command or body height at any instant. What it plans are exact
// pieces of a motion.Plan; what has been planned is never taken back, and the
// same requests at the same times give the same plan, however the time between
// them is stepped through.
//
// # How
//
// One clock drives all legs. Leg i lifts at the phases φᵢ+βᵢ (modulo 1) of the
// gait in force and lands (1-βᵢ) periods later.
//
// The body's course goes at a speed that blends from the present to the wanted
// one over a period by a cubic of the time that keeps speed and acceleration
// (motion.Drive), however often it is interrupted. Its shift keeps speed and
// acceleration too and eases to the stand pose; a gait's sway is added as one
// push a swing at the times of the swings to come. What is interrupted takes no
// longer than it would have: it would shoot over its end.
//
// A foot that lifts is sent to where the body, by what is asked so far, will
// pass over its standing point in the middle of its coming stance. When
// something else is asked meanwhile, it is led to another foothold, beside its
// swing and without haste: it keeps its height and the time at which it lands.
// What it cannot reach in time the next step makes up.
//
// A command or a height is taken at once (a command asked for during a change
// is taken at its end). Another gait, or another period, is
// a change: the origin of the new clock is chosen among some sixty so that
// the body has to slow down least (see align). Each leg's first lift-off is
// its first by the new clock that its own phase can reach at a bounded rate.
// Meanwhile the body goes at a share of the commanded speed with which no
// standing foot is carried farther off than half a stroke of the longer of
// both gaits, or than it is already; where no share above a tenth does, with
// the least excess of those above, so that it never stops. When the last leg has lifted by the new clock the change is done and
// the body takes up its speed.
//
// A stop lets the clock run while the body slows down in half a period: each
// foot that is off its standing point under the rest course steps there, others
// do not lift. From any other stance (feet held in the air or planted anywhere,
// the body leaning), feet are put down first, then the body goes to its stand
// pose, then the feet that are off step back in groups, each time as many as
// leave three standing with the wanted margin; where not even one may, the body
// leans away from it meanwhile.
//
// # What always holds
//
//   - Chains have no gaps; a planted foot does not move; place and speed of
//     body and feet are continuous, if the gait's swings begin and end at rest.
//   - A foot lifts only if the gait in force has the feet in the air together,
//     or if three stand with the wanted margin. So at least min(3, the fewest
//     that either gait of a change leaves down) stand, at any instant.
//   - Each leg's phase runs forward. On the ground it runs at most four times
//     as fast as in the gait; in the air exactly as fast. It waits only when
//     the robot stands or a stop is under way.
//   - A change is done within ChangeBound: the longest swing of the old gait, a
//     quarter of the new gait's longest stance, and one period of the new. With
//     sway at least a quarter of a period passes before the first lift-off.
//     While it is under way only the newest request is kept; it is taken at
//     its end.
//   - So a request is in force within Bound if no change is under way, and in
//     any case within twice the greatest Bound of the gaits concerned. From a
//     stance with feet in the air or the body leaning one second comes on top.
//   - A standing foot's place in the body's course is never farther off in a
//     change than half a stroke, or where it was, and the way of the old speed
//     in an eighth of the shorter period, and of a tenth of the new speed for as
//     long as the change lasts, where the body would have to stop otherwise.
package stride
