// SPDX-License-Identifier: MIT

// Package reach draws the edge of what a leg can touch: the part of a plane
// in which the foot centre can be put with every joint inside its travel, as
// closed lines. Frames and letters are those of package kin.
package reach
