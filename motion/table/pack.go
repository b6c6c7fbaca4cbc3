// SPDX-License-Identifier: MIT

package table

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// The layout of FORMAT.md.
const (
	version      = 2
	headBytes    = 44
	channelBytes = 14
	contactBytes = 5
	markBytes    = 3
	blockRows    = 16 // rows that are packed together
	escape       = -128
)

// ErrBinary is what errors of Decode wrap.
var ErrBinary = errors.New("table: not a table for the player")

// pack gives the rows as they are stored, and where each block begins.
func (s *Sheet) pack() []byte {
	b, _ := s.packed()
	return b
}

func (s *Sheet) packed() (out []byte, blocks []uint32) {
	w := len(s.Channels)
	for k := range s.stored() {
		in := k % blockRows
		if s.Packing > 0 && in == 0 {
			blocks = append(blocks, uint32(len(out)))
		}
		for i := range w {
			v := s.Rows[k*w+i]
			if s.Packing == 0 || in == 0 {
				out = binary.LittleEndian.AppendUint16(out, v)
				continue
			}
			near := s.Rows[(k-1)*w+i]
			if s.Packing == 2 && in >= 2 {
				near = 2*near - s.Rows[(k-2)*w+i]
			}
			if d := int16(v - near); d > escape && d < 128 {
				out = append(out, byte(int8(d)))
			} else {
				out = append(out, 0x80)
				out = binary.LittleEndian.AppendUint16(out, v)
			}
		}
	}
	return out, blocks
}

// Binary gives the sheet as the player reads it, FORMAT.md. An error when it
// is larger than the format's fields.
func (s *Sheet) Binary() ([]byte, error) {
	body, blocks := s.packed()
	le := binary.LittleEndian
	head := headBytes + channelBytes*len(s.Channels) + contactBytes*len(s.Contacts) + markBytes*len(s.Places) + 4*len(blocks)
	if head > 0xffff || len(s.Channels) > 0xff {
		return nil, fmt.Errorf("table: %s: %d marks and %d touchdowns and lift-offs are more than a table holds: make it shorter", s.Title, len(s.Places), len(s.Contacts))
	}
	b := make([]byte, headBytes, head+len(body))
	copy(b, "GWT")
	b[3] = version
	le.PutUint32(b[8:], uint32(head+len(body)))
	le.PutUint16(b[12:], uint16(head))
	b[14], b[15] = byte(len(s.Channels)), byte(s.Legs)
	le.PutUint16(b[16:], uint16(s.Frames))
	le.PutUint32(b[18:], s.Step)
	le.PutUint16(b[22:], s.Den)
	b[24], b[25], b[26] = byte(s.Unit.Kind), byte(s.Unit.Bits), byte(s.Interpolation)
	if s.Loop {
		b[27] |= 1
	}
	if s.Unit.signed() {
		b[27] |= 2
	}
	b[28] = s.Packing
	if s.Packing > 0 {
		b[29] = blockRows
	}
	le.PutUint16(b[30:], uint16(len(blocks)))
	le.PutUint32(b[32:], uint32(s.CoolDown*1000+0.5))
	le.PutUint16(b[36:], s.Fastest)
	le.PutUint16(b[38:], uint16(len(s.Contacts)))
	le.PutUint16(b[40:], uint16(len(s.Places)))
	if s.Unit.Kind == PWMCount {
		n, err := s.Unit.PWM.Prescale()
		if err != nil {
			return nil, err
		}
		b[42] = byte(n)
	}
	for i := range s.Channels {
		c := &s.Channels[i]
		b = le.AppendUint16(b, uint16(c.Channel))
		b = le.AppendUint16(b, c.Least)
		b = le.AppendUint16(b, c.Most)
		b = le.AppendUint32(b, c.Peak)
		b = le.AppendUint32(b, c.Bound)
	}
	for _, c := range s.Contacts {
		b = le.AppendUint16(b, uint16(c.At>>8))
		b = append(b, byte(c.At))
		b = le.AppendUint16(b, c.Planted)
	}
	for _, m := range s.Places {
		b = le.AppendUint16(b, uint16(m.At>>8))
		b = append(b, byte(m.At))
	}
	for _, at := range blocks {
		b = le.AppendUint32(b, at)
	}
	b = append(b, body...)
	le.PutUint16(b[6:], CRC(b[head:]))
	le.PutUint16(b[4:], CRC(b[6:head]))
	return b, nil
}

