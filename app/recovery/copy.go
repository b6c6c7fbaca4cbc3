// SPDX-License-Identifier: MIT

package recovery

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Copy is unsaved work as it stands in a recovery file.
type Copy struct {
	Of   string    // absolute path of the workfile, "" for text that is no file yet
	Name string    // how it is called on screen
	Host string    // machine whose window wrote it
	At   time.Time // when
	Base string    // Hash of the workfile's text as last read or saved
	Text []byte    // the workfile with the changes
}

// Hash tells texts apart.
func Hash(text []byte) string {
	h := sha256.Sum256(text)
	return hex.EncodeToString(h[:])
}

// head is the first line of a recovery file of this version.
const head = "# Unsaved changes, kept by Gaitwright (recovery file 1). Open the workfile there to have them back."

// foot ends the lines above the text.
const foot = "#"

// Encode gives the recovery file. It is a workfile as well: what stands above
// the text is comments.
func (c *Copy) Encode() []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, head)
	for _, l := range [...][2]string{
		{"of", strconv.Quote(c.Of)}, {"name", strconv.Quote(c.Name)}, {"host", strconv.Quote(c.Host)},
		{"at", c.At.UTC().Format(time.RFC3339Nano)}, {"base", c.Base}, {"text", Hash(c.Text)},
	} {
		fmt.Fprintf(&b, "# %s = %s\n", l[0], l[1])
	}
	fmt.Fprintln(&b, foot)
	b.Write(c.Text)
	return b.Bytes()
}

// ErrDamaged is why a recovery file is of no use.
var ErrDamaged = errors.New("it is damaged")

// Parse reads a recovery file. A text that does not match the check sum in it
// is refused.
func Parse(src []byte) (*Copy, error) {
	line := func() (string, bool) {
		i := bytes.IndexByte(src, '\n')
		if i < 0 {
			return "", false
		}
		l := string(src[:i])
		src = src[i+1:]
		return l, true
	}
	if l, ok := line(); !ok || l != head {
		return nil, fmt.Errorf("%w: its first line is not that of a recovery file which this program reads", ErrDamaged)
	}
	c := new(Copy)
	sum := ""
	for {
		l, ok := line()
		if !ok {
			return nil, fmt.Errorf("%w: it ends before the text", ErrDamaged)
		}
		if l == foot {
			break
		}
		k, v, ok := strings.Cut(strings.TrimPrefix(l, "# "), " = ")
		var err error
		switch {
		case !ok:
			err = errors.New("a line above the text is none of a recovery file")
		case k == "of":
			c.Of, err = strconv.Unquote(v)
		case k == "name":
			c.Name, err = strconv.Unquote(v)
		case k == "host":
			c.Host, err = strconv.Unquote(v)
		case k == "at":
			c.At, err = time.Parse(time.RFC3339Nano, v)
		case k == "base":
			c.Base = v
		case k == "text":
			sum = v
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
		}
	}
	c.Text = bytes.Clone(src)
	if Hash(c.Text) != sum {
		return nil, fmt.Errorf("%w: its text does not match its check sum", ErrDamaged)
	}
	return c, nil
}
