package swap

import (
	"errors"
	"fmt"
	"os"
	"runtime"
	"sync"
	"syscall"
)

// Files go to the disk in batches, some of them at once. File systems write down
// what waits together in one go: where the disk has begun with the files of a
// batch (beginSync), the first of them takes the others along, which then need not
// wait. 500 pages one after the other took 3.6 to 4.7 s on ext4, and sixteen at a
// time 1.1 to 1.6 s, which is what syncfs(2) took, too; that call would also wait
// for the files of every other program, reports no lost write on Linux before
// 5.8, and is unknown elsewhere.
const (
	filesInBatch  = 32
	batchesAtOnce = 4
)

// syncer writes finished files through to the disk while others are still
// being made, and remembers the first that did not arrive.
type syncer struct {
	slots chan struct{}
	wg    sync.WaitGroup

	mu    sync.Mutex
	batch []pending // handed on when it is full, or by wait
	err   error
}

// pending is a file that is not yet known to be on the disk.
type pending struct {
	name  string
	under *os.File
}

func newSyncer() *syncer { return &syncer{slots: make(chan struct{}, batchesAtOnce)} }

// send takes over a file to sync and close. It blocks while too many are on
// their way.
func (s *syncer) send(name string, under *os.File) {
	beginSync(under)
	s.mu.Lock()
	s.batch = append(s.batch, pending{name, under})
	var full []pending
	if len(s.batch) == filesInBatch {
		full, s.batch = s.batch, nil
	}
	s.mu.Unlock()
	s.sync(full)
}

// sync syncs and closes files on a goroutine of its own.
func (s *syncer) sync(batch []pending) {
	if len(batch) == 0 {
		return
	}
	s.slots <- struct{}{}
	s.wg.Go(func() {
		defer func() { <-s.slots }()
		for _, f := range batch {
			if err := errors.Join(f.under.Sync(), f.under.Close()); err != nil {
				s.lost(fmt.Errorf("report %q: %w", f.name, err))
			}
		}
	})
}

func (s *syncer) lost(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.err == nil {
		s.err = err
	}
}

// wait returns when all files sent have arrived, or one has not.
func (s *syncer) wait() error {
	s.mu.Lock()
	rest := s.batch
	s.batch = nil
	s.mu.Unlock()
	s.sync(rest)
	s.wg.Wait()
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.err
}

// syncDir writes a folder's list of names through to the disk. File systems that
// have no such thing answer EINVAL or ENOTSUP; they have done what they can.
// Windows has no call for it: its file systems keep a journal of names.
func syncDir(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	dir, err := os.Open(path)
	if err != nil {
		return err
	}
	defer dir.Close()
	err = dir.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		return nil
	}
	return err
}
