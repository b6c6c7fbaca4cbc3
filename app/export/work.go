// SPDX-License-Identifier: MIT

package export

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"strings"
	"sync/atomic"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/table"
)

// Outcome is what choices come to.
type Outcome struct {
	Files  []table.File // the tables' own first
	Own    int          // of them
	Rows   []Row
	Bytes  int          // of the tables' numbers as the controller holds them
	Size   *table.Size  // on the part, for the player; nil where none is asked for
	Plain  *table.Plain // on the part, for the other C; nil where none is asked for
	Advice string       // what would fit when this does not, "" for nothing
	Err    error        // why nothing can be written
}

// Row is one table.
type Row struct {
	Name     string
	Duration float64 // s
	Frames   int
	Rate     float64 // Hz
	OffUs    float64 // greatest error of a pulse between frames, µs; only with Judged
	OffMM    float64 // greatest error of a foot's place, mm; only with Judged
	Judged   bool
}

// Given is what tables are made of.
type Given struct {
	Rehearsal *rehearsal.Rehearsal
	Name      string // of the workfile
	Text      []byte // of the workfile
}

// work is an outcome being worked out beside the frames.
type work struct {
	of          Choices
	cancel      context.CancelFunc
	done, total atomic.Int64  // tables
	out         chan *Outcome // has room for the one that comes
}

func begin(g Given, c Choices, wake func()) *work {
	ctx, cancel := context.WithCancel(context.Background())
	k := &work{of: c, cancel: cancel, out: make(chan *Outcome, 1)}
	go func() {
		o := prepare(ctx, g, c, func(done, total int) {
			k.done.Store(int64(done))
			k.total.Store(int64(total))
			if wake != nil && ctx.Err() == nil {
				wake()
			}
		})
		k.out <- o
		if wake != nil && ctx.Err() == nil {
			wake()
		}
	}()
	return k
}

// Make works out what choices come to.
func Make(g Given, c Choices) *Outcome {
	return prepare(context.Background(), g, c, func(int, int) {})
}

func prepare(ctx context.Context, g Given, c Choices, told func(done, total int)) *Outcome {
	c = c.InForce()
	o := &Outcome{Err: c.check()}
	switch {
	case o.Err != nil:
	case c.Format.Played():
		o.Err = o.played(ctx, g, c, told)
	default:
		o.Err = o.plain(g, c)
	}
	if o.Err != nil {
		o.Files = nil
	}
	return o
}

// plain makes tables of pulses and angles.
func (o *Outcome) plain(g Given, c Choices) error {
	from := g.Rehearsal.Table
	if c.What == Whole {
		from = g.Rehearsal.WholeTable
	}
	t, err := from(g.Name, g.Text, c.Rate)
	if err != nil {
		return err
	}
	for i := range t.Moves {
		m := &t.Moves[i]
		o.Rows = append(o.Rows, Row{Name: m.Name, Duration: t.Duration(m), Frames: m.Frames, Rate: t.Rate})
		o.Bytes += 2 * (len(m.Pulse) + len(m.Angle))
	}
	if o.Files, err = t.Files([...]table.Format{AVR: table.AVR, C: table.C, CSV: table.CSV, JSON: table.JSON}[c.Format]); err != nil {
		return err
	}
	o.Own = len(o.Files)
	if c.Part == "" {
		return nil
	}
	p, err := table.ParsePart(c.Part)
	if err != nil {
		return err
	}
	s := t.SizeOn(p)
	o.Plain = &s
	return s.Err()
}

// played makes tables for the player, one after the other.
func (o *Outcome) played(ctx context.Context, g Given, c Choices, told func(done, total int)) error {
	r := g.Rehearsal
	clips, err := table.Clips(r.Built, r.Plan, c.which())
	if err != nil {
		return err
	}
	sum := sha256.Sum256(g.Text)
	base := filepath.Base(g.Name)
	about := table.Options{
		Name: strings.TrimSuffix(base, filepath.Ext(base)), Workfile: base, SHA256: hex.EncodeToString(sum[:]), Findings: r.Grounded(),
	}
	build := func(c Choices, told func(done, total int)) (*table.Set, error) {
		var set *table.Set
		for i := range clips {
			told(i, len(clips))
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			how := c.how(r.Built)
			how.Quit = func() bool { return ctx.Err() != nil }
			one, err := table.NewSet(r.Built, clips[i:i+1], how, about)
			if err != nil {
				return nil, err
			}
			if set == nil {
				set = one
				continue
			}
			set.Sheets = append(set.Sheets, one.Sheets...)
		}
		return set, nil
	}
	set, err := build(c, told)
	if err != nil {
		return err
	}
	for _, s := range set.Sheets {
		b, err := s.Binary()
		if err != nil {
			return err
		}
		o.Bytes += len(b)
		o.Rows = append(o.Rows, Row{s.Name, s.Duration, s.Frames, s.Rate(), s.WorstUs, s.WorstMM, true})
	}
	if c.Part != "" {
		p, err := table.ParsePart(c.Part)
		if err != nil {
			return err
		}
		size, err := set.SizeOn(p)
		if err != nil {
			return err
		}
		o.Size = &size
		if err := size.Err(); err != nil {
			o.Advice = advice(set, c, p, func() (*table.Set, error) {
				packed := c
				packed.Packed = true
				return build(packed, func(int, int) {})
			})
			return err
		}
	}
	if o.Files, err = set.Sources(); c.Format == Binary {
		o.Files, err = set.Binaries()
	}
	if o.Own = len(o.Files); err != nil || !c.WithPlayer {
		return err
	}
	more, err := set.Player()
	o.Files = append(o.Files, more...)
	return err
}

// advice says what would fit, by trying it.
func advice(set *table.Set, c Choices, p table.Part, packed func() (*table.Set, error)) string {
	fits := func(set *table.Set, p table.Part) bool {
		s, err := set.SizeOn(p)
		return err == nil && s.Err() == nil
	}
	if !c.Packed {
		if set, err := packed(); err == nil && fits(set, p) {
			return "Packed, the same tables fit."
		}
	}
	for _, q := range table.Parts() {
		if q.Flash > p.Flash && fits(set, q) {
			return "They fit an " + PartName(q.Name) + "."
		}
	}
	return ""
}

// PartName writes a part as its datasheet does.
func PartName(s string) string {
	if rest, ok := strings.CutPrefix(s, "atmega"); ok {
		return "ATmega" + strings.ToUpper(rest)
	}
	return strings.ToUpper(s)
}
