// Package parallel spreads work over the processors. Whatever the number of
// workers, its functions return the same error.
//
// Everywhere a number of workers of 0 or less means one for each processor.
package parallel

import (
	"context"
	"errors"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// Workers returns how many goroutines a number of workers means.
func Workers(workers int) int {
	if workers <= 0 {
		return runtime.GOMAXPROCS(0)
	}
	return workers
}

// Do runs all tasks on at most the given number of goroutines and joins their
// errors in the order of the tasks. An error of one does not stop the others;
// a cancelled ctx keeps those from starting that have not begun.
func Do(ctx context.Context, workers int, tasks ...func() error) error {
	errs := make([]error, len(tasks))
	var g errgroup.Group
	g.SetLimit(Workers(workers))
	for i, task := range tasks {
		g.Go(func() error {
			if errs[i] = ctx.Err(); errs[i] == nil {
				errs[i] = task()
			}
			return nil
		})
	}
	_ = g.Wait() // the errors are in errs
	if err := ctx.Err(); err != nil {
		return err
	}
	return errors.Join(errs...)
}

// Each calls do once for each of 0 to n-1, in this order but side by side. It
// returns the error of the least i that had one, and begins no further call
// once one has failed or ctx is cancelled.
func Each(ctx context.Context, workers, n int, do func(i int) error) error {
	type failure struct {
		i   int
		err error
	}
	failures := make([]failure, min(Workers(workers), n))
	var next atomic.Int64
	g, group := errgroup.WithContext(ctx)
	for w := range failures {
		g.Go(func() error {
			for group.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					break
				}
				if err := do(i); err != nil {
					failures[w] = failure{i, err}
					return err
				}
			}
			return nil
		})
	}
	if g.Wait() == nil {
		return ctx.Err()
	}
	// All calls before the first that failed had begun, so the least of the
	// failures is the same in every run.
	var first failure
	for _, f := range failures {
		if f.err != nil && (first.err == nil || f.i < first.i) {
			first = f
		}
	}
	return first.err
}
