// SPDX-License-Identifier: MIT

package chip

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/sequence"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

// Bounds of what is measured.
const (
	// A pulse may differ from the motion by the µs that the export was asked
	// to keep within, and half a tick of the timer by which it is rounded.
	within = 1 + 0.25 // µs
	// The waiting loop of the interrupt sees the timer every five cycles, at
	// the rise and at the fall.
	jitter = 5 / clock * 1e6 // µs
	period = 0.001           // share by which a frame's period may be off
)

// demo is the demo's motion, made into sheets as the program exports them.
type demo struct {
	built *workfile.Built
	set   *table.Set
}

func newDemo(t *testing.T) *demo {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	p, err := sequence.Plan(&b.Script)
	if err != nil {
		t.Fatal(err)
	}
	clips, err := table.Clips(b, p, table.Which{Moves: true, Walks: true})
	if err != nil {
		t.Fatal(err)
	}
	set, err := table.NewSet(b, clips, table.SheetOptions{WithinUs: 0.5, Interpolation: table.Cubic, Packed: true, Unit: table.Unit{Bits: 2}}, table.Options{Name: "demo"})
	if err != nil {
		t.Fatal(err)
	}
	return &demo{b, set}
}

func (d *demo) sheet(t *testing.T, name string) *table.Sheet {
	t.Helper()
	i := slices.IndexFunc(d.set.Sheets, func(s *table.Sheet) bool { return s.Name == name })
	if i < 0 {
		t.Fatalf("no table %s", name)
	}
	return d.set.Sheets[i]
}

// exact is what the pulses of a motion are, from its plan and the workfile's
// formula of a channel, without any table.
type exact struct {
	us       [][]float64 // a channel of the robot, at CheckRate, µs
	duration float64     // s
	loop     bool
}

func (d *demo) exact(t *testing.T, s *table.Sheet) *exact {
	t.Helper()
	tr, err := motion.NewSampler(&d.built.Robot).Sample(s.Clip.Plan.Cut(0, s.Duration), table.CheckRate, nil)
	if err != nil {
		t.Fatal(err)
	}
	e := &exact{us: make([][]float64, pins), duration: s.Duration, loop: s.Loop}
	for i := range tr.Legs * 3 {
		k := d.built.Channels[i/3][i%3]
		for n := range tr.N {
			q := tr.Q[n*tr.Legs*3+i]
			e.us[k.Number] = append(e.us[k.Number], k.Centre+k.PerRad*(k.Sign*(q+k.Offset)+k.Trim))
		}
	}
	return e
}

// at gives the pulse of a channel at an instant; past the end it stays there,
// or begins anew.
func (e *exact) at(pin int, s float64) float64 {
	if e.loop {
		s -= math.Floor(s/e.duration) * e.duration
	}
	x := max(0, min(s, e.duration)) * table.CheckRate
	k := min(int(x), len(e.us[pin])-1)
	n := min(k+1, len(e.us[pin])-1)
	return e.us[pin][k] + (x-float64(k))*(e.us[pin][n]-e.us[pin][k])
}

// regular tells of pulses that are missing, doubled, or out of time between two
// frames, and gives the greatest share by which a period is off.
func regular(p [pins][]pulse, first, last int) (worst float64, faults []string) {
	for pin := range p {
		if len(p[pin]) <= last {
			return worst, append(faults, fmt.Sprintf("pin %d has %d pulses, of %d", pin, len(p[pin]), last+1))
		}
		for k := first + 1; k <= last; k++ {
			off := math.Abs(float64(p[pin][k].from-p[pin][k-1].from)/frame - 1)
			worst = max(worst, off)
			if off > period {
				faults = append(faults, fmt.Sprintf("pin %d, frame %d comes %.3f frames after the one before", pin, k, float64(p[pin][k].from-p[pin][k-1].from)/frame))
			}
		}
	}
	return worst, faults
}

// equal holds the pulses from frame first to last against a motion, each at its
// own time: the motion's instant `begin` is when frame first has begun.
func equal(p [pins][]pulse, first, last int, e *exact, begin, allowed float64) (worst float64, faults []string) {
	for pin := range p {
		for k := first; k <= min(last, len(p[pin])-1); k++ {
			at := begin + float64(p[pin][k].from-p[pin][first].from)/clock
			want := e.at(pin, at)
			off := math.Abs(p[pin][k].us - want)
			worst = max(worst, off)
			if off > allowed {
				faults = append(faults, fmt.Sprintf("pin %d, frame %d: %.3f µs, the motion has %.3f at %.4f s", pin, k, p[pin][k].us, want, at))
			}
		}
	}
	return worst, faults
}

// fitted finds the instant of a motion from which on the pulses fit best: where
// the player's clock began between two frames.
func fitted(p [pins][]pulse, first, last int, e *exact, from, to float64) float64 {
	best := from
	for step := 1e-3; step >= 1e-5; step /= 10 {
		least := math.Inf(1)
		middle := best
		for s := from; s <= to; s += step {
			sum := 0.0
			for pin := range p {
				for k := first; k <= last; k += 3 {
					d := p[pin][k].us - e.at(pin, s+float64(p[pin][k].from-p[pin][first].from)/clock)
					sum += d * d
				}
			}
			if sum < least {
				least, middle = sum, s
			}
		}
		best = middle
		from, to = best-step, best+step
	}
	return best
}

// told prints at most some of the faults.
func told(t *testing.T, what string, faults []string) {
	t.Helper()
	for i, f := range faults {
		if i == 5 {
			t.Errorf("%s: and %d more", what, len(faults)-i)
			return
		}
		t.Errorf("%s: %s", what, f)
	}
}
