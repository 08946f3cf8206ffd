package night

import (
	"cmp"
	"context"
	"sync"
	"sync/atomic"
)

// Each calls do for 0 … n−1, begun in that order, on several goroutines. After
// an error, and once ctx is done, none is begun. The error is that of the lowest
// number, whichever came first, or that of ctx.
func Each(ctx context.Context, workers, n int, do func(i int) error) error {
	t := newTurns(n, do)
	var wg sync.WaitGroup
	for range min(max(workers, 1), n) {
		wg.Go(func() { t.work(ctx) })
	}
	wg.Wait()
	return t.err(ctx)
}

// turns are 0 … n−1, handed out in that order to whoever works on them.
type turns struct {
	do     func(i int) error
	errs   []error
	next   atomic.Int64
	failed atomic.Bool
}

func newTurns(n int, do func(i int) error) *turns { return &turns{do: do, errs: make([]error, n)} }

// work takes turns until none is left to begin. Any number of goroutines may.
func (t *turns) work(ctx context.Context) {
	for ctx.Err() == nil && !t.failed.Load() {
		i := int(t.next.Add(1)) - 1
		if i >= len(t.errs) {
			return
		}
		if t.errs[i] = t.do(i); t.errs[i] != nil {
			t.failed.Store(true)
		}
	}
}

// err returns the error of the lowest number, or that of ctx, when all work has
// ended.
func (t *turns) err(ctx context.Context) error { return cmp.Or(cmp.Or(t.errs...), ctx.Err()) }

// together runs tasks side by side, or one after another where there is to be
// one worker, and returns the first error in the order of the tasks.
func together(workers int, tasks ...func() error) error {
	if workers > 1 {
		workers = len(tasks)
	}
	return Each(context.Background(), workers, len(tasks), func(i int) error { return tasks[i]() })
}

// each is Each of what can't fail.
func each(ctx context.Context, workers, n int, do func(i int)) error {
	return Each(ctx, workers, n, func(i int) error { do(i); return nil })
}
