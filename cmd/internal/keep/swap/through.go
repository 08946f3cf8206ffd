package swap

import (
	"errors"
	"fmt"
	"os"
	"sync"
)

// Files go to the disk in lots, some of them at once. File systems write down
// what waits together in one go: where the disk has begun with the files of a
// lot (beginSync), the first of them takes the others along, which then need not
// wait. 500 pages one after the other took 3.6 to 4.7 s on ext4, and sixteen at a
// time 1.1 to 1.6 s, which is what syncfs(2) took, too; that call would also wait
// for the files of every other program, reports no lost write on Linux before
// 5.8, and is unknown elsewhere.
const (
	filesInLot = 32
	lotsAtOnce = 4
)

// through writes finished files through to the disk while others are still
// being made, and remembers the first that did not arrive.
type through struct {
	slots chan struct{}
	wg    sync.WaitGroup

	mu  sync.Mutex
	lot []sent // to be sent on when it is full, or by wait
	err error
}

// sent is a file on its way.
type sent struct {
	name  string
	under *os.File
}

func newThrough() *through { return &through{slots: make(chan struct{}, lotsAtOnce)} }

// send takes over a file to sync and close. It blocks while too many are on
// their way.
func (t *through) send(name string, under *os.File) {
	beginSync(under)
	t.mu.Lock()
	t.lot = append(t.lot, sent{name, under})
	var full []sent
	if len(t.lot) == filesInLot {
		full, t.lot = t.lot, nil
	}
	t.mu.Unlock()
	t.sync(full)
}

// sync syncs and closes files on a goroutine of its own.
func (t *through) sync(lot []sent) {
	if len(lot) == 0 {
		return
	}
	t.slots <- struct{}{}
	t.wg.Go(func() {
		defer func() { <-t.slots }()
		for _, f := range lot {
			if err := errors.Join(f.under.Sync(), f.under.Close()); err != nil {
				t.lost(fmt.Errorf("report %q: %w", f.name, err))
			}
		}
	})
}

func (t *through) lost(err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.err == nil {
		t.err = err
	}
}

// wait returns when all files sent have arrived, or one has not.
func (t *through) wait() error {
	t.mu.Lock()
	rest := t.lot
	t.lot = nil
	t.mu.Unlock()
	t.sync(rest)
	t.wg.Wait()
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.err
}
