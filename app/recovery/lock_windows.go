// SPDX-License-Identifier: MIT

package recovery

import (
	"os"
	"syscall"
)

// lock opens a file so that nobody else can open it, or fails at once where
// another process has done so. It is free again when the file is closed or the
// process ends.
func lock(path string, make bool) (*os.File, error) {
	p, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return nil, err
	}
	how := uint32(syscall.OPEN_EXISTING)
	if make {
		how = syscall.OPEN_ALWAYS
	}
	h, err := syscall.CreateFile(p, syscall.GENERIC_READ|syscall.GENERIC_WRITE, 0, nil, how, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if err != nil {
		return nil, err
	}
	return os.NewFile(uintptr(h), path), nil
}
