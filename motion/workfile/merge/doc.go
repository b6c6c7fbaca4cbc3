// SPDX-License-Identifier: MIT

// Package merge compares workfiles key by key, and joins two that were edited
// apart. Tables of a list are matched by name (spans by their mark, foot tracks
// by their leg, entries without a name by what they do), so that what stands
// before or behind them does not matter.
package merge
