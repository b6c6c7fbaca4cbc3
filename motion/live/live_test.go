// SPDX-License-Identifier: MIT

package live_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/live"
	"gaitwright/motion/review"
	"gaitwright/motion/stride"
	"gaitwright/motion/workfile"
)

func built(t testing.TB, text []byte) *workfile.Built {
	t.Helper()
	f, err := workfile.Read("demo", text)
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func begin(t testing.TB, b *workfile.Built) *live.Walk {
	t.Helper()
	w, err := live.New(b, live.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func ask(t testing.TB, w *live.Walk, q live.Want) {
	t.Helper()
	if err := w.Ask(q); err != nil {
		t.Fatal(err)
	}
}

// mash asks for anything within a share of the fastest at random, looks each
// 0.1 s for a minute, and fails on a stop or a jump.
func mash(t *testing.T, b *workfile.Built, seed uint64, most float64) {
	t.Helper()
	w := begin(t, b)
	r := rand.New(rand.NewPCG(seed, 1))
	q := live.Want{Gait: -1}
	told := 0
	for w.Now() < 60 {
		for range r.IntN(4) {
			w.Advance(r.Float64() * 0.1)
			step := func(v float64) float64 { return max(-most, min(most, v+float64(r.IntN(3)-1)*0.2)) }
			switch r.IntN(8) {
			case 0:
				q.Gait = -1
			case 1, 2, 3:
				q.Gait = r.IntN(len(b.Gaits))
			case 4:
				q.Forward = step(q.Forward)
			case 5:
				q.Side = step(q.Side)
			case 6:
				q.Turn = step(q.Turn)
			case 7:
				q.Rise = max(-0.01, min(0.01, q.Rise+float64(r.IntN(3)-1)*0.005))
			}
			ask(t, w, q)
		}
		w.Advance(0.1)
		res, err := w.Look()
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range res.Findings {
			if f.Level == review.Stop || f.Word == "jump" || f.Word == "foot-slides" {
				t.Errorf("seed %d, %.2f s of the walk: %s at %.2f s: %s", seed, w.Now(), f.Word, f.Worst+res.From, f.Why)
				if told++; told > 3 {
					return
				}
			}
		}
	}
}

func TestMashing(t *testing.T) {
	b := built(t, assets.Demo)
	mash(t, b, 1, 0.7)
}

// The crawl starts and stops at any moment.
func TestCrawlStartStop(t *testing.T) {
	b := built(t, assets.Walker)
	w := begin(t, b)
	r := rand.New(rand.NewPCG(4, 4))
	for n := range 20 {
		q := live.Want{Gait: -1}
		if n%2 == 0 {
			q = live.Want{Gait: 0, Forward: 0.4}
		}
		ask(t, w, q)
		for range 10 + r.IntN(50) {
			w.Advance(0.1)
			res, err := w.Look()
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range res.Findings {
				if f.Level == review.Stop {
					t.Fatalf("%.2f s: %s: %s", w.Now(), f.Word, f.Why)
				}
			}
		}
	}
}

// A look has the numbers of the same walk planned at once and never forgotten.
func TestLookIsTheWalk(t *testing.T) {
	b := built(t, assets.Demo)
	w := begin(t, b)
	slow, err := stride.New(stride.Options{Robot: &b.Robot, Height: b.Height, Margin: b.Script.Margin})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(7, 7))
	for w.Now() < 30 {
		q := live.Want{Gait: r.IntN(len(b.Gaits)), Forward: 0.4, Turn: 0.4 * r.Float64()}
		ask(t, w, q)
		if err := slow.Ask(w.Now(), stride.Request{Gait: &b.Gaits[q.Gait], Command: w.Command(), Height: b.Height}); err != nil {
			t.Fatal(err)
		}
		w.Advance(0.3 + r.Float64())
		res, err := w.Look()
		if err != nil {
			t.Fatal(err)
		}
		all := slow.Clone()
		all.Advance(w.Now() + live.Ahead)
		want, err := motion.NewSampler(&b.Robot).Sample(all.Plan(), live.Rate, nil)
		if err != nil {
			t.Fatal(err)
		}
		off := int(math.Round(res.From * live.Rate))
		got := res.Trajectory
		if got.N < 20 || w.Now() > live.Span && got.N < live.Span*live.Rate {
			t.Fatalf("%d samples at %v s", got.N, w.Now())
		}
		width := got.Legs * kin.Joints
		for i, v := range got.Q {
			if d := math.Abs(v - want.Q[i+off*width]); !(d < 1e-9) {
				t.Fatalf("at %v s, sample %d: an angle is off by %v rad", w.Now(), i/width, d)
			}
		}
		for i, v := range got.V {
			if d := math.Abs(v - want.V[i+off*width]); !(d < 1e-6) {
				t.Fatalf("at %v s, sample %d: a speed is off by %v rad/s", w.Now(), i/width, d)
			}
		}
	}
}

// An hour takes no more memory than a minute.
func TestMemoryStaysFlat(t *testing.T) {
	b := built(t, assets.Demo)
	w := begin(t, b)
	pieces := 0
	for n := range 3600 {
		ask(t, w, live.Want{Gait: n % len(b.Gaits), Forward: 0.3, Rise: 0.001 * float64(n%7)})
		w.Advance(1)
		if n%60 != 59 {
			continue
		}
		res, err := w.Look()
		if err != nil {
			t.Fatal(err)
		}
		k := len(res.Plan.Body) + len(res.Plan.Parts)
		for _, c := range res.Plan.Feet {
			k += len(c)
		}
		if pieces == 0 {
			pieces = k
		}
		if k > 3*pieces {
			t.Fatalf("%d pieces after %d s, %d after a minute", k, n+1, pieces)
		}
	}
}

// Entries follow one another without gaps, from the beginning of a look to its
// end.
func TestEntries(t *testing.T) {
	b := built(t, assets.Demo)
	w := begin(t, b)
	for n := range 30 {
		ask(t, w, live.Want{Gait: n%4 - 1})
		w.Advance(0.7)
		res, err := w.Look()
		if err != nil {
			t.Fatal(err)
		}
		at := 0.0
		for _, p := range res.Plan.Parts {
			if p.From != at || !(p.To > p.From) || p.Index != -1 {
				t.Fatalf("%+v at %v", p, at)
			}
			at = p.To
		}
		if math.Abs(at-res.Plan.Duration) > 1e-9 {
			t.Fatalf("entries end at %v, the plan at %v", at, res.Plan.Duration)
		}
	}
}

func TestRefuses(t *testing.T) {
	b := built(t, assets.Demo)
	w := begin(t, b)
	for _, q := range []live.Want{
		{Gait: 9}, {Gait: -2}, {Forward: math.NaN()}, {Turn: math.Inf(1)}, {Rise: 1}, {Rise: -0.2},
	} {
		if err := w.Ask(q); !errors.Is(err, live.ErrAsk) {
			t.Errorf("%+v: %v", q, err)
		}
	}
	if w.Want() != (live.Want{Gait: -1}) {
		t.Errorf("%+v", w.Want())
	}
}

// Shares are shares of the fastest command in the direction asked for.
func TestShares(t *testing.T) {
	b := built(t, assets.Demo)
	w := begin(t, b)
	for _, q := range []live.Want{{Forward: 0.5}, {Forward: -0.3}, {Side: 0.4, Turn: -0.2}, {Turn: 1.2}, {Forward: 0.6, Side: 0.6, Turn: 0.6}} {
		ask(t, w, q)
		want := max(math.Abs(q.Forward), math.Abs(q.Side), math.Abs(q.Turn))
		if got := w.Verdict().Factor; math.Abs(got-want) > 1e-5 || w.Verdict().Can != (want <= 1) {
			t.Errorf("%+v: %v of the fastest", q, got)
		}
	}
}

// What is asked beyond the fastest is walked, and found: so the review sees what
// is walked live.
func TestBeyondIsFound(t *testing.T) {
	b := built(t, assets.Demo)
	w := begin(t, b)
	ask(t, w, live.Want{Gait: 1, Forward: 1.8})
	words := map[string]bool{}
	for range 40 {
		w.Advance(0.1)
		r, err := w.Look()
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range r.Findings {
			words[f.Word] = true
			if f.Part >= 0 && f.From > r.Now-r.From {
				t.Errorf("%s is told before it begins", f.Word)
			}
		}
	}
	if !words["joint-speed"] {
		t.Errorf("found: %v", words)
	}
}

func BenchmarkLook(b *testing.B) {
	d := built(b, assets.Demo)
	w := begin(b, d)
	ask(b, w, live.Want{Gait: 1, Forward: 0.4})
	w.Advance(9)
	for b.Loop() {
		w.Advance(0.1)
		if _, err := w.Look(); err != nil {
			b.Fatal(err)
		}
	}
}

func Example() {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := f.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := live.New(b, live.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	w.Ask(live.Want{Gait: 0, Forward: 0.4})
	w.Advance(2.3)
	w.Ask(live.Want{Gait: 1, Forward: 0.4})
	w.Advance(4)
	w.Ask(live.Want{Gait: -1})
	w.Advance(3)
	r, err := w.Look()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range r.Plan.Parts {
		fmt.Println(p.Name)
	}
	fmt.Println(w.State().Standing, len(r.Findings))
	// Output:
	// tripod
	// ripple
	// stop
	// true 0
}
