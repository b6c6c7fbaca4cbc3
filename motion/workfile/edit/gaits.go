// SPDX-License-Identifier: MIT

package edit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gaitwright/motion/gait"
	"gaitwright/motion/pace"
	"gaitwright/motion/workfile"
)

// GaitIndex gives the index of a gait by its name, -1 for none.
func GaitIndex(f *workfile.File, name string) int {
	return slices.IndexFunc(f.Gaits, func(g workfile.Gait) bool { return g.Name == name })
}

// PhaseOf gives the phase of a leg in a gait, not ok where it has none.
func PhaseOf(g *workfile.Gait, leg string) (phase float64, ok bool) {
	phase, ok = g.Phase[leg]
	return phase, ok
}

// DutyOf gives the duty factor of a leg in a gait: its own, or that of all.
func DutyOf(g *workfile.Gait, leg string) float64 {
	if v, own := g.Duties[leg]; own {
		return v
	}
	return g.Duty
}

// OwnDuty tells whether a leg has a duty factor of its own.
func OwnDuty(g *workfile.Gait, leg string) bool {
	_, own := g.Duties[leg]
	return own
}

// SetPhase sets the phase of a leg, to six decimals; a phase outside of [0,1)
// is the one of its cycle.
func SetPhase(g *workfile.Gait, leg string, v float64) {
	if g.Phase == nil {
		g.Phase = map[string]float64{}
	}
	g.Phase[leg] = share(gait.Frac(math.Round(v*1e6) / 1e6))
}

// SetDuty sets the duty factor of a leg: its own, or that of all legs without
// one where it has none.
func SetDuty(g *workfile.Gait, leg string, v float64) {
	if OwnDuty(g, leg) {
		g.Duties[leg] = v
		return
	}
	g.Duty = v
}

// SetOwn gives a leg a duty factor of its own, beginning with that of all, or
// takes it away.
func SetOwn(g *workfile.Gait, leg string, own bool) {
	switch {
	case !own:
		delete(g.Duties, leg)
		if len(g.Duties) == 0 {
			g.Duties = nil
		}
	case !OwnDuty(g, leg):
		if g.Duties == nil {
			g.Duties = map[string]float64{}
		}
		g.Duties[leg] = g.Duty
	}
}

// What a new gait begins with where the file has none to take it from.
const (
	newSwing  = 500 // time of a swing, ms
	newHeight = 30  // step height, mm
)

// Library gives the gaits that are known for the robot's legs (gait.Library),
// as the workfile has them. Swing time and step height are those of the file's
// first gait. An error where the legs do not form two rows.
func Library(f *workfile.File) ([]workfile.Gait, error) {
	left, right, err := sides(f)
	if err != nil {
		return nil, err
	}
	all, err := gait.Library(left, right)
	if err != nil {
		return nil, err
	}
	var out []workfile.Gait
	for i := range all {
		out = append(out, written(f, &all[i]))
	}
	return out, nil
}

// Wave gives the gait of the wave family for a duty factor from 0.5 to below 1.
func Wave(f *workfile.File, duty float64) (workfile.Gait, error) {
	left, right, err := sides(f)
	if err != nil {
		return workfile.Gait{}, err
	}
	g, err := gait.WaveOf(left, right, duty)
	if err != nil {
		return workfile.Gait{}, err
	}
	return written(f, &g), nil
}

// OneByOne gives a gait in which the legs step one after the other in the order
// of the file: for robots whose legs do not form two rows.
func OneByOne(f *workfile.File) workfile.Gait {
	n := len(f.Legs)
	g := gait.Gait{Name: "one by one", Duty: 1 - 1/float64(max(n, 2))}
	for i := range n {
		// Leg i lifts when the one before it has touched down.
		g.Phase = append(g.Phase, gait.Frac(float64(i+1)/float64(n)))
	}
	return written(f, &g)
}

func sides(f *workfile.File) (left, right []int, err error) {
	b, err := f.Build()
	if err != nil {
		return nil, nil, err
	}
	return gait.Sides(&b.Robot)
}

// written gives a gait as the workfile has it.
func written(f *workfile.File, g *gait.Gait) workfile.Gait {
	swing, height := float64(newSwing), float64(newHeight)
	if len(f.Gaits) > 0 {
		p := &f.Gaits[0]
		swing, height = p.Period*(1-p.Duty), p.StepHeight
	}
	out := workfile.Gait{
		Name: g.Name, Duty: share(g.Duty), StepHeight: height,
		Period: max(10, min(60000, math.Round(swing/(1-g.Duty)/10)*10)), Phase: map[string]float64{},
	}
	for i := range f.Legs {
		out.Phase[f.Legs[i].Name] = share(g.Phase[i])
	}
	return out
}

