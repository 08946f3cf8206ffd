package data

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// inOrder lets workers do the pieces 0 to n-1 of some work side by side, and
// hands what each made to take, one after another in the order of the pieces.
// Each piece is made in a slot; there are few, which are used again and again,
// so that the work never runs far ahead of what is taken. After an error of
// take no further piece is begun.
func inOrder[S any](workers, n int, newSlot func() *S, do func(i int, slot *S), take func(i int, slot *S) error) error {
	workers = min(workers, n)
	slots := min(workers+2, n) // a worker need not wait while a piece is taken
	free := make(chan *S, slots)
	done := make([]chan *S, slots)
	for i := range slots {
		free <- newSlot()
		done[i] = make(chan *S, 1)
	}
	var next atomic.Int64
	var stopped atomic.Bool
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			// A piece is begun only with a slot in hand, so that of the pieces
			// not yet taken no two have the same place in done.
			for slot := range free {
				i := int(next.Add(1)) - 1
				if i >= n || stopped.Load() {
					return
				}
				do(i, slot)
				done[i%slots] <- slot
			}
		})
	}
	defer wg.Wait()
	defer close(free)
	for i := range n {
		slot := <-done[i%slots]
		if err := take(i, slot); err != nil {
			stopped.Store(true)
			return err
		}
		free <- slot
	}
	return nil
}

// workersOr returns how many workers are meant: 0 or less is one for each
// processor.
func workersOr(workers int) int {
	if workers <= 0 {
		return runtime.GOMAXPROCS(0)
	}
	return workers
}
