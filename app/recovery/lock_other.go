// SPDX-License-Identifier: MIT

//go:build !darwin && !dragonfly && !freebsd && !linux && !netbsd && !openbsd && !windows

package recovery

import (
	"errors"
	"os"
)

// lock makes the file, and cannot keep others from it.
func lock(path string, make bool) (*os.File, error) {
	if make {
		return nil, errors.ErrUnsupported
	}
	return os.Open(path)
}
