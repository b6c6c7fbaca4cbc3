// SPDX-License-Identifier: MIT

package edit

import (
	"math"
	"slices"
	"strconv"

	"gaitwright/motion/workfile"
)

// BodyTrack stands for the body's track where the index of a foot track is
// asked for.
const BodyTrack = -1

// Spot names a span.
type Spot struct {
	Move  int // of the file's moves
	Track int // foot track of the move, or BodyTrack
	Span  int // of the track
}

// move gives a move of f.
func moveAt(f *workfile.File, i int) (*workfile.Move, error) {
	if i < 0 || i >= len(f.Moves) {
		return nil, refuse("choose a move that there is", "there is no move number %d", i+1)
	}
	return &f.Moves[i], nil
}

// trackAt gives a foot track of a move.
func trackAt(f *workfile.File, move, track int) (*workfile.Move, *workfile.FootTrack, error) {
	m, err := moveAt(f, move)
	if err != nil {
		return nil, nil, err
	}
	if track < 0 || track >= len(m.Feet) {
		return m, nil, refuse("choose a track that there is", "the move %s has no foot track number %d", m.Name, track+1)
	}
	return m, &m.Feet[track], nil
}

// spanAt gives the move and the marks on which the spans of a track end; the
// span must be there.
func spanAt(f *workfile.File, s Spot) (m *workfile.Move, to []string, err error) {
	if m, err = moveAt(f, s.Move); err != nil {
		return nil, nil, err
	}
	if to, err = ends(m, s.Track); err != nil {
		return nil, nil, err
	}
	if s.Span < 0 || s.Span >= len(to) {
		return nil, nil, refuse("choose a span that there is", "the track has no span number %d", s.Span+1)
	}
	return m, to, nil
}

// ends lists the marks on which the spans of a track end.
func ends(m *workfile.Move, track int) (to []string, err error) {
	switch {
	case track == BodyTrack:
		for i := range m.Body {
			to = append(to, m.Body[i].To)
		}
	case track >= 0 && track < len(m.Feet):
		for i := range m.Feet[track].Spans {
			to = append(to, m.Feet[track].Spans[i].To)
		}
	default:
		return nil, refuse("choose a track that there is", "the move %s has no foot track number %d", m.Name, track+1)
	}
	return to, nil
}

// markIndex finds a mark by its name, -1 for none.
func markIndex(m *workfile.Move, name string) int {
	return slices.IndexFunc(m.Marks, func(k workfile.Mark) bool { return k.Name == name })
}

// SpanTimes gives when a span of a move begins and ends, ms of the move.
func SpanTimes(f *workfile.File, s Spot) (from, to float64, ok bool) {
	m, names, err := spanAt(f, s)
	if err != nil {
		return 0, 0, false
	}
	if s.Span > 0 {
		if i := markIndex(m, names[s.Span-1]); i >= 0 {
			from = m.Marks[i].At
		}
	}
	i := markIndex(m, names[s.Span])
	if i < 0 {
		return 0, 0, false
	}
	return from, m.Marks[i].At, true
}

// MoveLength gives the time of a move's last mark, ms.
func MoveLength(m *workfile.Move) float64 {
	if len(m.Marks) == 0 {
		return 0
	}
	return m.Marks[len(m.Marks)-1].At
}

// endings is the set of marks on which something ends.
func endings(m *workfile.Move) map[string]bool {
	used := map[string]bool{}
	for i := range m.Body {
		used[m.Body[i].To] = true
	}
	for i := range m.Feet {
		for j := range m.Feet[i].Spans {
			used[m.Feet[i].Spans[j].To] = true
		}
	}
	return used
}

// dropMarks takes out the marks on which something ended before and nothing
// ends now. A mark that nothing ever ended on stays, and so does the last one
// that there is: a move needs one.
func dropMarks(m *workfile.Move, before map[string]bool) {
	now := endings(m)
	kept := slices.DeleteFunc(slices.Clone(m.Marks), func(k workfile.Mark) bool { return before[k.Name] && !now[k.Name] })
	if len(kept) == 0 && len(m.Marks) > 0 {
		kept = m.Marks[len(m.Marks)-1:]
	}
	m.Marks = kept
}

// addMark puts a mark where it belongs in time, under a name of its own, and
// gives that name: a bare number where the name is taken, since short spans
// have room for little more on the screen. One that stands at that time already is taken instead.
func addMark(m *workfile.Move, name string, at float64) string {
	i := 0
	for i < len(m.Marks) && m.Marks[i].At < at-1e-9 {
		i++
	}
	if i < len(m.Marks) && math.Abs(m.Marks[i].At-at) < 1e-9 {
		return m.Marks[i].Name
	}
	for k := 2; markIndex(m, name) >= 0; k++ {
		name = strconv.Itoa(k)
	}
	m.Marks = slices.Insert(m.Marks, i, workfile.Mark{Name: name, At: at})
	return name
}

// micro rounds to a thousandth, to which edits write millimetres and degrees.
func micro(v float64) float64 {
	if v = math.Round(v*1e3) / 1e3; v == 0 {
		return 0 // no negative zero in the file
	}
	return v
}

// handle gives a handle to write: none when it lies on its end.
func handle(v [3]float64) *[3]float64 {
	for i := range v {
		v[i] = micro(v[i])
	}
	if v == ([3]float64{}) {
		return nil
	}
	return &v
}

func handleOr(p *[3]float64) [3]float64 {
	if p == nil {
		return [3]float64{}
	}
	return *p
}
