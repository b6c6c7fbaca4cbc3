// SPDX-License-Identifier: MIT

package document

import (
	"fmt"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// edits are small edits of every kind that a file can have; n chooses among
// values. They need not give a file that can be played.
func edits() []func(f *workfile.File, n int) {
	num := func(n int) *float64 { v := float64(n); return &v }
	return []func(f *workfile.File, n int){
		func(f *workfile.File, n int) { f.Robot.Name = fmt.Sprint("robot ", n) },
		func(f *workfile.File, n int) { f.Robot.StandHeight = float64(n) },
		func(f *workfile.File, n int) { f.Robot.BodyCentre[n%3] = float64(n) },
		func(f *workfile.File, n int) { f.Robot.Payload = num(n) },
		func(f *workfile.File, n int) { f.Robot.Payload = nil },
		func(f *workfile.File, n int) { f.Robot.Outline = append(f.Robot.Outline, [2]float64{float64(n), 1}) },
		func(f *workfile.File, n int) { f.Limits.Margin = num(n) },
		func(f *workfile.File, n int) { f.Servos[fmt.Sprint("s", n)] = workfile.Servo{Mass: float64(n)} },
		func(f *workfile.File, n int) { delete(f.Servos, fmt.Sprint("s", n)) },
		func(f *workfile.File, n int) {
			if len(f.Legs) > 0 {
				f.Legs[n%len(f.Legs)].Coxa.Range = &[2]float64{float64(-n), float64(n)}
			}
		},
		func(f *workfile.File, n int) {
			if len(f.Gaits) > 0 {
				f.Gaits[n%len(f.Gaits)].Phase[fmt.Sprint("L", n)] = 0.5
			}
		},
		func(f *workfile.File, n int) { f.Sequence = nil },
		func(f *workfile.File, n int) {
			f.Sequence = append(f.Sequence, workfile.Entry{Name: fmt.Sprint("e", n), Kind: "wait", Duration: num(n)})
		},
		func(f *workfile.File, n int) {
			if k := len(f.Sequence); k > 1 {
				i, j := n%k, (n+1)%k
				f.Sequence[i], f.Sequence[j] = f.Sequence[j], f.Sequence[i]
			}
		},
		func(f *workfile.File, n int) {
			if k := len(f.Sequence); k > 0 {
				f.Sequence = append(f.Sequence[:n%k], f.Sequence[n%k+1:]...)
			}
		},
		func(f *workfile.File, n int) { f.Moves = append(f.Moves, workfile.Move{Name: fmt.Sprint("m", n)}) },
		func(f *workfile.File, n int) {
			if k := len(f.Moves); k > 0 {
				m := &f.Moves[n%k]
				m.Marks = append([]workfile.Mark{{Name: fmt.Sprint("k", n), At: float64(n)}}, m.Marks...)
				if len(m.Feet) > 0 && len(m.Feet[0].Spans) > 0 {
					m.Feet[0].Spans[0].End = &[3]float64{1, 2, float64(n)}
				}
			}
		},
	}
}

// A delta turns the one file into the other and back, whatever was done.
func TestDeltaThereAndBack(t *testing.T) {
	all := edits()
	base, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		a := base.Clone()
		alter := func(f *workfile.File, what string) {
			for range rapid.IntRange(0, 6).Draw(rt, what) {
				all[rapid.IntRange(0, len(all)-1).Draw(rt, "edit")](f, rapid.IntRange(0, 5).Draw(rt, "n"))
			}
		}
		alter(a, "before")
		b := a.Clone()
		alter(b, "edits")
		a0, b0 := a.Clone(), b.Clone()
		d := between(a, b)
		if got := d.apply(a, false); !got.Equal(b0) {
			rt.Fatalf("there: %+v\n%+v", got, b0)
		}
		got := d.apply(b, true)
		if !got.Equal(a0) {
			rt.Fatalf("back: %+v\n%+v", got, a0)
		}
		// What comes out shares nothing with what is kept.
		alter(got, "later")
		if !a.Equal(a0) || !b.Equal(b0) || !d.apply(b, true).Equal(a0) {
			rt.Fatalf("a later edit reached what is kept")
		}
		if a.Equal(b) && len(d) > 0 {
			for _, c := range d { // an empty list in place of none may be noted
				if c.before.Len() != 0 || c.after.Len() != 0 {
					rt.Fatalf("equal files differ by %+v", d)
				}
			}
		}
	})
}

// many is how many edits a long evening has.
const many = 10_000

// long gives a document with many steps of the edits that a hand makes, without
// playing it: what Change keeps.
func long(tb testing.TB) *Document {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		tb.Fatal(err)
	}
	for i := range 50 { // a long sequence, of which no step may keep a copy
		d := float64(100 + i)
		f.Sequence = append(f.Sequence, workfile.Entry{Name: fmt.Sprint("rest ", i), Kind: "wait", Duration: &d})
	}
	d := &Document{file: f, saved: f}
	for i := range many {
		next := d.file.Clone()
		switch m := &next.Moves[0]; i % 6 {
		case 0:
			m.Feet[0].Spans[1].End[2] += 0.1
		case 1:
			m.Marks[len(m.Marks)-1].At += 1
		case 2:
			m.Feet[0].Spans[1].Timing = fmt.Sprintf("cubic-bezier(0.4, 0, %.3f, 1)", float64(i%1000)/1000)
		case 3:
			v := float64(i)
			next.Legs[i%2].Coxa.Trim = &v
		case 4:
			next.Gaits[0].Phase["LF"] = float64(i%100) / 100
		case 5:
			k := len(next.Sequence) / 2
			if i/6%2 == 0 {
				next.Sequence = slices.Insert(next.Sequence, k, workfile.Entry{Name: fmt.Sprint("n", i), Kind: "recover"})
			} else {
				next.Sequence = slices.Delete(next.Sequence, k, k+1)
			}
		}
		d.push("edit", d.file, next)
		d.file = next
	}
	return d
}

// Undo of ten thousand edits keeps what they changed and no more.
func TestUndoIsSmall(t *testing.T) {
	heap := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := heap()
	d := long(t)
	after := heap()
	per := float64(after-before) / many
	t.Logf("%.0f bytes a step", per)
	// 350 were measured; one whole file has 28,000.
	if len(d.undo) != many || per > 1000 {
		t.Errorf("%d steps keep %.0f bytes each", len(d.undo), per)
	}
	last := d.file
	for len(d.undo) > 0 {
		s := d.undo[len(d.undo)-1]
		d.undo, d.redo = d.undo[:len(d.undo)-1], append(d.redo, s)
		d.file = s.delta.apply(d.file, true)
	}
	if !d.file.Equal(d.saved) {
		t.Error("undone to the start, it is another file")
	}
	for len(d.redo) > 0 {
		s := d.redo[len(d.redo)-1]
		d.redo = d.redo[:len(d.redo)-1]
		d.file = s.delta.apply(d.file, false)
	}
	if !d.file.Equal(last) {
		t.Error("done again, it is another file")
	}
}

// Noting a step and taking it back, without the rehearsal that follows, after
// ten thousand steps in a file larger than the demo.
func BenchmarkUndo(b *testing.B) {
	d := long(b)
	s := d.undo[len(d.undo)-1].delta
	b.ReportAllocs()
	for b.Loop() {
		d.file = s.apply(s.apply(d.file, true), false)
	}
}

// The same with the rehearsal, on the demo.
func BenchmarkUndoDemo(b *testing.B) {
	d := open(b, assets.Demo)
	if err := d.Change("raise", func(f *workfile.File) { raised(f)[2]++ }); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		d.Undo()
		d.Redo()
	}
}
