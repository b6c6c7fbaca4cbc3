// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

func point(v r3.Vec) support.Point { return support.Point{X: v.X, Y: v.Y} }

func hullOf(feet []r3.Vec) *support.Polygon {
	var p []support.Point
	for _, f := range feet {
		p = append(p, point(f))
	}
	h := support.Hull(p)
	return &h
}

// tripod lifts three feet and then the other three, again and again.
func tripod(t testing.TB, seconds int) (*motion.Plan, *motion.Trajectory) {
	r := sixLegged()
	p := clean(r)
	end := float64(seconds)
	p.Duration = end
	p.Body = []motion.BodyPiece{body(0, end, r3.Vec{}, r3.Vec{X: 0.01})}
	p.Parts = []motion.Part{{Name: "walk", To: end}}
	p.Floors, p.Mirrored = nil, nil
	for i := range r.Legs {
		s := stand(r, i)
		up := r3.Vec{X: s.X + 0.02, Y: s.Y, Z: s.Z}
		p.Feet[i] = nil
		at := s
		for n := range seconds {
			from, mid, to := float64(n), float64(n)+0.5, float64(n+1)
			a, b := planted(from, mid, at), swing(mid, to, at, s, 0.04)
			if n%2 == 0 {
				b = swing(mid, to, at, up, 0.04)
			}
			next := b.Span.Path.P3
			if (i%3+i/3)%2 == 0 {
				b.From, b.To = from, mid
				a = planted(mid, to, next)
				a, b = b, a
			}
			p.Feet[i] = append(p.Feet[i], a, b)
			at = next
		}
	}
	return p, mustSample(t, r, p, 1000)
}

func BenchmarkReview(b *testing.B) {
	r := sixLegged()
	_, tr := tripod(b, 10)
	d := loads(r, tr, Defaults())
	if f := Run(r, tr, d, Defaults()); len(f) != 0 {
		b.Fatalf("not clean: %+v", f)
	}
	b.ReportAllocs()
	for b.Loop() {
		Run(r, tr, d, Defaults())
	}
}

// Everything wrong all the time: the body reaches to the knees and the ground
// and no servo turns.
func BenchmarkReviewOfTheWorst(b *testing.B) {
	r := sixLegged()
	_, tr := tripod(b, 10)
	for n := range r.Body.Outline {
		r.Body.Outline[n] = r3.Scale(1.5, r.Body.Outline[n])
	}
	r.Body.Bottom = -0.1
	for i := range r.Legs {
		for j := range kin.Joints {
			r.Legs[i].Servos[j].NoLoadSpeed = 1e-3
			r.Legs[i].Limits[j] = kin.Range{}
		}
	}
	d := loads(r, tr, Defaults())
	for b.Loop() {
		Run(r, tr, d, Defaults())
	}
}

func BenchmarkChecks(b *testing.B) {
	r := sixLegged()
	_, tr := tripod(b, 10)
	d := loads(r, tr, Defaults())
	for _, k := range checks() {
		b.Run(k.word, func(b *testing.B) {
			for b.Loop() {
				c := look{r: r, t: tr, d: d, l: Defaults(), nWG: r3.Vec{Z: 1}}
				k.run(&c)
			}
		})
	}
}

// Allocations do not grow with the samples.
func TestNoAllocationPerSample(t *testing.T) {
	r := sixLegged()
	_, short := tripod(t, 1)
	_, long := tripod(t, 4)
	count := func(tr *motion.Trajectory) float64 {
		d := loads(r, tr, Defaults())
		return testing.AllocsPerRun(3, func() { Run(r, tr, d, Defaults()) })
	}
	if a, b := count(short), count(long); a != b {
		t.Errorf("%v allocations for %d samples, %v for %d", a, short.N, b, long.N)
	}
}

func ExampleRun() {
	r := sixLegged()
	p := clean(r)
	p.Floors[1].Height = 0.0605 // m, for the right front foot
	tr, err := motion.NewSampler(r).Sample(p, 500, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	d := load.New(r).Run(tr, load.Options{})
	for _, f := range Run(r, tr, d, Defaults()) {
		fmt.Printf("%s (%s) at %.3f s in %s: %s\n", f.Word, f.Level, f.Worst, f.Entry, f.Why)
		fmt.Println(f.Mend)
	}
	// Output:
	// low-strike (stop) at 1.900 s in strike: the underside of the striking foot of leg RF comes down to 58.8 mm, below its floor of 60.5 mm
	// raise the path of leg RF by 1.7 mm there
}
