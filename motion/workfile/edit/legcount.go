// SPDX-License-Identifier: MIT

package edit

import (
	"fmt"
	"math"
	"slices"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// AddLeg adds a leg built like leg i, with all measurements of its own and
// without channels, and gives its index. It sits and stands where leg i would
// on the other end of the body, or where that place is taken a foot's breadth
// behind leg i. In every gait it steps half a cycle after leg i.
func AddLeg(f *workfile.File, i int) (int, error) {
	if !has(f, i) {
		return 0, refuse("choose another one", "there is no such leg any more")
	}
	if len(f.Legs) >= kin.MaxLegs {
		return 0, refuse("take one out first", "a robot has at most %d legs", kin.MaxLegs)
	}
	l := (&workfile.File{Legs: []workfile.Leg{f.Whole(i)}}).Clone().Legs[0]
	taken := func(name string) bool {
		return slices.ContainsFunc(f.Legs, func(l workfile.Leg) bool { return l.Name == name })
	}
	l.Mirrors = ""
	for n := 2; ; n++ {
		if name := fmt.Sprintf("%s-%d", f.Legs[i].Name, n); !taken(name) {
			l.Name = name
			break
		}
	}
	for j := range kin.Joints {
		JointOf(&l, j).Channel = nil
	}
	move := func(x *float64) { *x = -*x }
	if ahead := [2]float64{-l.Mount[0], l.Mount[1]}; crowded(f, ahead) {
		move = func(x *float64) { *x -= 2**l.FootRadius + 40 }
	} else {
		*l.Heading = math.Remainder(180-*l.Heading, 360)
	}
	move(&l.Mount[0])
	move(&l.Stand[0])
	for k := range f.Gaits {
		g := &f.Gaits[k]
		if v, ok := g.Phase[f.Legs[i].Name]; ok {
			g.Phase[l.Name] = math.Mod(v+0.5, 1)
		}
		if v, ok := g.Duties[f.Legs[i].Name]; ok {
			g.Duties[l.Name] = v
		}
	}
	f.Legs = append(f.Legs, l)
	return len(f.Legs) - 1, nil
}

// crowded tells whether a leg has its mount within 30 mm of a place.
func crowded(f *workfile.File, p [2]float64) bool {
	for i := range f.Legs {
		if w := f.Whole(i); w.Mount != nil && math.Hypot(w.Mount[0]-p[0], w.Mount[1]-p[1]) < 30 {
			return true
		}
	}
	return false
}

// RemoveLeg takes a leg out, with its phases and its tracks. The leg on the
// other side keeps everything that it had from there, and the tracks of the
// pair.
func RemoveLeg(f *workfile.File, i int) error {
	if !has(f, i) {
		return nil
	}
	if len(f.Legs) <= kin.MinLegs {
		return refuse("add another one first", "a robot has at least %d legs", kin.MinLegs)
	}
	name := f.Legs[i].Name
	heir := ""
	if m := MirrorOf(f, i); m >= 0 {
		heir = f.Legs[m].Name
		if err := SetMirrors(f, m, ""); err != nil {
			return err
		}
	}
	if of := f.Legs[i].Mirrors; of != "" { // the pair is one no more
		heir = of
		for k := range f.Moves {
			for t := range f.Moves[k].Feet {
				if f.Moves[k].Feet[t].Leg == of {
					f.Moves[k].Feet[t].Pair = false
				}
			}
		}
	}
	for k := range f.Moves {
		m := &f.Moves[k]
		for t := range m.Feet {
			if ft := &m.Feet[t]; ft.Leg == name && ft.Pair && heir != "" {
				ft.Leg, ft.Pair = heir, false
				for s := range ft.Spans {
					for _, p := range [...]*[3]float64{ft.Spans[s].End, ft.Spans[s].Out, ft.Spans[s].In} {
						if p != nil {
							p[1] = 0 - p[1]
						}
					}
				}
			}
		}
		m.Feet = slices.DeleteFunc(m.Feet, func(t workfile.FootTrack) bool { return t.Leg == name })
	}
	for k := range f.Gaits {
		delete(f.Gaits[k].Phase, name)
		delete(f.Gaits[k].Duties, name)
	}
	f.Legs = slices.Delete(f.Legs, i, i+1)
	return nil
}
