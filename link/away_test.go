// SPDX-License-Identifier: MIT

package link

import (
	"testing"
	"time"
)

// TestSlowlyAfterAll: after a stop, and after a silence, the robot goes to a far
// pose at the slow bound, also when signs of life come before the pose does and
// it says meanwhile that it follows.
func TestSlowlyAfterAll(t *testing.T) {
	bin := compile(t)
	for name, leave := range map[string]func(*robot){
		"stop": func(r *robot) {
			r.host.Stop(r.now)
			r.until("stopped", time.Second, r.is(Stopped))
			r.arm(flat(1900))
		},
		"silence": func(r *robot) {
			if err := r.host.Aim(flat(1900)); err != nil {
				t.Fatal(err)
			}
			for range 300 {
				r.step(false)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := start(t, bin, usual)
			r.arm(flat(1500))
			r.until("there", 20*time.Second, r.is(Follow))
			long := false // poses get through; beats always do
			r.spoil = func(to bool, p []byte) []byte {
				if to && !long && len(p) > 30 {
					return nil
				}
				return p
			}
			leave(r)
			r.until("following again", 5*time.Second, r.is(Follow))
			r.run(100 * time.Millisecond)
			long, r.greatest = true, 0
			r.until("at the far pose", 20*time.Second, func() bool { return r.at[0] == 1900*8 && r.at[17] == 1900*8 })
			if r.greatest == 0 || r.greatest > 4 {
				t.Errorf("a pulse changes by %d eighths in a millisecond, at most 4 are meant", r.greatest)
			}
		})
	}
}
