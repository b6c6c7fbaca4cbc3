// SPDX-License-Identifier: MIT

package edit

import (
	"reflect"
	"slices"
	"strings"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// LegNumber names a number of a leg: a key of the leg itself, or of one of its
// joints, and which number of a list.
type LegNumber struct {
	Joint int    // kin.Coxa, kin.Femur or kin.Tibia; Whole for the leg's own key
	Key   string // as in the workfile, such as "tibia_mm"
	Part  int    // of a list, from 0
}

// Whole is the Joint of a number of the leg as a whole.
const Whole = -1

// Origin says where a value of a leg comes from.
type Origin int

// The origins.
const (
	Own      Origin = iota // the leg has the key
	Mirrored               // the leg that it mirrors has it
	Default                // neither has it
)

// neverMirrored lists the keys that belong to each servo alone.
func neverMirrored(key string) bool {
	switch key {
	case "channel", "reversed", "trim_deg", "measured_deg", "measured_us":
		return true
	}
	return false
}

// JointOf gives a joint of a leg.
func JointOf(l *workfile.Leg, joint int) *workfile.Joint {
	return [...]*workfile.Joint{&l.Coxa, &l.Femur, &l.Tibia}[joint]
}

// has tells whether there is a leg i. What is asked for a leg that there is
// not does nothing: the person may have undone it meanwhile.
func has(f *workfile.File, i int) bool { return i >= 0 && i < len(f.Legs) }

// slot gives the field of a key, which is a pointer.
func (n LegNumber) slot(l *workfile.Leg) reflect.Value {
	v := reflect.ValueOf(l).Elem()
	if n.Joint >= 0 {
		v = reflect.ValueOf(JointOf(l, n.Joint)).Elem()
	}
	for i := range v.NumField() {
		name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ",")
		if name == n.Key && v.Field(i).Kind() == reflect.Pointer {
			return v.Field(i)
		}
	}
	panic("edit: a leg has no number " + n.Key)
}

// number reads one number of a value that a slot points to.
func (n LegNumber) number(v reflect.Value) float64 {
	switch v.Kind() {
	case reflect.Array:
		return v.Index(n.Part).Float()
	case reflect.Int:
		return float64(v.Int())
	}
	return v.Float()
}

func (n LegNumber) section() string {
	if n.Joint >= 0 {
		return "joint"
	}
	return "leg"
}

// Range gives the interval that the number may lie in.
func (n LegNumber) Range() (lo, hi float64) {
	lo, hi, _ = workfile.Range(n.section(), n.Key)
	return lo, hi
}

// Source gives the leg that leg i mirrors, or i itself.
func Source(f *workfile.File, i int) int {
	if f.Legs[i].Mirrors == "" {
		return i
	}
	if j := slices.IndexFunc(f.Legs, func(l workfile.Leg) bool { return l.Name == f.Legs[i].Mirrors }); j >= 0 {
		return j
	}
	return i
}

// MirrorOf gives the leg that mirrors leg i, -1 for none.
func MirrorOf(f *workfile.File, i int) int {
	return slices.IndexFunc(f.Legs, func(l workfile.Leg) bool { return l.Mirrors != "" && l.Mirrors == f.Legs[i].Name })
}

// LegValue gives a number of a leg as the robot has it, and where it comes
// from. One that is left out has its constant default, or 0.
func LegValue(f *workfile.File, leg int, n LegNumber) (float64, Origin) {
	if !has(f, leg) {
		return 0, Default
	}
	if s := n.slot(&f.Legs[leg]); !s.IsNil() {
		return n.number(s.Elem()), Own
	}
	w := f.Whole(leg)
	if s := n.slot(&w); !s.IsNil() {
		return n.number(s.Elem()), Mirrored
	}
	v, _ := workfile.Default(n.section(), n.Key, n.Part)
	return v, Default
}

// home gives the leg that a value of leg i is to be written to: the leg
// itself when it has a value of its own or mirrors none.
func (n LegNumber) home(f *workfile.File, leg int) int {
	if neverMirrored(n.Key) || !n.slot(&f.Legs[leg]).IsNil() {
		return leg
	}
	return Source(f, leg)
}

