// SPDX-License-Identifier: MIT

//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package recovery

import (
	"errors"
	"os"
	"syscall"
)

// lock takes the lock of a file, or fails at once where another process has
// it. It is free again when the file is closed or the process ends.
func lock(path string, make bool) (*os.File, error) {
	flags := os.O_RDWR
	if make {
		flags |= os.O_CREATE
	}
	f, err := os.OpenFile(path, flags, 0o600)
	if err != nil {
		return nil, err
	}
	for {
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}
