// SPDX-License-Identifier: MIT

package table

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"github.com/natefinch/atomic"
)

// Write puts files into a folder, which it makes when it is not there. Each
// file is there whole or not at all. It returns the paths written.
func Write(folder string, files []File) (paths []string, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("table: cannot make the folder: %w", err)
	}
	for _, f := range files {
		path := filepath.Join(folder, f.Name)
		_, old := os.Stat(path)
		if err := atomic.WriteFile(path, bytes.NewReader(f.Data)); err != nil {
			return paths, fmt.Errorf("table: cannot write %s: %w", path, err)
		}
		if os.IsNotExist(old) { // a new file is made for its owner alone
			if err := os.Chmod(path, 0o644); err != nil {
				return paths, fmt.Errorf("table: %w", err)
			}
		}
		paths = append(paths, path)
	}
	return paths, nil
}
