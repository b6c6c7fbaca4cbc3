// SPDX-License-Identifier: MIT

package chip

import (
	"path/filepath"
	"testing"
)

// What the player and the link take of the part's time: that all of it fits a
// frame several times over.
func cost(t *testing.T, b *bench, _ *demo) {
	dir := own(t, b, "cost.c")
	p := b.start(t, b.firmware(t, b.tables, []string{"strike"}, filepath.Join(dir, "cost.c"), "example_avr/pulses.c", "gait_player.c"))
	p.do("run 2000")
	r := p.end()
	took := map[byte]uint64{} // most cycles that end with a mark
	used := 0
	for i, m := range r.marks {
		if m.b == 40 && i+2 < len(r.marks) {
			used = int(r.marks[i+1].b) + int(r.marks[i+2].b)<<8
			break
		}
		if i > 0 {
			took[m.b] = max(took[m.b], m.at-r.marks[i-1].at)
		}
	}
	if took[99] > 0 {
		t.Fatal("the pose was not taken")
	}
	ms := func(c uint64) float64 { return float64(c) / clock * 1000 }
	pose, way, there, status, seen, begin, tick, lay := ms(took[2]), ms(took[4]), ms(took[6]), ms(took[7]), ms(took[8]), ms(took[11]), ms(took[21]), ms(took[31])
	t.Logf("a pose %.2f ms, a tick on the way %.2f, there %.2f, status %.2f, seen %.2f, gait_play() %.2f, a tick of the player %.2f, laying a frame %.2f; stack %d bytes",
		pose, way, there, status, seen, begin, tick, lay, used)
	for _, v := range []float64{pose, way, there, status, seen, begin, tick, lay} {
		if v == 0 {
			t.Error("a piece of work was not measured")
		}
	}
	// In a frame there is a pose or a table that begins, a tick of the link and
	// one of the player, a report of both kinds at the most, and the laying of a
	// frame of pulses.
	if sum := max(pose, begin) + way + status + seen + tick + lay; sum > 16 {
		t.Errorf("%.2f ms of a frame of 20 ms", sum)
	}
	if used < 50 || used > 500 {
		t.Errorf("%d bytes of stack", used)
	}
}
