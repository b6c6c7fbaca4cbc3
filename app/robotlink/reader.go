// SPDX-License-Identifier: MIT

package robotlink

import (
	"slices"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// reader is what reading a log depends on: long logs are not read again after
// each change of the motion.
type reader struct {
	legs     []string
	channels [][kin.Joints]workfile.Channel
}

func readerOf(b *workfile.Built) reader {
	r := reader{channels: slices.Clone(b.Channels)}
	for i := range b.Robot.Legs {
		r.legs = append(r.legs, b.Robot.Legs[i].Name)
	}
	return r
}

func (r *reader) same(o *reader) bool {
	return slices.Equal(r.legs, o.legs) && slices.Equal(r.channels, o.channels)
}
