// SPDX-License-Identifier: MIT

package line

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"testing"
)

// TestStuff holds the examples of Cheshire and Baker (1999, section III and
// table I; those of 254 and more bytes as the paper's rule gives them).
func TestStuff(t *testing.T) {
	run := func(from, to int) (b []byte) {
		for v := from; v <= to; v++ {
			b = append(b, byte(v))
		}
		return b
	}
	for _, c := range []struct{ plain, stuffed []byte }{
		{nil, []byte{1}},
		{[]byte{0}, []byte{1, 1}},
		{[]byte{0, 0}, []byte{1, 1, 1}},
		{[]byte{0, 0x11, 0}, []byte{1, 2, 0x11, 1}},
		{[]byte{0x11, 0x22, 0, 0x33}, []byte{3, 0x11, 0x22, 2, 0x33}},
		{[]byte{0x11, 0x22, 0x33, 0x44}, []byte{5, 0x11, 0x22, 0x33, 0x44}},
		{[]byte{0x11, 0, 0, 0}, []byte{2, 0x11, 1, 1, 1}},
		// The paper's figure: the start of an IP packet.
		{[]byte{0x45, 0, 0, 0x2C, 0x4C, 0x79, 0, 0, 0x40, 0x06, 0x4F, 0x37},
			[]byte{2, 0x45, 1, 4, 0x2C, 0x4C, 0x79, 1, 5, 0x40, 0x06, 0x4F, 0x37}},
		{run(1, 254), append([]byte{0xFF}, run(1, 254)...)},
		{append([]byte{0}, run(1, 254)...), append([]byte{1, 0xFF}, run(1, 254)...)},
		{run(1, 255), append(append([]byte{0xFF}, run(1, 254)...), 2, 0xFF)},
		{append(run(2, 255), 0), append(append([]byte{0xFF}, run(2, 255)...), 1, 1)},
		{append(run(3, 255), 0, 1), append(append([]byte{0xFE}, run(3, 255)...), 2, 1)},
	} {
		if got := Stuff(nil, c.plain); !bytes.Equal(got, c.stuffed) {
			t.Errorf("Stuff(% x) = % x, want % x", c.plain, got, c.stuffed)
		}
		if got, err := Unstuff(nil, c.stuffed); err != nil || !bytes.Equal(got, c.plain) {
			t.Errorf("Unstuff(% x) = % x, %v, want % x", c.stuffed, got, err, c.plain)
		}
	}
	for _, bad := range [][]byte{{0}, {2}, {3, 1}, {2, 0}, {1, 1, 5, 1}} {
		if got, err := Unstuff(nil, bad); !errors.Is(err, ErrStuffing) {
			t.Errorf("Unstuff(% x) = % x, %v", bad, got, err)
		}
	}
}

// TestChecks holds the check values of the catalogue of parametrised CRC
// algorithms (reveng.sourceforge.io; from memory).
func TestChecks(t *testing.T) {
	text := []byte("123456789")
	if got := Check(text); got != 0x29B1 {
		t.Errorf("CRC-16/IBM-3740: %#x, want 0x29B1", got)
	}
	if got := Keyed(0, text); got != 0xBB3D {
		t.Errorf("CRC-16/ARC: %#x, want 0xBB3D", got)
	}
}

// TestThere sends frames of every length through a stream that is cut anywhere.
func TestThere(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	var wire []byte
	var sent []Frame
	for n := range Most + 1 {
		f := Frame{Kind: []Kind{Hello, Pose, Status, Beat}[n%4], Number: byte(n), Body: make([]byte, n)}
		for i := range f.Body {
			f.Body[i] = byte(rnd.IntN(3)) // many zeros
		}
		sent = append(sent, f)
		wire = Encode(wire, f, 0xABCD)
	}
	var s Splitter
	var buf []byte
	n := 0
	for len(wire) > 0 {
		k := min(1+rnd.IntN(40), len(wire))
		part := wire[:k]
		wire = wire[k:]
		for {
			stretch, rest, ok := s.Take(part)
			if !ok {
				break
			}
			part = rest
			f, b, err := Decode(buf, stretch, 0xABCD)
			buf = b
			if err != nil || f.Kind != sent[n].Kind || f.Number != sent[n].Number || !bytes.Equal(f.Body, sent[n].Body) {
				t.Fatalf("frame %d: %v, %v", n, f, err)
			}
			n++
		}
	}
	if n != len(sent) {
		t.Errorf("%d of %d frames came", n, len(sent))
	}
	other := Encode(nil, Frame{Kind: Pose, Body: []byte{1, 2}}, 1)
	if _, _, err := Decode(nil, other[:len(other)-1], 2); !errors.Is(err, ErrKey) {
		t.Errorf("a frame of another session: %v", err)
	}
}

// TestGarbage feeds bytes at random: nothing that moves a joint comes out of
// them, and the stream goes on afterwards.
func TestGarbage(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	var s Splitter
	junk := make([]byte, 1<<16)
	for range 50 {
		for i := range junk {
			junk[i] = byte(rnd.Uint32())
		}
		part := junk
		for {
			stretch, rest, ok := s.Take(part)
			if !ok {
				break
			}
			part = rest
			if f, _, err := Decode(nil, stretch, 7); err == nil && f.Kind.moves() {
				t.Fatalf("garbage became %v", f)
			}
		}
	}
	stretch, _, ok := s.Take(append([]byte{0}, Encode(nil, Frame{Kind: Beat, Number: 5}, 7)...))
	for !ok || len(stretch) != 7 { // the rest of the garbage came first
		if stretch, _, ok = s.Take(Encode(nil, Frame{Kind: Beat, Number: 5}, 7)); !ok {
			t.Fatal("no frame after garbage")
		}
	}
	if f, _, err := Decode(nil, stretch, 7); err != nil || f.Kind != Beat || f.Number != 5 {
		t.Errorf("%v, %v", f, err)
	}
}