// share rounds a share of the period to as many digits as the file keeps. With
// fewer a foot would lift a moment before the one that it waits for is down,
// and the gait would have one foot less to stand on (gait.Standing takes events
// within 1e-9 of a cycle as one).
func share(v float64) float64 {
	if r := math.Round(v*1e12) / 1e12; r < 1 {
		return r
	}
	return v
}

// AddGait puts a gait at the end of the list, under a name that is free, and
// gives its index.
func AddGait(f *workfile.File, g workfile.Gait) int {
	g.Name = another(g.Name, func(s string) bool { return GaitIndex(f, s) >= 0 })
	f.Gaits = append(f.Gaits, g)
	return len(f.Gaits) - 1
}

// DuplicateGait puts a copy of a gait behind it and gives its index.
func DuplicateGait(f *workfile.File, i int) int {
	if i < 0 || i >= len(f.Gaits) {
		return i
	}
	one := workfile.File{Gaits: f.Gaits[i : i+1]}
	g := one.Clone().Gaits[0]
	g.Name = another(g.Name, func(s string) bool { return GaitIndex(f, s) >= 0 })
	f.Gaits = slices.Insert(f.Gaits, i+1, g)
	return i + 1
}

// RenameGait gives a gait another name, in the sequence too.
func RenameGait(f *workfile.File, i int, name string) {
	if i < 0 || i >= len(f.Gaits) {
		return
	}
	was := f.Gaits[i].Name
	f.Gaits[i].Name = name
	for k := range f.Sequence {
		if f.Sequence[k].Gait == was {
			f.Sequence[k].Gait = name
		}
	}
}

// GaitUses gives the entries of the sequence that name a gait.
func GaitUses(f *workfile.File, name string) []int {
	var out []int
	for i := range f.Sequence {
		if name != "" && f.Sequence[i].Gait == name {
			out = append(out, i)
		}
	}
	return out
}

// DeleteGait takes a gait out. One that the sequence names stays; the error
// says which entries do, counted from 1.
func DeleteGait(f *workfile.File, i int) error {
	if i < 0 || i >= len(f.Gaits) {
		return nil
	}
	var n []string
	for _, k := range GaitUses(f, f.Gaits[i].Name) {
		n = append(n, fmt.Sprint(k+1))
	}
	if k := len(n) - 1; k > 0 {
		return refuse("give them another one first, or delete them", "entries %s and %s of the sequence have the gait “%s”", strings.Join(n[:k], ", "), n[k], f.Gaits[i].Name)
	} else if k == 0 {
		return refuse("give it another one first, or delete it", "entry %s of the sequence has the gait “%s”", n[0], f.Gaits[i].Name)
	}
	f.Gaits = slices.Delete(f.Gaits, i, i+1)
	return nil
}

// NewWalk gives an entry that walks ahead with a gait, at about half of the
// fastest that it can, to 5 mm/s, or on the spot where it can do none.
func NewWalk(f *workfile.File, gaitIndex int) workfile.Entry {
	e := workfile.Entry{Kind: "walk", Cycles: value(newCycles), Forward: value(Easy(f, gaitIndex))}
	if gaitIndex >= 0 && gaitIndex < len(f.Gaits) {
		e.Gait = f.Gaits[gaitIndex].Name
	}
	return e
}

// Easy gives about half of the fastest way ahead with a gait, to 5 mm/s; 0
// where it cannot be walked.
func Easy(f *workfile.File, gaitIndex int) float64 {
	b, err := f.Build()
	if err != nil || gaitIndex < 0 || gaitIndex >= len(b.Gaits) {
		return 0
	}
	p, err := pace.New(&b.Robot, b.Height, &b.Gaits[gaitIndex], pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
	if err != nil {
		return 0
	}
	return EasyOf(p)
}

// EasyOf is Easy for a gait whose pace is known.
func EasyOf(p *pace.Pace) float64 {
	v := p.Fastest(pace.Ahead(0)).Speed * 1000 / 2
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	if v < 5 {
		return math.Floor(v*10) / 10
	}
	return min(2000, math.Floor(v/5)*5)
}

// another gives a name that is not taken: the name itself, or the name with
// the next number behind it, cut to what a name may have.
func another(name string, taken func(string) bool) string {
	if !taken(name) {
		return name
	}
	stem := strings.TrimRight(name, "0123456789")
	if stem = strings.TrimSpace(stem); stem == "" || stem == name {
		stem = name
	}
	if r := []rune(stem); len(r) > 54 {
		stem = strings.TrimSpace(string(r[:54]))
	}
	for n := 2; ; n++ {
		if s := fmt.Sprintf("%s %d", stem, n); !taken(s) {
			return s
		}
	}
}
