// SPDX-License-Identifier: MIT

//go:build unix

package app

import (
	"syscall"
	"time"
)

// cpuTime gives what the process has had of the processors, which other work
// on the machine changes little.
func cpuTime() (time.Duration, bool) {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0, false
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()), true
}
