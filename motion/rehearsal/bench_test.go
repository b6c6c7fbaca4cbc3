// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"testing"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/load"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// stage holds what one look at the first 10 s of the drummer needs, again and
// again: at 1 kHz 10,001 samples and 60,006 leg poses.
type stage struct {
	plan    *motion.Plan
	built   *rehearsal.Rehearsal
	sampler *motion.Sampler
	loads   *load.Estimator

	t *motion.Trajectory
	l *load.Loads
}

func tenSeconds(b *testing.B) *stage {
	r := mustRun(b, mustRead(b, "drummer", assets.Demo), rehearsal.Options{Rate: 100})
	r.Plan.Duration = 10
	robot := &r.Built.Robot
	return &stage{plan: r.Plan, built: r, sampler: motion.NewSampler(robot), loads: load.New(robot)}
}

func (s *stage) sample(b *testing.B, rate float64) {
	t, err := s.sampler.Sample(s.plan, rate, s.t)
	if err != nil {
		b.Fatal(err)
	}
	s.t = t
}

func (s *stage) load() {
	s.l = s.loads.Run(s.t, load.Options{Contact: s.built.Built.Limits.Contact, Reuse: s.l})
}

func (s *stage) review(b *testing.B) {
	if f := review.Run(&s.built.Built.Robot, s.t, s.l, s.built.Built.Limits); len(f) > 0 {
		b.Fatal(f)
	}
}

func (s *stage) whole(b *testing.B, rate float64) {
	b.ReportAllocs()
	for b.Loop() {
		s.sample(b, rate)
		s.load()
		s.review(b)
	}
	b.ReportMetric(float64(s.t.N*b.N)/b.Elapsed().Seconds(), "samples/s")
}

// Wanted on one core: under 150 ms at 1 kHz, and under one frame of 60 a
// second, 16.7 ms, at the 100 Hz that the window looks at while the mouse is
// down.
func BenchmarkSampleLoadAndReview(b *testing.B) { tenSeconds(b).whole(b, 1000) }

func BenchmarkLive(b *testing.B) { tenSeconds(b).whole(b, 100) }

// The three parts of it, at 1 kHz.

func BenchmarkSample(b *testing.B) {
	s := tenSeconds(b)
	b.ReportAllocs()
	for b.Loop() {
		s.sample(b, 1000)
	}
}

func BenchmarkLoad(b *testing.B) {
	s := tenSeconds(b)
	s.sample(b, 1000)
	b.ReportAllocs()
	for b.Loop() {
		s.load()
	}
	b.ReportMetric(float64(s.l.Solved), "solved")
}

func BenchmarkReview(b *testing.B) {
	s := tenSeconds(b)
	s.sample(b, 1000)
	s.load()
	b.ReportAllocs()
	for b.Loop() {
		s.review(b)
	}
}
