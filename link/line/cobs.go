// SPDX-License-Identifier: MIT

package line

import "errors"

// ErrStuffing is a frame that no encoder makes.
var ErrStuffing = errors.New("line: damaged byte stuffing")

// Stuff appends the bytes of src to dst in an encoding without zero bytes, one
// byte longer for each 254 begun (Cheshire and Baker, Consistent Overhead Byte
// Stuffing, IEEE/ACM Transactions on Networking 7, 1999). The zero that ends a
// frame is not added.
func Stuff(dst, src []byte) []byte {
	code := len(dst) // where the length of the run under way goes
	dst = append(dst, 1)
	for i, b := range src {
		if b == 0 {
			code = len(dst)
			dst = append(dst, 1)
			continue
		}
		dst = append(dst, b)
		if dst[code]++; dst[code] == 0xFF && i < len(src)-1 {
			code = len(dst)
			dst = append(dst, 1)
		}
	}
	return dst
}

// Unstuff appends what Stuff was given. src has no zero bytes in it.
func Unstuff(dst, src []byte) ([]byte, error) {
	for i := 0; i < len(src); {
		n := int(src[i])
		if n == 0 || i+n > len(src) {
			return dst, ErrStuffing
		}
		for _, b := range src[i+1 : i+n] {
			if b == 0 {
				return dst, ErrStuffing
			}
			dst = append(dst, b)
		}
		i += n
		if n < 0xFF && i < len(src) {
			dst = append(dst, 0)
		}
	}
	return dst, nil
}
