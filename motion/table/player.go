// SPDX-License-Identifier: MIT

package table

import (
	"bytes"
	"fmt"
	"io/fs"

	"gaitwright/assets"
)

// Player gives the player's files, to stand beside the set's sources, with
// room for as many channels as the set has.
func (set *Set) Player() ([]File, error) {
	var files []File
	err := fs.WalkDir(assets.Firmware, "firmware", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := assets.Firmware.ReadFile(path)
		if err != nil {
			return err
		}
		name := path[len("firmware/"):]
		if name == "gait_player.h" {
			if b, err = set.room(b); err != nil {
				return err
			}
		}
		files = append(files, File{name, b})
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("table: the player: %w", err)
	}
	return files, nil
}

// room sets the number of channels in gait_player.h.
func (set *Set) room(header []byte) ([]byte, error) {
	const line = "#define GAIT_CHANNELS 36\n"
	if bytes.Count(header, []byte(line)) != 1 {
		return nil, fmt.Errorf("gait_player.h has no line %q", line)
	}
	n := 0
	for _, s := range set.Sheets {
		n = max(n, len(s.Channels))
	}
	return bytes.Replace(header, []byte(line), fmt.Appendf(nil, "#define GAIT_CHANNELS %d\n", n), 1), nil
}
