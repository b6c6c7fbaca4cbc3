// SPDX-License-Identifier: MIT

package line

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// Kind says what a frame means.
type Kind byte

// What the program sends. Those from Beat to Play carry the second check.
const (
	Hello Kind = 0x01 // who are you; body: version
	Ask   Kind = 0x02 // let me arm; body: how long to hold before going limp, ms
	Stop  Kind = 0x03 // body: Hold or Limp
	Log   Kind = 0x04 // body: interval of Seen, ms, 0 for none
	Beat  Kind = 0x10 // I am still here
	Arm   Kind = 0x11 // the key that was asked for
	Pose  Kind = 0x12 // body: a pulse width for each channel
	Play  Kind = 0x13 // body: table, speed in 1/256, times (0: until stopped)
)

// What the robot sends.
const (
	Info   Kind = 0x81 // answers Hello
	Key    Kind = 0x82 // answers Ask; body: the key of the session
	Status Kind = 0x83 // several times a second
	Seen   Kind = 0x84 // foot switches and positions
)

// Version is that of the protocol.
const Version = 1

// Most is how long a body may be, bytes.
const Most = 112

// moves tells whether frames of a kind carry the second check.
func (k Kind) moves() bool { return k >= Beat && k <= Play }

// Frame is one message.
type Frame struct {
	Kind   Kind
	Number byte // counts up with every frame of a sender
	Body   []byte
}

// Encode appends the frame as it goes over the wire, with the zero that ends
// it. It panics for a body longer than Most.
func Encode(dst []byte, f Frame, key uint16) []byte {
	if len(f.Body) > Most {
		panic(fmt.Sprintf("line: body of %d bytes, at most %d", len(f.Body), Most))
	}
	p := make([]byte, 0, Most+6)
	p = append(p, byte(f.Kind), f.Number)
	p = append(p, f.Body...)
	if f.Kind.moves() {
		p = binary.LittleEndian.AppendUint16(p, Keyed(key, p))
	}
	p = binary.LittleEndian.AppendUint16(p, Check(p))
	return append(Stuff(dst, p), 0)
}

// The errors of Decode, beside ErrStuffing.
var (
	ErrShort = errors.New("line: frame too short")
	ErrLong  = errors.New("line: frame too long")
	ErrCheck = errors.New("line: check sum does not fit")
	ErrKey   = errors.New("line: frame of another session")
)

// Decode reads the bytes between two zeros. The body is a part of what buf
// grows to, which is given back for the next call.
func Decode(buf, src []byte, key uint16) (f Frame, grown []byte, err error) {
	if len(src) > Most+8 {
		return f, buf, ErrLong
	}
	p, err := Unstuff(buf[:0], src)
	if err != nil {
		return f, p, err
	}
	if len(p) < 4 {
		return f, p, ErrShort
	}
	n := len(p) - 2
	if binary.LittleEndian.Uint16(p[n:]) != Check(p[:n]) {
		return f, p, ErrCheck
	}
	f = Frame{Kind: Kind(p[0]), Number: p[1]}
	if f.Kind.moves() {
		if n -= 2; n < 2 {
			return Frame{}, p, ErrShort
		}
		if binary.LittleEndian.Uint16(p[n:]) != Keyed(key, p[:n]) {
			return Frame{}, p, ErrKey
		}
	}
	if n-2 > Most {
		return Frame{}, p, ErrLong
	}
	f.Body = p[2:n]
	return f, p, nil
}

// Splitter finds frames in a stream of bytes. The zero value is ready.
type Splitter struct {
	buf  []byte
	long bool
	Bad  int // stretches between zeros that were too long to be a frame
}

// Take adds bytes and gives the next stretch between two zeros, and what is
// left of the bytes; ok is false when the rest of them hold no end. A stretch
// is valid until the next call.
func (s *Splitter) Take(p []byte) (stretch, rest []byte, ok bool) {
	if s.buf == nil {
		s.buf = make([]byte, 0, Most+8)
	}
	for i, b := range p {
		if b != 0 {
			if len(s.buf) == cap(s.buf) {
				s.long = true
				continue
			}
			s.buf = append(s.buf, b)
			continue
		}
		got, long := s.buf, s.long
		s.buf, s.long = s.buf[:0], false
		if long {
			s.Bad++
			continue
		}
		if len(got) > 0 {
			return got, p[i+1:], true
		}
	}
	return nil, nil, false
}
