// SPDX-License-Identifier: MIT

package sweep

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"gaitwright/motion/workfile"
)

// The instants of a cycle and samples a second where nothing is said.
const (
	Instants = 100
	Rate     = 100 // Hz
)

// MostInstants and MostRate bound a sweep.
const (
	MostInstants = 10_000
	MostRate     = 10_000 // Hz
)

// Options change how a workfile is swept. The zero value is the usual sweep.
type Options struct {
	Instants int     // of a cycle, at phases k/Instants; 0: Instants
	Rate     float64 // of sampling, Hz; 0: Rate
	Workers  int     // runs at the same time; 0: one a core

	// Progress is told how many runs of how many are done, one call at a time.
	// Nil: nobody is told.
	Progress func(done, total int)
}

// Result is what a sweep found. It does not depend on the number of workers.
type Result struct {
	Instants int
	Rate     float64 // Hz
	Gaits    []Gait  // as in the workfile
	Rows     []Row   // pairs of gaits, then gaits with moves, of the gaits that can be walked
	Runs     int     // done
	Total    int     // to be done; 0 when the sweep was interrupted before that was known
	Partial  bool    // the sweep was interrupted
}

// Gait is what a gait does by itself: a cycle of its steady walk.
type Gait struct {
	Name    string
	Command Command
	Word    string // of what forbids it; "" for a gait that can be walked
	Why     string // one plain sentence
	Measure
}

// Walks tells whether the gait can be walked.
func (g *Gait) Walks() bool { return g.Why == "" }

// Row is a change at every instant of the cycle.
type Row struct {
	From  int    // gait walked: index into Result.Gaits
	To    int    // gait asked for; -1 for a move
	Move  int    // move asked for: index into the workfile's; -1 for a gait
	Name  string // in words, such as "tripod to wave"
	Cells []Cell
}

// Cell is one run: what was asked, and what came of it.
type Cell struct {
	From, To, Move int     // as in Row
	Phase          float64 // of From's clock at the request, [0,1)

	Run   bool   // false when the sweep was interrupted before
	Fault string // why the run cannot be played, "" for none; it counts as a stop
	Measure
	Time     float64 // from the request until it is in force, or until the move begins, s
	Back     float64 // from the end of the move until the walk is in force again, s
	Stops    int     // findings of level stop
	Cautions int
	Word     string // of the first stop in time
	Why      string
}

// Bad tells whether the run may not be done on the robot.
func (c *Cell) Bad() bool { return c.Stops > 0 || c.Fault != "" }

// Measure is the worst of some stretch of a motion; NaN where nothing can be
// told.
type Measure struct {
	Static  float64 // smallest static stability margin with feet on the ground, m
	Dynamic float64 // smallest distance of the zero-moment point from the edge of support, m
	At      float64 // of Dynamic, from the request, s
	Slip    float64 // of a planted foot, m
	Speed   float64 // of a joint, share of its servo's speed without load
}

// noMeasure is of no stretch.
func noMeasure() Measure {
	n := math.NaN()
	return Measure{n, n, n, n, n}
}

// least and most pass NaN over.
func least(a, b float64) float64 {
	if a != a || b < a {
		return b
	}
	return a
}

func most(a, b float64) float64 {
	if a != a || b > a {
		return b
	}
	return a
}

// ErrOptions is what Run's errors about its options wrap.
var ErrOptions = errors.New("sweep: unusable options")

