// SPDX-License-Identifier: MIT

package table

import (
	"fmt"
	"os"
	"path/filepath"

	"gaitwright/motion/diskfile"
)

// Write puts files into a folder, which it makes when it is not there. Each
// file is there whole or not at all. It returns the paths written.
func Write(folder string, files []File) (paths []string, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("cannot make the folder: %w", err)
	}
	for _, f := range files {
		path := filepath.Join(folder, f.Name)
		if err := diskfile.Save(path, f.Data); err != nil {
			return paths, err
		}
		paths = append(paths, path)
	}
	return paths, nil
}
