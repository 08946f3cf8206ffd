package batch

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
	errs := make([]error, n)
	var next atomic.Int64
	var failed atomic.Bool
	var wg sync.WaitGroup
	for range min(max(workers, 1), n) {
		wg.Go(func() {
			for ctx.Err() == nil && !failed.Load() {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				if errs[i] = do(i); errs[i] != nil {
					failed.Store(true)
				}
			}
		})
	}
	wg.Wait()
	return cmp.Or(cmp.Or(errs...), ctx.Err())
}

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
