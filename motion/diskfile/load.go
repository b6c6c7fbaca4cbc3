// SPDX-License-Identifier: MIT

package diskfile

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"
)

// patience is how long a pipe may take to find its writer.
const patience = time.Second

// Load reads the file at path, but no more than limit bytes of it and one, so
// that a device does not fill the memory and the caller sees that there is
// too much. A named pipe that nothing writes to is refused after a second
// instead of waited for.
func Load(path string, limit int64) ([]byte, error) {
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, limit+1))
}

// open opens a file to read. Opening a pipe without a writer never returns.
func open(path string) (*os.File, error) {
	if info, err := os.Stat(path); err != nil || info.Mode()&fs.ModeNamedPipe == 0 {
		return os.Open(path)
	}
	type opened struct {
		f   *os.File
		err error
	}
	done := make(chan opened, 1)
	go func() {
		f, err := os.Open(path)
		done <- opened{f, err}
	}()
	select {
	case o := <-done:
		return o.f, o.err
	case <-time.After(patience):
		return nil, fmt.Errorf("%s is a pipe that nothing writes to: give the path of a workfile", path)
	}
}