func (o *Options) settle() error {
	if o.Instants == 0 {
		o.Instants = Instants
	}
	if o.Rate == 0 {
		o.Rate = Rate
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Instants < 1 || o.Instants > MostInstants {
		return fmt.Errorf("%w: %d instants: want 1 to %d", ErrOptions, o.Instants, MostInstants)
	}
	if !(o.Rate >= 20 && o.Rate <= MostRate) {
		return fmt.Errorf("%w: %v samples a second: want 20 to %d", ErrOptions, o.Rate, MostRate)
	}
	return nil
}

// Run sweeps a workfile. When ctx ends, what is done so far comes back together
// with the context's error. Other errors come from a file that does not pass
// its own check, and from options. Cost: some 6 ms a run of five seconds of six
// legs at 100 Hz, on one core.
func Run(ctx context.Context, f *workfile.File, o Options) (*Result, error) {
	if err := o.settle(); err != nil {
		return nil, err
	}
	s, err := prepare(f)
	if err != nil {
		return nil, err
	}
	r := &Result{Instants: o.Instants, Rate: o.Rate, Gaits: make([]Gait, len(s.gaits))}
	workers := make([]*worker, max(1, o.Workers))
	each := func(n int, do func(w *worker, i int), told func()) {
		next := make(chan int)
		var g sync.WaitGroup
		for k := range workers {
			g.Add(1)
			go func() {
				defer g.Done()
				for i := range next {
					if workers[k] == nil {
						workers[k] = s.worker(o.Rate)
					}
					do(workers[k], i)
					told()
				}
			}()
		}
		for i := 0; i < n && ctx.Err() == nil; i++ {
			select {
			case next <- i:
			case <-ctx.Done():
			}
		}
		close(next)
		g.Wait()
	}
	each(len(s.gaits), func(w *worker, i int) { r.Gaits[i] = w.steady(i) }, func() {})
	if err := ctx.Err(); err != nil {
		r.Gaits, r.Partial = nil, true
		return r, err
	}
	r.rows(f)
	var cells []*Cell
	for i := range r.Rows {
		for k := range r.Rows[i].Cells {
			cells = append(cells, &r.Rows[i].Cells[k])
		}
	}
	r.Total = len(cells)
	var lock sync.Mutex
	each(len(cells), func(w *worker, i int) { w.run(cells[i]) }, func() {
		lock.Lock()
		defer lock.Unlock()
		r.Runs++
		if o.Progress != nil {
			o.Progress(r.Runs, r.Total)
		}
	})
	if r.Runs < r.Total {
		r.Partial = true
		return r, ctx.Err()
	}
	return r, nil
}

// rows lays out what is to be run.
func (r *Result) rows(f *workfile.File) {
	add := func(from, to, move int, name string) {
		row := Row{From: from, To: to, Move: move, Name: name}
		for k := range r.Instants {
			row.Cells = append(row.Cells, Cell{
				From: from, To: to, Move: move, Phase: float64(k) / float64(r.Instants),
				Measure: noMeasure(), Time: math.NaN(), Back: math.NaN(),
			})
		}
		r.Rows = append(r.Rows, row)
	}
	for a := range r.Gaits {
		for b := range r.Gaits {
			if a != b && r.Gaits[a].Walks() && r.Gaits[b].Walks() {
				add(a, b, -1, r.Gaits[a].Name+" to "+r.Gaits[b].Name)
			}
		}
	}
	for a := range r.Gaits {
		for m := range f.Moves {
			if r.Gaits[a].Walks() {
				add(a, -1, m, r.Gaits[a].Name+", move "+f.Moves[m].Name)
			}
		}
	}
}

// Stops counts the runs that may not be done on the robot, and the gaits that
// cannot be walked.
func (r *Result) Stops() (runs, gaits int) {
	for i := range r.Gaits {
		if !r.Gaits[i].Walks() {
			gaits++
		}
	}
	for i := range r.Rows {
		runs += r.Rows[i].Worst().Bad
	}
	return runs, gaits
}

// Worst is the worst of a row.
type Worst struct {
	Run     int     // cells that were run
	Measure         // At is that of Dynamic
	Phase   float64 // of the request with the smallest dynamic margin
	Time    float64 // the longest, s
	Back    float64 // the longest, s
	Bad     int     // cells that may not be done on the robot
	Word    string  // of the first of these; "" when it cannot be played
	Why     string
}

// Worst gathers a row.
func (r *Row) Worst() Worst {
	w := Worst{Measure: noMeasure(), Phase: math.NaN(), Time: math.NaN(), Back: math.NaN()}
	for k := range r.Cells {
		c := &r.Cells[k]
		if !c.Run {
			continue
		}
		w.Run++
		if c.Bad() {
			if w.Bad == 0 {
				w.Word, w.Why = c.Word, c.Why
				if c.Fault != "" {
					w.Why = c.Fault
				}
			}
			w.Bad++
		}
		if d := least(w.Dynamic, c.Dynamic); d != w.Dynamic && d == d {
			w.Dynamic, w.At, w.Phase = d, c.At, c.Phase
		}
		w.Static, w.Slip, w.Speed = least(w.Static, c.Static), most(w.Slip, c.Slip), most(w.Speed, c.Speed)
		w.Time, w.Back = most(w.Time, c.Time), most(w.Back, c.Back)
	}
	return w
}
