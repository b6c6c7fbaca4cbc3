// SPDX-License-Identifier: MIT

package stride_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/stride"
)

// All ten thousand take a minute on two cores; -short or -schedules N takes fewer.
var schedules = flag.Int("schedules", 10000, "how many random schedules of requests TestAnySchedule tries; 300 with -short")

// able gives a command that a gait can walk on the tester: strokes of a few
// centimetres.
func able(rnd *rand.Rand, g *gait.Gait) motion.Twist {
	v := func(most float64) float64 { return (2*rnd.Float64() - 1) * most / g.Period }
	switch rnd.IntN(5) {
	case 0:
		return motion.Twist{}
	case 1:
		return motion.Twist{Turn: v(0.25)}
	case 2:
		return motion.Twist{Forward: v(0.04)}
	}
	return motion.Twist{Forward: v(0.025), Side: v(0.025), Turn: v(0.1)}
}

// schedule asks at random instants of ten seconds, up to once each 10 ms, and
// gives the last request with the gait in force before it.
func schedule(g *rig, rnd *rand.Rand, all []gait.Gait) (last stride.Request, at float64) {
	dense := rnd.Float64()
	dense *= dense * dense
	for k := range 1000 {
		if k > 0 && rnd.Float64() > dense {
			continue
		}
		q := stride.Request{Height: bodyHeight}
		gt := all[rnd.IntN(len(all))]
		if s := g.w.State(); s.Gait != nil && rnd.IntN(2) == 0 {
			gt = *s.Gait // another command only
		}
		if rnd.IntN(6) == 0 {
			for i := range all {
				if all[i].Name == gt.Name {
					gt.Period = all[i].Period * (0.8 + 0.5*rnd.Float64())
				}
			}
		}
		if rnd.IntN(8) != 0 {
			q.Gait, q.Command = &gt, able(rnd, &gt)
			q.Halt = rnd.IntN(12) == 0
		}
		if rnd.IntN(4) == 0 {
			q.Height += 0.01 * (2*rnd.Float64() - 1)
		}
		at = float64(k) * 0.01
		g.ask(at, q)
		last = q
	}
	return last, at
}

// worst is what is measured over schedules.
type worst struct{ step, kick, speed, drift float64 }

func (a *worst) add(b worst) {
	a.step, a.kick = max(a.step, b.step), max(a.kick, b.kick)
	a.speed, a.drift = max(a.speed, b.speed), max(a.drift, b.drift)
}

// measure samples a plan and looks at what must be continuous and bounded.
func (g *rig) measure(s *motion.Sampler, p *motion.Plan, reuse *motion.Trajectory) (worst, *motion.Trajectory) {
	g.t.Helper()
	tr, err := s.Sample(p, 100, reuse)
	if err != nil {
		g.t.Fatal(err)
	}
	var m worst
	// A kick is a difference over 20 µs, and none where another seam is nearer;
	// verify compares the exact speeds at every seam.
	near := map[float64]bool{}
	seams := p.Seams()
	for k := 1; k < len(seams); k++ {
		if seams[k]-seams[k-1] < 2.5e-5 {
			near[seams[k]], near[seams[k-1]] = true, true
		}
	}
	for k := range tr.Seams {
		for j := range kin.Joints {
			m.step = max(m.step, math.Abs(tr.Seams[k].Step[j]))
			if !near[tr.Seams[k].At] {
				m.kick = max(m.kick, math.Abs(tr.Seams[k].Kick[j]))
			}
		}
	}
	for k := range tr.N {
		// Asked for are 80 to 100 mm, of which a tenth may be shot over.
		if z := tr.Body[k*6+2]; z < 0.078 || z > 0.102 {
			g.t.Fatalf("body at %v m at %v s", z, tr.Time(k))
		}
	}
	for _, r := range tr.Reach {
		if !(r > 0) {
			g.t.Fatalf("a foot out of reach by %v m", -r)
		}
	}
	for _, v := range tr.V {
		if math.IsNaN(v) {
			g.t.Fatal("a speed that is no number")
		}
		m.speed = max(m.speed, math.Abs(v))
	}
	for k := 1; k < tr.N; k++ {
		for i := range tr.Legs {
			if tr.Planted[k*tr.Legs+i] && tr.Planted[(k-1)*tr.Legs+i] {
				m.drift = max(m.drift, far(tr.FootAt(k, i), tr.FootAt(k-1, i)))
			}
		}
	}
	return m, tr
}