// SetLegValue sets a number of a leg where it comes from: a leg that mirrors
// another one and has no value of its own changes that one, turned to its
// side. The other numbers of a list stay as they are.
func SetLegValue(f *workfile.File, leg int, n LegNumber, v float64) {
	if !has(f, leg) {
		return
	}
	home := n.home(f, leg)
	full := reflect.New(n.slot(&f.Legs[leg]).Type().Elem())
	w := f.Whole(leg)
	if s := n.slot(&w); !s.IsNil() {
		full.Elem().Set(s.Elem())
	} else if full.Elem().Kind() == reflect.Array {
		for i := range full.Elem().Len() {
			d, _ := workfile.Default(n.section(), n.Key, i)
			full.Elem().Index(i).SetFloat(d)
		}
	}
	switch e := full.Elem(); e.Kind() {
	case reflect.Array:
		e.Index(n.Part).SetFloat(v)
	case reflect.Int:
		e.SetInt(int64(v))
	default:
		e.SetFloat(v)
	}
	if home != leg {
		full = n.turned(f, leg, home, full)
	}
	n.slot(&f.Legs[home]).Set(full)
}

// turned gives what a value of one leg is on the other side: the reader's own
// way of mirroring, which is its own inverse.
func (n LegNumber) turned(f *workfile.File, from, to int, v reflect.Value) reflect.Value {
	a, b := workfile.Leg{Name: "a"}, workfile.Leg{Name: "b", Mirrors: "a"}
	if n.Joint >= 0 { // pulse widths go by which way the servos turn
		p, q := JointOf(&f.Legs[from], n.Joint), JointOf(&f.Legs[to], n.Joint)
		JointOf(&a, n.Joint).Reversed, JointOf(&b, n.Joint).Reversed = p.Reversed, q.Reversed
		if n.Key == "range_us" {
			JointOf(&a, n.Joint).AtDeg, JointOf(&a, n.Joint).AtUs = p.AtDeg, p.AtUs
			JointOf(&b, n.Joint).AtDeg, JointOf(&b, n.Joint).AtUs = q.AtDeg, q.AtUs
		}
	}
	n.slot(&a).Set(v)
	pair := workfile.File{Legs: []workfile.Leg{a, b}}
	w := pair.Whole(1)
	return n.slot(&w)
}

// ClearLegValue takes an optional key out where it comes from, so that its
// default holds, or the value of the leg that this one mirrors.
func ClearLegValue(f *workfile.File, leg int, n LegNumber) {
	if !has(f, leg) {
		return
	}
	s := n.slot(&f.Legs[n.home(f, leg)])
	s.Set(reflect.Zero(s.Type()))
}

// OwnLegValue gives a leg that mirrors another one a value of its own, at
// first the same. A key that is left out on both sides stays so.
func OwnLegValue(f *workfile.File, leg int, n LegNumber) {
	if !has(f, leg) {
		return
	}
	s := n.slot(&f.Legs[leg])
	w := f.Whole(leg)
	v := n.slot(&w)
	if !s.IsNil() || v.IsNil() {
		return
	}
	p := reflect.New(v.Type().Elem())
	p.Elem().Set(v.Elem())
	s.Set(p)
}

// CanShare tells whether a leg may leave a key to the leg that it mirrors.
func CanShare(f *workfile.File, leg int, n LegNumber) bool {
	if has(f, leg) && (n.Key == "centre_us" || n.Key == "us_per_deg") && twinMeasured(f, leg, n.Joint) {
		return false
	}
	return has(f, leg) && f.Legs[leg].Mirrors != "" && !neverMirrored(n.Key) && !n.slot(&f.Legs[leg]).IsNil()
}

// ShareLegValue takes a leg's own value out, so that that of the leg that it
// mirrors holds again.
func ShareLegValue(f *workfile.File, leg int, n LegNumber) {
	if CanShare(f, leg, n) {
		s := n.slot(&f.Legs[leg])
		s.Set(reflect.Zero(s.Type()))
	}
}

// Knee tells on which side a leg has its knee, and where that comes from.
func Knee(f *workfile.File, leg int) (down bool, from Origin) {
	if !has(f, leg) {
		return false, Default
	}
	w := f.Whole(leg)
	switch {
	case f.Legs[leg].Knee != "":
		from = Own
	case w.Knee != "":
		from = Mirrored
	default:
		from = Default
	}
	return w.Knee == "down", from
}

// SetKnee bends a leg the other way, and the leg that it mirrors with it
// unless the leg has a knee of its own.
func SetKnee(f *workfile.File, leg int, down bool) {
	if !has(f, leg) {
		return
	}
	l := &f.Legs[leg]
	if l.Knee == "" {
		l = &f.Legs[Source(f, leg)]
	}
	l.Knee = "up"
	if down {
		l.Knee = "down"
	}
}

// measures lists the keys that legs of one build have in common: not where
// the leg sits and stands, nor what belongs to a single servo.
func measures() []LegNumber {
	all := []LegNumber{
		{Whole, "coxa_mm", 0}, {Whole, "femur_mm", 0}, {Whole, "tibia_mm", 0},
		{Whole, "lateral_mm", 0}, {Whole, "vertical_mm", 0}, {Whole, "tibia_offset_deg", 0},
		{Whole, "foot_radius_mm", 0}, {Whole, "link_radius_mm", 0},
	}
	for j := range kin.Joints {
		for _, key := range [...]string{"range_deg", "mass_g", "centre_mm", "inertia_kg_mm2"} {
			all = append(all, LegNumber{j, key, 0})
		}
	}
	return all
}

