// SPDX-License-Identifier: MIT

package recovery

import (
	"os"
	"path/filepath"

	"gaitwright/motion/diskfile"
)

// hold locks a window's token until let is called or the process ends. Where
// that cannot be, it does nothing: another window then offers this one's copy
// as well.
func hold(cache, token string) (let func()) {
	if cache == "" {
		return func() {}
	}
	path := lockPath(cache, token)
	if diskfile.MakeFolder(filepath.Dir(path)) != nil {
		return func() {}
	}
	f, err := lock(path, true)
	if err != nil {
		return func() {}
	}
	return func() {
		f.Close()
		os.Remove(path)
	}
}

// runs tells whether the window of a token is open on this machine.
func runs(cache, token string) bool {
	if cache == "" {
		return false
	}
	path := lockPath(cache, token)
	if _, err := os.Stat(path); err != nil {
		return false
	}
	f, err := lock(path, false)
	if err != nil {
		return true
	}
	f.Close()
	return false
}
