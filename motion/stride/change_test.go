// SPDX-License-Identifier: MIT

package stride_test

import (
	"math"
	"testing"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/stride"
)

// seen is what a stretch of a plan shows.
type seen struct {
	margin float64 // least static stability margin, m
	off    float64 // farthest that a planted foot gets from its standing point, m
	speed  float64 // greatest joint speed, rad/s
}

// look samples a plan between two times.
func look(t *testing.T, r *kin.Robot, s *motion.Sampler, p *motion.Plan, from, to float64) seen {
	t.Helper()
	tr, err := s.Sample(p, 200, nil)
	if err != nil {
		t.Fatal(err)
	}
	m := seen{margin: math.Inf(1)}
	for k := tr.Index(from); k <= tr.Index(to); k++ {
		m.margin = min(m.margin, tr.Margin[k])
		c := p.BodyAt(tr.Time(k)).CourseAt(tr.Time(k))
		for i := range r.Legs {
			if tr.Planted[k*tr.Legs+i] {
				stand := r.Legs[i].Stand
				stand.Z = footRadius
				m.off = max(m.off, far(c.Into(tr.FootAt(k, i)), stand))
			}
			for j := range kin.Joints {
				m.speed = max(m.speed, math.Abs(tr.V[(k*tr.Legs+i)*3+j]))
			}
		}
	}
	return m
}

func steady(t *testing.T, pairs int, s *motion.Sampler, gt *gait.Gait, c motion.Twist) seen {
	t.Helper()
	g := newRig(t, pairs)
	g.ask(0, stride.Request{Gait: gt, Command: c})
	g.run(5 * gt.Period)
	return look(t, g.r, s, g.w.Plan(), 3.5*gt.Period, 5*gt.Period)
}

// Through every change no foot is carried off much farther than in the steady
// gaits, and the robot tips no more than in the steadier of both, or by less
// than the wanted margin.
func TestChangesKeepStrokeAndMargin(t *testing.T) {
	for _, pairs := range []int{2, 3} {
		all := gaits(pairs)
		s := motion.NewSampler(legged(pairs))
		for a := range all {
			for b := range all {
				ca, cb := forward(0.035/all[a].Period), forward(0.035/all[b].Period)
				sa, sb := steady(t, pairs, s, &all[a], ca), steady(t, pairs, s, &all[b], cb)
				worst := seen{margin: math.Inf(1)}
				for n := range 20 {
					g := newRig(t, pairs)
					g.ask(0, stride.Request{Gait: &all[a], Command: ca})
					at := all[a].Period * (3 + float64(n)/20)
					g.ask(at, stride.Request{Gait: &all[b], Command: cb})
					g.run(at + stride.Bound(&all[a], &all[b]))
					m := look(t, g.r, s, g.w.Plan(), at, at+stride.Bound(&all[a], &all[b]))
					worst = seen{min(worst.margin, m.margin), max(worst.off, m.off), max(worst.speed, m.speed)}
				}
				t.Logf("%s to %s: off %.2f, margin %.1f of %.1f, %.1f mm, speed %.2f", all[a].Name, all[b].Name,
					worst.off/max(sa.off, sb.off), worst.margin*1e3, sa.margin*1e3, sb.margin*1e3, worst.speed/max(sa.speed, sb.speed))
				most := max(sa.off, sb.off) + ca.Forward*min(all[a].Period, all[b].Period)/8 +
					0.1*cb.Forward*stride.ChangeBound(&all[a], &all[b])
				if worst.off > most {
					t.Errorf("%s to %s: a foot gets %v m off, want %v m", all[a].Name, all[b].Name, worst.off, most)
				}
				if worst.speed > 1.25*max(sa.speed, sb.speed) {
					t.Errorf("%s to %s: a joint turns at %v, steadily at %v and %v rad/s", all[a].Name, all[b].Name, worst.speed, sa.speed, sb.speed)
				}
				if pairs == 3 && worst.margin < min(sa.margin, sb.margin, margin)-0.002 {
					t.Errorf("%s to %s: margin %v m, steadily %v and %v m", all[a].Name, all[b].Name, worst.margin, sa.margin, sb.margin)
				}
			}
		}
	}
}
