// SPDX-License-Identifier: MIT

package app

import (
	"math"
	"runtime"
	"slices"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/pointer"

	"gaitwright/app/drive"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// One frame of the window laid out, with nothing happening.
func BenchmarkFrameIdle(b *testing.B) {
	r := atHit(b)
	measured(b, r.Frame)
}

// One frame while the demo plays, at 60 frames/s.
func BenchmarkFramePlaying(b *testing.B) {
	r := open(b, assets.Demo)
	r.TogglePlay()
	measured(b, func() {
		r.Now = r.Now.Add(time.Second / 60)
		r.Frame()
	})
}

// One frame while a control point of the strike is dragged: from the pointer's
// event to the finished frame (layout and operations), with the whole motion
// played, loads worked out and reviewed. Wanted: a median under 8 ms.
func BenchmarkFrameDragging(b *testing.B) {
	r := atHit(b)
	p := r.point("end point", hit, "from the side")
	r.press(p)
	n := 0
	dragged(b, r, func() {
		n++
		r.move(p.Add(f32.Pt(float32(n%7), -float32(n%11))))
	})
}

// The same with the eight moves a frame that a fast mouse sends.
func BenchmarkFrameDraggingFastMouse(b *testing.B) {
	r := atHit(b)
	p := r.point("end point", hit, "from the side")
	r.press(p)
	n := 0
	dragged(b, r, func() {
		for range 7 {
			n++
			r.clock += time.Millisecond
			r.Queue(pointer.Event{
				Kind: pointer.Move, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary,
				Position: p.Add(f32.Pt(float32(n%7), -float32(n%11))), Time: r.clock,
			})
		}
		n++
		r.move(p.Add(f32.Pt(float32(n%7), -float32(n%11))))
	})
}

// One frame while the tibias' length is dragged, which changes every instant
// of the motion.
func BenchmarkFrameDraggingTibia(b *testing.B) {
	r := atHit(b)
	n := 0
	dragged(b, r, func() {
		n++
		err := r.doc.Drag("tibia length", func(f *workfile.File) {
			v := *f.Legs[0].TibiaLength + float64(n%11)/10
			f.Legs[0].TibiaLength = &v
		})
		if err != nil {
			b.Fatal(err)
		}
		r.Frame()
	})
}

// dragged measures frames each of which rehearses.
func dragged(b *testing.B, r *rig, frame func()) {
	serial, n := r.doc.Serial(), 0
	measured(b, func() {
		frame()
		n++
	})
	if got := r.doc.Serial() - serial; got < n*9/10 {
		b.Fatalf("%d frames made %d rehearsals", n, got)
	}
}

// measured measures frames: median and 99th percentile by the clock, the
// processor time of one, and how long a fixed piece of work takes beside them
// at the same time, since other work on the machine slows both down.
func measured(b *testing.B, frame func()) {
	for range 20 {
		frame() // what is made once
	}
	var frames, fixed []float64 // ms
	took := func(f func()) float64 {
		from := time.Now()
		f()
		return time.Since(from).Seconds() * 1000
	}
	b.ReportAllocs()
	var busy, other time.Duration
	for b.Loop() {
		before, _ := cpuTime()
		frames = append(frames, took(frame))
		between, _ := cpuTime()
		fixed = append(fixed, took(reference))
		after, _ := cpuTime()
		busy, other = busy+between-before, other+after-between
	}
	slices.Sort(frames)
	slices.Sort(fixed)
	at := func(all []float64, share float64) float64 { return all[int(share*float64(len(all)-1))] }
	b.ReportMetric(at(frames, 0.5), "median-ms")
	b.ReportMetric(at(frames, 0.99), "p99-ms")
	b.ReportMetric(at(fixed, 0.5), "reference-ms")
	if _, ok := cpuTime(); ok {
		n := float64(len(frames))
		b.ReportMetric(busy.Seconds()*1000/n, "cpu-ms")
		b.ReportMetric(busy.Seconds()/other.Seconds(), "cpu/reference")
	}
}

// reference is a piece of work that never changes: 100,000 sines, about a
// millisecond on a quiet machine.
func reference() {
	sum := 0.0
	for i := range 100_000 {
		sum += math.Sin(float64(i))
	}
	if sum > 1e5 {
		panic("app: a sine is greater than 1")
	}
}

// From nothing to the first frame of the demo. Wanted: under a second.
func BenchmarkFirstFrame(b *testing.B) {
	for b.Loop() {
		w, err := New(Config{Name: "demo", Text: assets.Demo})
		if err != nil {
			b.Fatal(err)
		}
		d := drive.For(b, drive.NewScaled(normal, 1, w.Layout))
		d.Frame()
	}
}

// Editing for long: drags, changes, undone and done again. What is held per
// edit in the end, beyond what was held before.
func BenchmarkMemoryOfEditing(b *testing.B) {
	r := atHit(b)
	e := editing{r: r}
	e.some(b, 50)
	from := held()
	n := 0
	for b.Loop() {
		e.some(b, 10)
		n += 10
	}
	b.ReportMetric(float64(held()-from)/float64(n), "held-B/edit")
	b.ReportMetric(float64(n), "edits")
}

// However long somebody edits, nothing grows but the undo, by half a kilobyte
// an edit, and the caches of texts drawn, which are bounded: ten moves each,
// three frames an edit. A rehearsal in full that were kept would be 12 MB. Looked at again and again, since what is held by a
// chain may be let go all at once.
func TestMemoryOfEditingIsFlat(t *testing.T) {
	r := atHit(t)
	e := editing{r: r}
	e.some(t, 3)
	from := held()
	for range 4 {
		e.some(t, 6)
		grown := held() - from
		t.Logf("after %d edits %d kB more are held", e.n, grown>>10)
		if grown > 8<<20 {
			t.Fatalf("after %d edits %d kB more are held", e.n, grown>>10)
		}
	}
}

// editing edits like a hand.
type editing struct {
	r *rig
	n int
}

// some makes so many edits: each a drag of some moves, now and then undone, or
// a change at once.
func (e *editing) some(t testing.TB, edits int) {
	t.Helper()
	for range edits {
		e.n++
		raise := func(by float64) func(f *workfile.File) {
			return func(f *workfile.File) { f.Moves[0].Feet[0].Spans[1].End[2] += by }
		}
		for i := range 10 {
			if err := e.r.doc.Drag("point", raise(float64((e.n+i)%7)/10)); err != nil {
				t.Fatal(err)
			}
			if i%5 == 0 {
				e.r.Frame()
			}
		}
		e.r.doc.Drop()
		switch e.n % 4 {
		case 1:
			e.r.doc.Undo()
		case 2:
			e.r.doc.Undo()
			e.r.doc.Redo()
		}
		if e.r.span(1).End[2] > 200 { // not ever higher
			if err := e.r.doc.Change("down", func(f *workfile.File) { f.Moves[0].Feet[0].Spans[1].End[2] -= 100 }); err != nil {
				t.Fatal(err)
			}
		}
		e.r.Frame()
	}
}

// held gives the memory that is in use, after what is not has been let go, B.
func held() int64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC()
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}