// CRC is the CRC-16 with the polynomial 0x1021 and all ones to begin with,
// most significant bit first (CRC-16/IBM-3740 in the catalogue of parametrised
// CRC algorithms; of "123456789" it is 0x29b1).
func CRC(b []byte) uint16 {
	crc := uint16(0xffff)
	for _, v := range b {
		crc ^= uint16(v) << 8
		for range 8 {
			if crc&0x8000 != 0 {
				crc = crc<<1 ^ 0x1021
			} else {
				crc <<= 1
			}
		}
	}
	return crc
}

// Decode reads rows and numbers back out of what Binary gave. Names, marks'
// names and the plan are not in there.
func Decode(b []byte) (*Sheet, error) {
	bad := func(format string, a ...any) (*Sheet, error) {
		return nil, fmt.Errorf("%w: %s", ErrBinary, fmt.Sprintf(format, a...))
	}
	le := binary.LittleEndian
	if len(b) < headBytes || !bytes.HasPrefix(b, []byte("GWT")) {
		return bad("it does not begin as one")
	}
	if b[3] != version {
		return bad("version %d, want %d", b[3], version)
	}
	head := int(le.Uint16(b[12:]))
	if int64(le.Uint32(b[8:])) != int64(len(b)) || head < headBytes || head > len(b) {
		return bad("%d bytes, of which %d of head, where it says %d", len(b), head, le.Uint32(b[8:]))
	}
	if CRC(b[6:head]) != le.Uint16(b[4:]) || CRC(b[head:]) != le.Uint16(b[6:]) {
		return bad("a check sum is wrong")
	}
	s := &Sheet{
		Clip: &Clip{Loop: b[27]&1 != 0, CoolDown: float64(le.Uint32(b[32:])) / 1000}, Legs: int(b[15]), Frames: int(le.Uint16(b[16:])),
		Step: le.Uint32(b[18:]), Den: le.Uint16(b[22:]), Unit: Unit{Kind: Kind(b[24]), Bits: int(b[25])},
		Interpolation: Interpolation(b[26]), Packing: b[28], Fastest: le.Uint16(b[36:]),
	}
	channels, contacts, marks, blocks := int(b[14]), int(le.Uint16(b[38:])), int(le.Uint16(b[40:])), int(le.Uint16(b[30:]))
	if head != headBytes+channels*channelBytes+contacts*contactBytes+marks*markBytes+4*blocks ||
		channels == 0 || s.Frames < 2 || s.Step == 0 || s.Den == 0 || s.Unit.Kind > ServoStep || s.Unit.Bits > 7 || s.Interpolation > Cubic || s.Packing > 2 ||
		s.Packing > 0 && b[29] == 0 {
		return bad("its lengths do not fit together")
	}
	at := headBytes
	for range channels {
		s.Channels = append(s.Channels, SheetChannel{Joint: Joint{Channel: int(le.Uint16(b[at:]))},
			Least: le.Uint16(b[at+2:]), Most: le.Uint16(b[at+4:]), Peak: le.Uint32(b[at+6:]), Bound: le.Uint32(b[at+10:])})
		at += channelBytes
	}
	for range contacts {
		s.Contacts = append(s.Contacts, Instant{uint32(le.Uint16(b[at:]))<<8 | uint32(b[at+2]), le.Uint16(b[at+3:])})
		at += contactBytes
	}
	for range marks {
		s.Places = append(s.Places, Instant{At: uint32(le.Uint16(b[at:]))<<8 | uint32(b[at+2])})
		at += markBytes
	}
	at = head
	take := func() (byte, bool) {
		if at >= len(b) {
			return 0, false
		}
		at++
		return b[at-1], true
	}
	word := func() (uint16, bool) {
		l, ok := take()
		h, ok2 := take()
		return uint16(l) | uint16(h)<<8, ok && ok2
	}
	s.Rows = make([]uint16, 0, min(s.stored()*channels, len(b)))
	for k := range s.stored() {
		in := 0
		if s.Packing > 0 {
			in = k % int(b[29])
		}
		for i := range channels {
			var v uint16
			var ok bool
			if s.Packing == 0 || in == 0 {
				v, ok = word()
			} else {
				var d byte
				if d, ok = take(); ok && d == 0x80 {
					v, ok = word()
				} else if ok {
					v = s.Rows[(k-1)*channels+i] + uint16(int16(int8(d)))
					if s.Packing == 2 && in >= 2 {
						v += s.Rows[(k-1)*channels+i] - s.Rows[(k-2)*channels+i]
					}
				}
			}
			if !ok {
				return bad("it ends in frame %d", k)
			}
			s.Rows = append(s.Rows, v)
		}
	}
	if at != len(b) {
		return bad("%d bytes are left over", len(b)-at)
	}
	return s, nil
}
