// SPDX-License-Identifier: MIT

package draw

import "strings"

// Degrees writes the angles of a sentence as on a drawing: "12.0 deg" becomes
// "12.0°", "300 deg/s" becomes "300°/s".
func Degrees(s string) string {
	const unit = " deg"
	var b strings.Builder
	for {
		i := strings.Index(s, unit)
		if i < 0 {
			b.WriteString(s)
			return b.String()
		}
		end := i + len(unit)
		number := i > 0 && s[i-1] >= '0' && s[i-1] <= '9'
		if word := end < len(s) && (s[end] >= 'a' && s[end] <= 'z' || s[end] == '_'); !number || word {
			b.WriteString(s[:end])
		} else {
			b.WriteString(s[:i] + "°")
		}
		s = s[end:]
	}
}
