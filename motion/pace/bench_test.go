// SPDX-License-Identifier: MIT

package pace_test

import "testing"

// A polar plot of 72 directions for six legs: 20 ms are wanted, for a plot that
// follows the hand.
func BenchmarkPolar(b *testing.B) {
	p := built(b, drummer(b), 0)
	b.ReportAllocs()
	for b.Loop() {
		p.Polar(72)
	}
}

// Preparing it after an edit.
func BenchmarkNew(b *testing.B) {
	f := drummer(b)
	b.ReportAllocs()
	for b.Loop() {
		built(b, f, 0)
	}
}
