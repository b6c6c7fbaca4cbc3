// SPDX-License-Identifier: MIT

package changes

import (
	"context"
	"runtime"
	"sync/atomic"

	"gaitwright/motion/sweep"
	"gaitwright/motion/workfile"
)

// work is a sweep under way beside the frames.
type work struct {
	cancel      context.CancelFunc
	done, total atomic.Int64
	out         chan outcome  // has room for the one that comes
	ended       chan struct{} // closed when its goroutines are gone
}

type outcome struct {
	result *sweep.Result
	err    error
}

// begin sweeps f, which must not be written meanwhile. One core is left to the
// frames.
func begin(f *workfile.File, instants int, wake func()) *work {
	ctx, cancel := context.WithCancel(context.Background())
	k := &work{cancel: cancel, out: make(chan outcome, 1), ended: make(chan struct{})}
	go func() {
		defer close(k.ended)
		r, err := sweep.Run(ctx, f, sweep.Options{
			Instants: instants, Workers: max(1, runtime.GOMAXPROCS(0)-1),
			Progress: func(done, total int) {
				k.done.Store(int64(done))
				k.total.Store(int64(total))
			},
		})
		k.out <- outcome{r, err}
		if wake != nil && ctx.Err() == nil {
			wake()
		}
	}()
	return k
}