// steadySpeed gives the greatest joint speed of the gaits walked steadily, at
// the fastest commands of able.
func steadySpeed(t *testing.T, pairs int, all []gait.Gait) float64 {
	r := legged(pairs)
	s := motion.NewSampler(r)
	most := 0.0
	for i := range all {
		gt := all[i]
		gt.Period *= 0.8
		for _, c := range []motion.Twist{{Forward: 0.04}, {Forward: -0.04}, {Turn: 0.25}, {Turn: -0.25}, {Forward: 0.025, Side: 0.025, Turn: 0.1}, {Forward: 0.025, Side: -0.025, Turn: -0.1}} {
			c = motion.Twist{Forward: c.Forward / gt.Period, Side: c.Side / gt.Period, Turn: c.Turn / gt.Period}
			g := newRig(t, pairs)
			g.ask(0, stride.Request{Gait: &gt, Command: c})
			g.run(3 * gt.Period)
			g.run(4 * gt.Period)
			m, _ := g.measure(s, g.w.Plan(), nil)
			most = max(most, m.speed)
		}
	}
	return most
}

// allowed is how much faster than in the steady gaits a joint may have to turn
// in a change.
const allowed = 1.25

// Whatever is asked whenever: see the package comment.
func TestAnySchedule(t *testing.T) {
	var limit [4]float64
	for pairs := 2; pairs <= 3; pairs++ {
		limit[pairs] = allowed * steadySpeed(t, pairs, gaits(pairs))
	}
	var sum [4]worst
	var mu sync.Mutex
	var wg sync.WaitGroup
	next, all := 0, *schedules
	if testing.Short() {
		all = min(all, 300)
	}
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			var tr *motion.Trajectory
			samplers := map[int]*motion.Sampler{2: motion.NewSampler(legged(2)), 3: motion.NewSampler(legged(3))}
			for {
				mu.Lock()
				n := next
				next++
				mu.Unlock()
				if n >= all || t.Failed() {
					return
				}
				pairs := 2 + n%2
				var m worst
				m, tr = oneSchedule(t, n, pairs, limit[pairs], samplers[pairs], tr)
				mu.Lock()
				sum[pairs].add(m)
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	for pairs := 2; pairs <= 3; pairs++ {
		t.Logf("%d pairs: %+v, speed limit %v", pairs, sum[pairs], limit[pairs])
	}
}

func oneSchedule(t *testing.T, n, pairs int, limit float64, s *motion.Sampler, reuse *motion.Trajectory) (worst, *motion.Trajectory) {
	rnd := rand.New(rand.NewPCG(uint64(n), 7))
	all := gaits(pairs)
	g := newRig(failing{t, n}, pairs)
	for _, a := range all {
		// Half a cycle in a quarter of the stance, or in the swing, at the
		// shortest period that schedule asks for.
		g.fast = max(g.fast, 0.5/(0.8*a.Period*min(a.Duty/4, 1-a.Duty)))
	}
	last, at := schedule(g, rnd, all)
	longest := 0.0
	for i := range all {
		for j := range all {
			a, b := all[i], all[j]
			a.Period *= 1.3
			b.Period *= 1.3
			longest = max(longest, stride.Bound(&a, &b), stride.Bound(&a, nil))
		}
	}
	g.run(at + 2*longest)
	st := g.w.State()
	stops := last.Gait == nil || last.Halt
	if stops {
		last.Command = motion.Twist{}
	}
	if !g.w.Done() || st.Twist != last.Command || stops != st.Standing {
		g.t.Fatalf("the last request %+v of %v s is not in force: %+v", last, at, st)
	}
	if !stops && (st.Gait.Name != last.Gait.Name || st.Gait.Period != last.Gait.Period) {
		g.t.Fatalf("walks %s in place of %s", st.Gait.Name, last.Gait.Name)
	}
	p := g.verify()
	m, tr := g.measure(s, p, reuse)
	if m.step > 1e-8 || m.kick > 1e-2 || m.drift > 1e-9 || m.speed > limit {
		g.t.Fatalf("measured %+v, speed limit %v", m, limit)
	}
	return m, tr
}

// failing says which schedule failed.
type failing struct {
	*testing.T
	n int
}

func (f failing) Fatalf(format string, a ...any) {
	f.T.Helper()
	f.T.Errorf("schedule %d: "+format, append([]any{f.n}, a...)...)
	runtime.Goexit()
}

func (f failing) Fatal(a ...any) {
	f.T.Helper()
	f.Fatalf("%v", a...)
}
