// SPDX-License-Identifier: MIT

package edit

import (
	"slices"

	"gaitwright/motion/workfile"
)

// partner gives the name of the leg on the other side of a leg, "" for none.
func partner(f *workfile.File, leg string) string {
	for i := range f.Legs {
		l := &f.Legs[i]
		switch {
		case l.Name == leg && l.Mirrors != "":
			return l.Mirrors
		case l.Mirrors != "" && l.Mirrors == leg:
			return l.Name
		}
	}
	return ""
}

// Moved lists the legs that a foot track moves, its own first.
func Moved(f *workfile.File, t *workfile.FootTrack) []string {
	legs := []string{t.Leg}
	if o := partner(f, t.Leg); t.Pair && o != "" {
		legs = append(legs, o)
	}
	return legs
}

// TrackOf gives the foot track that moves a leg in a move, -1 for none.
func TrackOf(f *workfile.File, move int, leg string) int {
	if move < 0 || move >= len(f.Moves) {
		return -1
	}
	return slices.IndexFunc(f.Moves[move].Feet, func(t workfile.FootTrack) bool { return slices.Contains(Moved(f, &t), leg) })
}

// vacant says why legs cannot be given a track in a move.
func vacant(f *workfile.File, move int, leg string, pair bool) error {
	if !slices.ContainsFunc(f.Legs, func(l workfile.Leg) bool { return l.Name == leg }) {
		return refuse("choose one of the robot's legs", "there is no leg %s", leg)
	}
	if pair && partner(f, leg) == "" {
		return refuse("add the leg alone", "leg %s has no leg that mirrors it", leg)
	}
	for _, l := range Moved(f, &workfile.FootTrack{Leg: leg, Pair: pair}) {
		if TrackOf(f, move, l) >= 0 {
			return refuse("remove that track first", "leg %s has a track in the move %s already", l, f.Moves[move].Name)
		}
	}
	return nil
}

// AddFootTrack adds a track for a leg, or for it and its mirror, and gives its
// index. The foot stands through the whole move: split that span where it is
// to move.
func AddFootTrack(f *workfile.File, move int, leg string, pair bool) (track int, err error) {
	err = attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		if err := vacant(f, move, leg, pair); err != nil {
			return err
		}
		m.Feet = append(m.Feet, workfile.FootTrack{Leg: leg, Pair: pair, Spans: []workfile.FootSpan{
			{To: m.Marks[len(m.Marks)-1].Name, Hold: "planted"},
		}})
		track = len(m.Feet) - 1
		return nil
	})
	return track, err
}

// AddBodyTrack adds a track for the body that keeps it in its stand pose until
// the end of the move.
func AddBodyTrack(f *workfile.File, move int) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		if len(m.Body) > 0 {
			return refuse("shape that one", "the body has a track in the move %s already", m.Name)
		}
		m.Body = []workfile.BodySpan{{To: m.Marks[len(m.Marks)-1].Name}}
		return nil
	})
}

// RemoveTrack takes a track out, and the marks on which nothing ends any more.
func RemoveTrack(f *workfile.File, move, track int) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		before := endings(m)
		switch {
		case track == BodyTrack && len(m.Body) == 0:
			return refuse("", "the body has no track in the move %s", m.Name)
		case track == BodyTrack:
			m.Body = nil
		default:
			if _, _, err := trackAt(f, move, track); err != nil {
				return err
			}
			m.Feet = slices.Delete(m.Feet, track, track+1)
		}
		dropMarks(m, before)
		return nil
	})
}

// onLeft tells on which side of the robot a leg is mounted.
func onLeft(f *workfile.File, leg string) bool {
	i := slices.IndexFunc(f.Legs, func(l workfile.Leg) bool { return l.Name == leg })
	if i < 0 {
		return false
	}
	if f.Legs[i].Mirrors != "" { // its numbers are those of the other side
		if j := slices.IndexFunc(f.Legs, func(l workfile.Leg) bool { return l.Name == f.Legs[i].Mirrors }); j >= 0 && f.Legs[i].Mount == nil {
			return f.Legs[j].Mount != nil && f.Legs[j].Mount[1] < 0
		}
	}
	return f.Legs[i].Mount != nil && f.Legs[i].Mount[1] > 0
}

// CopyTrack gives a leg, or it and its mirror, the spans of another track of
// the same move, in place of the track that it has, and gives the index of the
// copy. Points are measured from each leg's own standing point; on the other
// side of the robot the copy is mirrored, so that outward stays outward.
func CopyTrack(f *workfile.File, move, track int, leg string, pair bool) (index int, err error) {
	err = attempt(f, func(f *workfile.File) error {
		m, t, err := trackAt(f, move, track)
		if err != nil {
			return err
		}
		spans := cloneSpans(t.Spans)
		if onLeft(f, t.Leg) != onLeft(f, leg) {
			flipSpans(spans)
		}
		to := workfile.FootTrack{Leg: leg, Pair: pair, Spans: spans}
		targets := Moved(f, &to)
		for _, l := range Moved(f, t) {
			if slices.Contains(targets, l) {
				return refuse("choose another leg", "leg %s is moved by this track itself", l)
			}
		}
		before := endings(m)
		if err := evict(f, move, targets); err != nil {
			return err
		}
		if err := vacant(f, move, leg, pair); err != nil {
			return err
		}
		m.Feet = append(m.Feet, to)
		index = len(m.Feet) - 1
		dropMarks(m, before)
		return nil
	})
	return index, err
}

