// SPDX-License-Identifier: MIT

// Package link lets a robot follow what the program shows, over a line that
// may lose, damage and delay everything.
//
// A Host is the program's end as a state machine without a line and without a
// clock: bytes that came go into Receive, Tick gives the bytes to send. Run
// drives one on a real line. The other end, and what goes over the line, is in
// assets/firmware (gait_link.c, PROTOCOL.md).
//
// What keeps a person's fingers, as far as a program can:
//
//   - Nothing moves before two deliberate acts, Ask and Arm, the second within
//     ten seconds of the first.
//   - A pose that the review stops is never sent, and not armed with, unless
//     Override was called for this very pose.
//   - What is sent changes no faster than the bound of either end. The robot
//     keeps its own bound whatever comes.
//   - Without a sign of life for 200 ms the robot holds, and later goes limp.
//   - Stop and Limp work in every state, and disarm.
package link
