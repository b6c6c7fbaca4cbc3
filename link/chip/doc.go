// SPDX-License-Identifier: MIT

// Package chip has tests alone: the firmware of assets/firmware runs on a
// simulated ATmega2560 (libsimavr), and what its pins do is held against the
// motion. What the simulator does not show: the electronics, a servo, and the
// error of a real oscillator and line.
package chip
