// SPDX-License-Identifier: MIT

package alike_test

import (
	"math"
	"testing"

	"gaitwright/motion/alike"
)

type inner struct {
	x [2]float64
	n int
}

type outer struct {
	name string
	all  []inner
	one  *inner
	on   bool
	m    map[string]int
}

func some() *outer {
	return &outer{name: "a", all: []inner{{x: [2]float64{1, 0}}, {n: 3}}, one: &inner{n: 4}, on: true}
}

// Every bit of every number counts, behind pointers and in lists too.
func TestBits(t *testing.T) {
	if !alike.Bits(some(), some()) {
		t.Error("what is the same is told to differ")
	}
	for name, edit := range map[string]func(*outer){
		"a text":            func(o *outer) { o.name = "b" },
		"a last digit":      func(o *outer) { o.all[0].x[0] = math.Nextafter(1, 2) },
		"the sign of 0":     func(o *outer) { o.all[0].x[1] = math.Copysign(0, -1) },
		"a length":          func(o *outer) { o.all = o.all[:1] },
		"a number":          func(o *outer) { o.all[1].n++ },
		"behind a pointer":  func(o *outer) { o.one.n++ },
		"no pointer":        func(o *outer) { o.one = nil },
		"a truth":           func(o *outer) { o.on = false },
		"what is not known": func(o *outer) { o.m = map[string]int{} },
	} {
		o := some()
		edit(o)
		if alike.Bits(some(), o) || alike.Bits(o, some()) {
			t.Errorf("%s is not told", name)
		}
	}
	nan := math.NaN()
	if a, b := nan, nan; !alike.Bits(&a, &b) {
		t.Error("the same NaN differs")
	}
	if alike.Bits(nil, some()) || !alike.Bits[outer](nil, nil) {
		t.Error("nothing at all is not told apart")
	}
}

func TestLists(t *testing.T) {
	a, b := []inner{{n: 1}, {n: 2}}, []inner{{n: 1}, {n: 2}}
	if !alike.Lists(a, b) || !alike.Lists[inner](nil, []inner{}) {
		t.Error("the same lists differ")
	}
	if b[1].x[0] = 1e-300; alike.Lists(a, b) || alike.Lists(a, a[:1]) {
		t.Error("other lists are told to be the same")
	}
}
