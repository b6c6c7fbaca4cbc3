// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"testing"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// tenSeconds gives the first 10 s of the drummer's plan, for 1 kHz: 10,001
// samples, 60,006 leg poses.
func tenSeconds(b *testing.B) (*kin.Robot, *motion.Plan, review.Limits) {
	r := mustRun(b, mustRead(b, "drummer", assets.Demo), rehearsal.Options{Rate: 100})
	r.Plan.Duration = 10
	return &r.Built.Robot, r.Plan, r.Built.Limits
}

// Wanted: both together under 60 ms on one core.
func BenchmarkSampleAndReview(b *testing.B) {
	robot, plan, limits := tenSeconds(b)
	s := motion.NewSampler(robot)
	var t *motion.Trajectory
	b.ReportAllocs()
	for b.Loop() {
		var err error
		if t, err = s.Sample(plan, 1000, t); err != nil {
			b.Fatal(err)
		}
		if f := review.Run(robot, t, limits); len(f) > 0 {
			b.Fatal(f)
		}
	}
}

func BenchmarkSample(b *testing.B) {
	robot, plan, _ := tenSeconds(b)
	s := motion.NewSampler(robot)
	var t *motion.Trajectory
	b.ReportAllocs()
	for b.Loop() {
		var err error
		if t, err = s.Sample(plan, 1000, t); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReview(b *testing.B) {
	robot, plan, limits := tenSeconds(b)
	t, err := motion.NewSampler(robot).Sample(plan, 1000, nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		review.Run(robot, t, limits)
	}
}