// evict takes the tracks of legs out of a move. A track that moves a pair of
// which only one leg is asked for goes on with the other leg.
func evict(f *workfile.File, move int, legs []string) error {
	m := &f.Moves[move]
	for i := len(m.Feet) - 1; i >= 0; i-- {
		t := &m.Feet[i]
		var stay []string
		moved := Moved(f, t)
		for _, l := range moved {
			if !slices.Contains(legs, l) {
				stay = append(stay, l)
			}
		}
		switch {
		case len(stay) == len(moved):
		case len(stay) == 0:
			m.Feet = slices.Delete(m.Feet, i, i+1)
		default:
			if stay[0] != t.Leg {
				flipSpans(t.Spans)
			}
			t.Leg, t.Pair = stay[0], false
		}
	}
	return nil
}

func cloneSpans(in []workfile.FootSpan) []workfile.FootSpan {
	m := workfile.File{Moves: []workfile.Move{{Feet: []workfile.FootTrack{{Spans: in}}}}}
	return m.Clone().Moves[0].Feet[0].Spans
}

// flipSpans mirrors spans to the other side, left for right.
func flipSpans(spans []workfile.FootSpan) {
	for i := range spans {
		for _, p := range [...]*[3]float64{spans[i].End, spans[i].Out, spans[i].In} {
			flip(p, 1)
		}
	}
}

// flip turns the sign of some coordinates, none for a point left out.
func flip(p *[3]float64, which ...int) {
	if p == nil {
		return
	}
	for _, i := range which {
		if p[i] != 0 { // no negative zero in the file
			p[i] = -p[i]
		}
	}
}

// flipBody mirrors the body's spans: shifts to the side, roll and yaw turn
// their sign.
func flipBody(spans []workfile.BodySpan) {
	for i := range spans {
		s := &spans[i]
		for _, p := range [...]*[3]float64{&s.Shift, s.ShiftOut, s.ShiftIn} {
			flip(p, 1)
		}
		for _, p := range [...]*[3]float64{&s.Lean, s.LeanOut, s.LeanIn} {
			flip(p, 0, 2)
		}
	}
}

// MirrorTrack does with the other side's leg, mirrored, what the track does. A
// track of that leg comes to this side in exchange; doing it twice changes
// nothing. The body's track turns to the other side.
func MirrorTrack(f *workfile.File, move, track int) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		if track == BodyTrack {
			flipBody(m.Body)
			return nil
		}
		_, t, err := trackAt(f, move, track)
		if err != nil {
			return err
		}
		if t.Pair {
			return refuse("make it two tracks first", "a pair of legs does the same on both sides already")
		}
		o := partner(f, t.Leg)
		if o == "" {
			return refuse("choose a leg that has one", "leg %s has no leg that mirrors it", t.Leg)
		}
		if i := TrackOf(f, move, o); i >= 0 {
			m.Feet[i].Leg = t.Leg
			flipSpans(m.Feet[i].Spans)
		}
		t.Leg = o
		flipSpans(t.Spans)
		return nil
	})
}

// MirrorMove does the whole move left for right. Pairs stay as they are.
func MirrorMove(f *workfile.File, move int) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		flipBody(m.Body)
		for i := range m.Feet {
			t := &m.Feet[i]
			if t.Pair {
				continue
			}
			o := partner(f, t.Leg)
			if o == "" {
				return refuse("remove its track first", "leg %s has no leg that mirrors it", t.Leg)
			}
			t.Leg = o
			flipSpans(t.Spans)
		}
		return nil
	})
}

// SetPair lets a track move the mirrored leg as well, in place of the track
// that it has; or makes two tracks of a pair's, which move as before.
func SetPair(f *workfile.File, move, track int, on bool) error {
	return attempt(f, func(f *workfile.File) error {
		m, t, err := trackAt(f, move, track)
		if err != nil || t.Pair == on {
			return err
		}
		o := partner(f, t.Leg)
		if o == "" {
			return refuse("choose a leg that has one", "leg %s has no leg that mirrors it", t.Leg)
		}
		if !on {
			t.Pair = false
			spans := cloneSpans(t.Spans)
			flipSpans(spans)
			m.Feet = slices.Insert(m.Feet, track+1, workfile.FootTrack{Leg: o, Spans: spans})
			return nil
		}
		before := endings(m)
		t.Pair = true
		if i := slices.IndexFunc(m.Feet, func(u workfile.FootTrack) bool { return !u.Pair && u.Leg == o }); i >= 0 {
			m.Feet = slices.Delete(m.Feet, i, i+1)
		}
		dropMarks(m, before)
		return nil
	})
}
