// SPDX-License-Identifier: MIT

package review

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

// Defaults gives the thresholds used where a workfile says nothing. All are
// common practice for hobby robots of a few kilograms, not from a standard.
func Defaults() Limits {
	return Limits{
		Margin:     0.010,
		Clearance:  0.003,
		SpeedShare: 0.85,
		Slide:      0.001,
		GroundHit:  0.0005,
		Lopsided:   0.001,
		JumpSpeed:  30 * math.Pi / 180,
		Dynamic:    0.005,
		Derating:   0.8,
		Holding:    0.3,
		Landing:    0.3,
		Contact:    0.010,
	}
}

// check is one row of the table: a word and how to find it.
type check struct {
	word    string
	meaning string
	ground  bool // needs the ground: not judged on a stand
	run     func(*look)
}

// checks is the table, in the order of the words. A new check is one line.
func checks() []check {
	return []check{
		{"out-of-reach", "the foot target lies outside what the leg can touch", false, outOfReach},
		{"joint-limit", "reachable on paper, but past a joint's travel", false, jointLimit},
		{"pulse-range", "within a joint's travel, but past the pulse widths that its servo takes", false, pulseRange},
		{"joint-speed", "a joint asked to turn faster than its servo can at that load", false, jointSpeed},
		{"tips-slow", "centre of mass outside the support polygon, or inside by less than the wanted margin", true, tipsSlow},
		{"tips-fast", "zero-moment point outside the support polygon, or inside by less than the wanted margin", true, tipsFast},
		{"airborne", "too few planted feet to carry the drawn body path", true, airborne},
		{"foot-slides", "a foot on the ground is dragged over it, or needs more friction than there is", true, footSlides},
		{"joint-torque", "a joint loaded past its servo's torque at that speed", false, jointTorque},
		{"servo-heat", "root-mean-square load past what a servo holds for long", false, servoHeat},
		{"supply-current", "estimated current past what the supply gives", false, supplyCurrent},
		{"ground-hit", "a foot, a knee or a corner of the body below the ground", true, groundHit},
		{"low-strike", "a striking foot goes below the height set as its floor", false, lowStrike},
		{"hard-landing", "a foot meets the ground or its target faster than the limit, or with more than its servos bear", true, hardLanding},
		{"legs-touch", "two legs, or a leg and the body, closer than the clearance", false, legsTouch},
		{"lopsided", "a pair that should mirror does not", false, lopsided},
		{"jump", "position or speed is not continuous", false, jump},
	}
}

// Words lists the words that a finding of Run may carry.
func Words() []string {
	var words []string
	for _, c := range checks() {
		words = append(words, c.word)
	}
	return words
}

// Meaning says in a line what a word stands for, "" for no such word.
func Meaning(word string) string {
	for _, c := range checks() {
		if c.word == word {
			return c.meaning
		}
	}
	return ""
}

// Stops counts the findings that forbid a run on the robot.
func Stops(f []Finding) int {
	n := 0
	for i := range f {
		if f[i].Level == Stop {
			n++
		}
	}
	return n
}

// StopAt gives the first stop that is in force at time s, nil for none.
func StopAt(f []Finding, s float64) *Finding {
	const hair = 1e-9
	for i := range f {
		if f[i].Level == Stop && s >= f[i].From-hair && s <= f[i].To+hair {
			return &f[i]
		}
	}
	return nil
}

// Run judges a trajectory that was sampled from r, with its loads (those of
// another one panic): stops first, then in the order of Words, so that what others
// follow from comes before them, then in order of time. Samples at which a leg
// does not reach its target are left out of what is said about that leg's
// joints and foot, since its closest pose is not the motion; so one fault
// does not echo. Cost: about a microsecond a sample for six legs; it
// allocates per finding and per check, not per sample.
func Run(r *kin.Robot, t *motion.Trajectory, d *load.Loads, l Limits) []Finding {
	return run(r, t, d, l, &Seen{noise: make([]uint32, t.N)}, nil)
}

func run(r *kin.Robot, t *motion.Trajectory, d *load.Loads, l Limits, seen *Seen, calm []bool) []Finding {
	if t.Legs != len(r.Legs) || d.N != t.N || d.Legs != t.Legs {
		panic("review: the trajectory was sampled from another robot, or the loads are those of another trajectory")
	}
	c := look{r: r, t: t, d: d, l: l, seen: seen, calm: calm, nWG: r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}}
	rank := map[string]int{}
	for i, k := range checks() {
		rank[k.word] = i
		if k.ground && l.OnStand {
			continue
		}
		c.word, c.bit = k.word, 1<<i
		k.run(&c)
	}
	slices.SortStableFunc(c.out, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Level, a.Level), cmp.Compare(rank[a.Word], rank[b.Word]),
			cmp.Compare(a.From, b.From), cmp.Compare(a.Worst, b.Worst))
	})
	return c.out
}

// look is what the checks share.
type look struct {
	r    *kin.Robot
	t    *motion.Trajectory
	d    *load.Loads
	l    Limits
	nWG  r3.Vec // normal of the ground, W
	word string // of the check that runs
	out  []Finding
	seen *Seen
	calm []bool // samples as they were in the review before, nil for none
	bit  uint32 // of the check that runs, in the noise
}

// beyond stands for a number that is not finite, or too great to be shown.
const beyond = 1e12

func finite(v float64) float64 {
	if math.IsNaN(v) {
		return -beyond
	}
	return max(-beyond, min(beyond, v))
}

// find adds a finding about the interval v.
func (c *look) find(v interval, f Finding) {
	f.Word, f.Level = c.word, v.level
	f.From, f.To, f.Worst = v.from, v.to, v.worst
	f.Part = v.part
	if v.part >= 0 {
		f.Entry = c.t.Parts[v.part].Name
	}
	f.Value, f.Limit = finite(f.Value), finite(f.Limit)
	c.out = append(c.out, f)
}

// at gives the sample and leg nearest to a time.
func (c *look) at(s float64, leg int) (k, o int) {
	k = c.t.Index(s)
	return k, k*c.t.Legs + leg
}

// within gives the samples of a stretch, from the first to before the last;
// the nearest sample when there is none between. None for a stretch that ends
// before it begins.
func (c *look) within(s *motion.Stretch) (k, end int) {
	if !(s.From <= s.To) {
		return 0, 0
	}
	n := float64(c.t.N)
	k = int(max(0, min(n, math.Ceil(s.From*c.t.Rate-1e-6))))
	end = int(max(0, min(n, math.Floor(s.To*c.t.Rate+1e-6)+1)))
	if k >= end && c.t.N > 0 {
		k = c.t.Index(s.From)
		end = k + 1
	}
	return k, end
}

// plane is the ground seen from the body: the height of pBX over it is
// up + normal·pBX.
type plane struct {
	up     float64 // height of B's origin over the ground, m
	normal r3.Vec  // B
}

func (c *look) plane(x *kin.Pose) plane {
	return plane{up: r3.Dot(c.nWG, x.P), normal: x.R.TMul(c.nWG)}
}

func (p *plane) height(b []float64) float64 {
	return p.up + p.normal.X*b[0] + p.normal.Y*b[1] + p.normal.Z*b[2]
}
