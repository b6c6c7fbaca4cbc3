// SPDX-License-Identifier: MIT

package workfile

import (
	"bytes"

	"gaitwright/assets"
)

// Starter gives the text of a commented workfile to start from: a six-legged
// robot that stands, walks and waves.
func Starter() []byte { return bytes.Clone(assets.New) }
