// SPDX-License-Identifier: MIT

package line

// Check is the CRC that ends every frame: CRC-16/IBM-3740 of the catalogue of
// parametrised CRC algorithms (polynomial 0x1021, begun with 0xFFFF, bits as
// they are); 0x29B1 for "123456789".
func Check(p []byte) uint16 {
	c := uint16(0xFFFF)
	for _, b := range p {
		c ^= uint16(b) << 8
		for range 8 {
			if c&0x8000 != 0 {
				c = c<<1 ^ 0x1021
			} else {
				c <<= 1
			}
		}
	}
	return c
}

// Keyed is the second CRC of frames that may move a joint: CRC-16/ARC of the
// same catalogue (polynomial 0x8005, bits reversed; 0xBB3D for "123456789"
// with key 0), begun with the key of the session.
func Keyed(key uint16, p []byte) uint16 {
	c := key
	for _, b := range p {
		c ^= uint16(b)
		for range 8 {
			if c&1 != 0 {
				c = c>>1 ^ 0xA001
			} else {
				c >>= 1
			}
		}
	}
	return c
}
