// SPDX-License-Identifier: MIT

// Package line is what goes over the wire between the program and a robot's
// controller: frames, each with its check sums, separated by zero bytes.
// assets/firmware/PROTOCOL.md describes it for those who write the other end.
//
//	payload = kind, number, body, check over the former
//	frame   = COBS(payload), 0
//
// Frames that may move a joint carry a second, different check before the
// first one, which begins with the key of the session. A line so bad that one
// bit in a hundred is wrong lets a damaged frame pass a check of 16 bits every
// few minutes; it would have to pass both.
package line
