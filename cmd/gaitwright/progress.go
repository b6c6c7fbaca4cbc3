// SPDX-License-Identifier: MIT

package main

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// progress keeps one line on the terminal up to date. Where nobody watches it
// writes nothing.
type progress struct {
	w     io.Writer // nil: nobody watches
	now   func() time.Time
	next  time.Time // when to write again
	text  string    // of the stage
	width int       // of what stands on the line
}

// every is how often the line changes.
const every = 100 * time.Millisecond

func (e *env) progress() *progress {
	p := &progress{now: e.now}
	if e.terminal {
		p.w = e.stderr
	}
	return p
}

// stage says what is done now.
func (p *progress) stage(text string) {
	p.text = text
	p.write(text + " ...")
}

// part says how much of the stage is done.
func (p *progress) part(done, total int) {
	if p.w == nil || total <= 0 || p.now().Before(p.next) {
		return
	}
	p.write(fmt.Sprintf("%s: %d %%", p.text, 100*done/total))
}

// done wipes the line.
func (p *progress) done() {
	if p.w != nil && p.width > 0 {
		fmt.Fprintf(p.w, "\r%s\r", strings.Repeat(" ", p.width))
		p.width = 0
	}
}

func (p *progress) write(line string) {
	if p.w == nil {
		return
	}
	n := len([]rune(line))
	fmt.Fprintf(p.w, "\r%s%s", line, strings.Repeat(" ", max(0, p.width-n)))
	p.width = max(n, p.width)
	p.next = p.now().Add(every)
}