// CopyLeg gives every other leg the measurements of one: lengths, offsets,
// radii, knee, joint ranges, servos, masses. Mount, heading, stand point and
// calibration stay. A leg that mirrors another one loses values of its own
// that it then has from there; a leg on the other side of the body gets lateral
// offset and the coxa's range turned round.
func CopyLeg(f *workfile.File, from int) {
	if !has(f, from) {
		return
	}
	w := f.Whole(from)
	for i := range f.Legs {
		if i == from && f.Legs[i].Mirrors == "" {
			continue
		}
		l := &f.Legs[i]
		mirrors := l.Mirrors != ""
		for _, n := range measures() {
			n.copyTo(f, &w, from, i)
		}
		l.Knee = w.Knee
		if mirrors {
			l.Knee = ""
		}
		for j := range kin.Joints {
			JointOf(l, j).Servo = JointOf(&w, j).Servo
			if mirrors {
				JointOf(l, j).Servo = ""
			}
		}
	}
}

// SetMirrors lets a leg mirror another one, "" for none. Values of its own
// stay, and hold against those of the other leg. A leg that is to mirror none
// any more keeps everything that it had from there.
func SetMirrors(f *workfile.File, leg int, name string) error {
	if !has(f, leg) {
		return nil
	}
	l := &f.Legs[leg]
	if name == l.Mirrors {
		return nil
	}
	if name != "" {
		j := slices.IndexFunc(f.Legs, func(m workfile.Leg) bool { return m.Name == name })
		switch {
		case j < 0:
			return refuse("choose one of the robot's legs", "there is no leg %s to mirror", name)
		case j == leg:
			return refuse("choose the leg on the other side", "leg %s cannot mirror itself", name)
		case f.Legs[j].Mirrors != "":
			return refuse("choose a leg with measurements of its own", "leg %s mirrors %s itself", name, f.Legs[j].Mirrors)
		case MirrorOf(f, leg) >= 0:
			return refuse("let that leg mirror none first", "leg %s is mirrored by %s", l.Name, f.Legs[MirrorOf(f, leg)].Name)
		case MirrorOf(f, j) >= 0:
			return refuse("a leg has one leg on the other side", "leg %s is mirrored by %s already", name, f.Legs[MirrorOf(f, j)].Name)
		}
		for k := range kin.Joints {
			if Measured(JointOf(&f.Legs[j], k)) {
				ownPulses(f, leg, k)
			}
		}
		l.Mirrors = name
		return nil
	}
	w := (&workfile.File{Legs: []workfile.Leg{f.Whole(leg)}}).Clone().Legs[0]
	w.Mirrors = ""
	*l = w
	return nil
}

// ShareLeg takes out everything that a leg could have from the leg that it
// mirrors; what belongs to its servos stays.
func ShareLeg(f *workfile.File, leg int) {
	if !has(f, leg) {
		return
	}
	l := &f.Legs[leg]
	if l.Mirrors == "" {
		return
	}
	bare := workfile.Leg{Name: l.Name, Mirrors: l.Mirrors}
	for j := range kin.Joints {
		q, o := JointOf(&bare, j), JointOf(l, j)
		q.Channel, q.Reversed, q.Trim, q.AtDeg, q.AtUs = o.Channel, o.Reversed, o.Trim, o.AtDeg, o.AtUs
		if twinMeasured(f, leg, j) {
			q.CentreUs, q.PerDeg = o.CentreUs, o.PerDeg
		}
	}
	*l = bare
}

// RenameLeg gives a leg another name, everywhere where it is named.
func RenameLeg(f *workfile.File, leg int, name string) {
	if !has(f, leg) {
		return
	}
	old := f.Legs[leg].Name
	if old == name {
		return
	}
	f.Legs[leg].Name = name
	for i := range f.Legs {
		if f.Legs[i].Mirrors == old {
			f.Legs[i].Mirrors = name
		}
	}
	for i := range f.Gaits {
		for _, m := range [...]map[string]float64{f.Gaits[i].Phase, f.Gaits[i].Duties} {
			if v, ok := m[old]; ok {
				delete(m, old)
				m[name] = v
			}
		}
	}
	for i := range f.Moves {
		for j := range f.Moves[i].Feet {
			if t := &f.Moves[i].Feet[j]; t.Leg == old {
				t.Leg = name
			}
		}
	}
}
