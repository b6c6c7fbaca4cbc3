// SPDX-License-Identifier: MIT

package edit

import (
	"math"
	"strconv"
	"strings"

	"gaitwright/motion/workfile"
)

const (
	leastGap = 1.0      // between marks, ms
	mostTime = 600000.0 // of a mark, ms
)

// RenameMark gives a mark another name, in every track that ends on it.
func RenameMark(f *workfile.File, move, mark int, name string) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := markAt(f, move, mark)
		if err != nil {
			return err
		}
		if name = strings.TrimSpace(name); name == "" {
			return refuse("type one", "a mark needs a name")
		}
		if i := markIndex(m, name); i >= 0 && i != mark {
			return refuse("choose another name", "the move %s has a mark called %s already", m.Name, name)
		}
		old := m.Marks[mark].Name
		m.Marks[mark].Name = name
		for i := range m.Body {
			if m.Body[i].To == old {
				m.Body[i].To = name
			}
		}
		for i := range m.Feet {
			for j := range m.Feet[i].Spans {
				if s := &m.Feet[i].Spans[j]; s.To == old {
					s.To = name
				}
			}
		}
		return nil
	})
}

func markAt(f *workfile.File, move, mark int) (*workfile.Move, error) {
	m, err := moveAt(f, move)
	if err != nil {
		return nil, err
	}
	if mark < 0 || mark >= len(m.Marks) {
		return nil, refuse("choose a mark that there is", "the move %s has no mark number %d", m.Name, mark+1)
	}
	return m, nil
}

// MarkIndex finds a mark of a move by its name, -1 for none.
func MarkIndex(f *workfile.File, move int, name string) int {
	if move < 0 || move >= len(f.Moves) {
		return -1
	}
	return markIndex(&f.Moves[move], name)
}

// RetimeRange gives the earliest and the latest time that a mark can have, ms:
// after the mark before it, and, when the later ones stay, before the next.
func RetimeRange(f *workfile.File, move, mark int, along bool) (least, most float64) {
	m, err := markAt(f, move, mark)
	if err != nil {
		return 0, 0
	}
	least = leastGap
	if mark > 0 {
		least = m.Marks[mark-1].At + leastGap
	}
	last := len(m.Marks) - 1
	switch {
	case along:
		most = mostTime - (m.Marks[last].At - m.Marks[mark].At)
	case mark < last:
		most = m.Marks[mark+1].At - leastGap
	default:
		most = mostTime
	}
	return least, most
}

// Retime puts a mark at another time, ms. Along, all later marks move by as
// much, so that only the spans that end on this mark change their length;
// else the later ones stay, and the next span makes up for it.
func Retime(f *workfile.File, move, mark int, at float64, along bool) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := markAt(f, move, mark)
		if err != nil {
			return err
		}
		least, most := RetimeRange(f, move, mark, along)
		if !(at >= least-1e-9) {
			if mark == 0 {
				return refuse("give it 1 ms or later", "the mark %s cannot be at %s ms", m.Marks[mark].Name, plainMs(at))
			}
			return refuse("give it "+plainMs(least)+" ms or later, or move that one first",
				"at %s ms the mark %s would not be after %s", plainMs(at), m.Marks[mark].Name, m.Marks[mark-1].Name)
		}
		if !(at <= most+1e-9) {
			if !along && mark+1 < len(m.Marks) {
				return refuse("let the later marks move along, or give it "+plainMs(most)+" ms or earlier",
					"at %s ms the mark %s would not be before %s", plainMs(at), m.Marks[mark].Name, m.Marks[mark+1].Name)
			}
			return refuse("keep it to 600 s", "the move would be too long with the mark %s at %s ms", m.Marks[mark].Name, plainMs(at))
		}
		by := at - m.Marks[mark].At
		m.Marks[mark].At = at
		for i := mark + 1; along && i < len(m.Marks); i++ {
			m.Marks[i].At = nano(m.Marks[i].At + by)
		}
		return nil
	})
}

// nano takes away what rounding adds to sums of times, ms.
func nano(v float64) float64 { return math.Round(v*1e6) / 1e6 }

func plainMs(v float64) string { return strconv.FormatFloat(v, 'g', 8, 64) }

// ScaleMove makes a move last factor times as long, all of its marks with it.
// The cool-down, which is a pause, stays.
func ScaleMove(f *workfile.File, move int, factor float64) error {
	return attempt(f, func(f *workfile.File) error {
		m, err := moveAt(f, move)
		if err != nil {
			return err
		}
		if !(factor > 0) || math.IsInf(factor, 0) {
			return refuse("give a factor above 0", "a move cannot last %v times as long", factor)
		}
		last := 0.0
		for i := range m.Marks {
			at := nano(m.Marks[i].At * factor)
			switch {
			case at-last < leastGap-1e-9:
				return refuse("make it less fast", "the marks would come closer than 1 ms at %s", m.Marks[i].Name)
			case at > mostTime:
				return refuse("keep it to 600 s", "the move would be too long")
			}
			m.Marks[i].At, last = at, at
		}
		return nil
	})
}
