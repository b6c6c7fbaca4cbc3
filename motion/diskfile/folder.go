// SPDX-License-Identifier: MIT

package diskfile

import (
	"fmt"
	"os"
)

// MakeFolder makes a folder of a person's own, with those above it, that
// nobody else can look into. One that is there stays as it is.
func MakeFolder(path string) error {
	if err := os.MkdirAll(path, 0o700); err != nil {
		return fmt.Errorf("cannot make the folder %s: %w", path, err)
	}
	return nil
}
