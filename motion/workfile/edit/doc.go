// SPDX-License-Identifier: MIT

// Package edit changes a workfile as a person asks for it: one function for
// each act, on a plain [workfile.File] in people's units, without a window.
//
// A function that can refuse returns an error, a short sentence with the way
// out, and then leaves the file as it was. What a function leaves behind can
// be written and read again; whether the robot can do it is for the review to
// say.
//
// The functions change the file that they are given: give them a clone when
// the old one is still of use, as the window's document does.
package edit
