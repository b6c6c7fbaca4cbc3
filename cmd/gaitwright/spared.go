// SPDX-License-Identifier: MIT

package main

import (
	"fmt"
	"os"
)

// spared refuses to write into a file that is read: a slip of the hand would
// cost a workfile. flag names the option that leads there.
func spared(out, flag string, read ...string) error {
	to, err := os.Stat(out)
	if out == "" || err != nil {
		return nil // nothing is there, or what is wrong shows when it is written
	}
	for _, path := range read {
		if from, err := os.Stat(path); path != "" && err == nil && from.Mode().IsRegular() && os.SameFile(from, to) {
			return fmt.Errorf("%s would write over %s, which it is made from: name another file", flag, path)
		}
	}
	return nil
}
