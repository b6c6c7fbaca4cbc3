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
		if b, err = set.room(name, b); err != nil {
			return err
		}
		files = append(files, File{name, b})
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("table: the player: %w", err)
	}
	return files, nil
}

// room sets the number of channels in a header that has one.
func (set *Set) room(name string, header []byte) ([]byte, error) {
	define, ok := map[string]string{"gait_player.h": "#define GAIT_CHANNELS ", "gait_link.h": "#define GAIT_LINK_CHANNELS "}[name]
	if !ok {
		return header, nil
	}
	line := define + "36\n"
	if bytes.Count(header, []byte(line)) != 1 {
		return nil, fmt.Errorf("%s has no line %q", name, line)
	}
	n := 0
	for _, s := range set.Sheets {
		n = max(n, len(s.Channels))
	}
	return bytes.Replace(header, []byte(line), fmt.Appendf(nil, "%s%d\n", define, n), 1), nil
}
