// SPDX-License-Identifier: MIT

package drive

import (
	"gioui.org/f32"
	"gioui.org/io/input"
)

// TB is the part of testing.TB that a Tester needs.
type TB interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
	Logf(format string, args ...any)
}

// Tester is a driver whose failures end a test.
type Tester struct {
	*Driver
	T TB
}

// For wraps d for a test.
func For(t TB, d *Driver) *Tester { return &Tester{Driver: d, T: t} }

// Settle is Driver.Settle.
func (t *Tester) Settle() {
	t.T.Helper()
	if err := t.Driver.Settle(); err != nil {
		t.T.Fatalf("%v", err)
	}
}

// Click is Driver.Click.
func (t *Tester) Click(label string) {
	t.T.Helper()
	if err := t.Driver.Click(label); err != nil {
		t.T.Fatalf("%v", err)
	}
}

// DoubleClick clicks the part with the label twice.
func (t *Tester) DoubleClick(label string) {
	t.T.Helper()
	t.DoubleClickAt(t.Centre(label))
}

// Centre is Driver.Centre.
func (t *Tester) Centre(label string) f32.Point {
	t.T.Helper()
	p, err := t.Driver.Centre(label)
	if err != nil {
		t.T.Fatalf("%v", err)
	}
	return p
}

// MustFind is Driver.Find for a label that must be there.
func (t *Tester) MustFind(text string) input.SemanticNode {
	t.T.Helper()
	n, ok := t.Find(text)
	if !ok {
		t.T.Fatalf("no part reads %q in\n%s", text, t.Dump())
	}
	return n
}

// MustMiss fails when a part with the label is there.
func (t *Tester) MustMiss(text string) {
	t.T.Helper()
	if n, ok := t.Find(text); ok {
		t.T.Fatalf("a part reads %q at %v", text, n.Desc.Bounds)
	}
}
