// SPDX-License-Identifier: MIT

package merge

import (
	"fmt"
	"slices"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// demo reads the built-in demo.
func demo(t testing.TB) *workfile.File {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// edits are what people do to a file. n chooses among values and places; some
// give a file that does not pass its check.
func edits() []func(f *workfile.File, n int) {
	num := func(n int) *float64 { v := float64(n); return &v }
	return []func(f *workfile.File, n int){
		func(f *workfile.File, n int) { f.Robot.Name = fmt.Sprint("robot ", n) },
		func(f *workfile.File, n int) { f.Robot.StandHeight = float64(80 + n) },
		func(f *workfile.File, n int) { f.Robot.BodyCentre[n%3] = float64(n) },
		func(f *workfile.File, n int) { f.Robot.Payload = num(n + 1) },
		func(f *workfile.File, n int) { f.Limits.Margin = num(n) },
		func(f *workfile.File, n int) { f.Limits.Margin = nil },
		func(f *workfile.File, n int) {
			for k, s := range f.Servos {
				s.Mass = float64(20 + n)
				f.Servos[k] = s
				break
			}
		},
		func(f *workfile.File, n int) {
			for _, s := range f.Servos {
				f.Servos[fmt.Sprint("spare", n)] = s
				break
			}
		},
		func(f *workfile.File, n int) { delete(f.Servos, fmt.Sprint("spare", n)) },
		func(f *workfile.File, n int) { f.Legs[n%2].FemurLength = num(60 + n) },
		func(f *workfile.File, n int) { f.Legs[0].Tibia.Trim = num(n) },
		func(f *workfile.File, n int) { f.Gaits[0].Phase["LF"] = float64(n%10) / 10 },
		func(f *workfile.File, n int) { f.Gaits[0].Period = float64(500 + n) },
		func(f *workfile.File, n int) {
			g := workfile.File{Gaits: f.Gaits[:1]}
			c := g.Clone().Gaits[0]
			c.Name = fmt.Sprint("gait", n)
			f.Gaits = append(f.Gaits, c)
		},
		func(f *workfile.File, n int) { f.Gaits = slices.Delete(f.Gaits, len(f.Gaits)-1, len(f.Gaits)) },
		func(f *workfile.File, n int) {
			f.Sequence = slices.Insert(f.Sequence, n%(len(f.Sequence)+1), workfile.Entry{Kind: "wait", Duration: num(100 + n)})
		},
		func(f *workfile.File, n int) {
			f.Sequence = slices.Insert(f.Sequence, n%(len(f.Sequence)+1), workfile.Entry{Name: fmt.Sprint("rest", n), Kind: "wait", Duration: num(100)})
		},
		func(f *workfile.File, n int) {
			if k := len(f.Sequence); k > 1 {
				f.Sequence = slices.Delete(f.Sequence, n%k, n%k+1)
			}
		},
		func(f *workfile.File, n int) {
			if k := len(f.Sequence); k > 1 {
				f.Sequence[n%k], f.Sequence[(n+1)%k] = f.Sequence[(n+1)%k], f.Sequence[n%k]
			}
		},
		func(f *workfile.File, n int) {
			m := &f.Moves[0]
			m.Marks[n%len(m.Marks)].At += float64(n)
		},
		func(f *workfile.File, n int) { // a mark and the span that ends on it
			m := &f.Moves[0]
			if len(m.Marks) < 3 {
				return
			}
			i := n % (len(m.Marks) - 1)
			name := m.Marks[i].Name
			m.Marks = slices.Delete(m.Marks, i, i+1)
			m.Body = slices.DeleteFunc(m.Body, func(s workfile.BodySpan) bool { return s.To == name })
			for j := range m.Feet {
				m.Feet[j].Spans = slices.DeleteFunc(m.Feet[j].Spans, func(s workfile.FootSpan) bool { return s.To == name })
			}
		},
		func(f *workfile.File, n int) { // a mark and a span for it
			m := &f.Moves[0]
			k := workfile.Mark{Name: fmt.Sprint("mark", n), At: m.Marks[0].At / 2}
			m.Marks = slices.Insert(m.Marks, 0, k)
			m.Feet[0].Spans = slices.Insert(m.Feet[0].Spans, 0, workfile.FootSpan{To: k.Name, Hold: "planted"})
		},
		func(f *workfile.File, n int) {
			s := f.Moves[0].Feet[0].Spans
			if e := s[n%len(s)].End; e != nil {
				e[2] += float64(n)
			}
		},
		func(f *workfile.File, n int) {
			s := f.Moves[0].Feet[0].Spans
			s[n%len(s)].Timing = "linear"
		},
	}
}

// edited gives f with the edits that a string of bytes names, two bytes each;
// false when it does not pass its check.
func edited(f *workfile.File, how []byte) (*workfile.File, bool) {
	all := edits()
	g := f.Clone()
	for ; len(how) > 1; how = how[2:] {
		all[int(how[0])%len(all)](g, int(how[1]))
	}
	return g, g.Check() == nil
}
