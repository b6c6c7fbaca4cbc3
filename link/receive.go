// SPDX-License-Identifier: MIT

package link

import (
	"encoding/binary"
	"math"
	"time"

	"gaitwright/link/line"
)

// mostSeen bounds the looks that are kept when nobody fetches them.
const mostSeen = 4096

// Receive takes bytes that came from the robot.
func (h *Host) Receive(p []byte, now time.Time) {
	for {
		stretch, rest, ok := h.split.Take(p)
		if !ok {
			break
		}
		p = rest
		f, buf, err := line.Decode(h.buf, stretch, h.key)
		h.buf = buf
		if err != nil || !h.take(f, now) {
			h.view.Bad++
		}
	}
	h.view.Bad += h.split.Bad
	h.split.Bad = 0
}

// take reads one frame; false for one that does not have its length.
func (h *Host) take(f line.Frame, now time.Time) bool {
	b, le := f.Body, binary.LittleEndian
	switch f.Kind {
	case line.Info:
		if len(b) != 7 {
			return false
		}
		h.view.Info = Info{
			Version: int(b[0]), Channels: int(b[1]),
			Switches: b[2]&1 != 0, Positions: b[2]&2 != 0, Tables: b[2]&4 != 0,
			Speed: float64(le.Uint16(b[3:])) * 125, Approach: float64(le.Uint16(b[5:])) * 125,
		}
	case line.Key:
		if len(b) != 2 {
			return false
		}
		if !h.asked {
			return true // of an Ask that was given up
		}
		h.key, h.keyed = le.Uint16(b), now
	case line.Status:
		if len(b) != 13 {
			return false
		}
		h.view.State, h.view.Fault, h.view.Switches = State(b[0]), Fault(b[1]), le.Uint16(b[3:])
		h.view.Taken, h.view.Dropped = int(le.Uint16(b[5:])), int(le.Uint16(b[7:]))
		if h.armed && h.arming.IsZero() && !h.view.State.Live() { // it ended it itself
			h.armed, h.key = false, 0
		}
	case line.Seen:
		if len(b) < 10 || len(b) != 10+2*int(b[9]) {
			return false
		}
		s := Seen{Time: time.Duration(le.Uint32(b)) * time.Millisecond, Came: now, Switches: le.Uint16(b[4:]), Table: int(b[6]), Frame: int(le.Uint16(b[7:]))}
		if s.Table == 255 {
			s.Table = -1
		}
		for i := range int(b[9]) {
			v := float64(le.Uint16(b[10+2*i:])) / 8
			if v == 65535./8 {
				v = math.NaN()
			}
			s.Positions = append(s.Positions, v)
		}
		if len(h.view.Seen) < mostSeen {
			h.view.Seen = append(h.view.Seen, s)
		}
	default:
		return false
	}
	h.heard = now
	return true
}
