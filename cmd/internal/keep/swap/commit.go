package swap

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// Commit puts the new set in the place of the old one, and keeps or deletes the
// old. An error means that the old set stands, save for the one case that says
// otherwise: the system could not confirm that the change has reached the disk.
// After an error the caller still calls Abort.
func (w *Writing) Commit() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.over {
		return errOver
	}
	if err := w.replace(); err != nil {
		w.noteFailure(err)
		return fmt.Errorf("reports not replaced: %w", err)
	}
	w.over = true
	defer w.lock.Close()
	if err := syncDir(filepath.Dir(w.place.out)); err != nil {
		// The old set stays beside the new until the next run: after a power
		// cut it may be the only one.
		return fmt.Errorf("reports replaced, but the disk did not confirm it: %w", err)
	}
	w.leftover = errors.Join(finish(w.place.out), w.place.tidy(w.keep))
	if w.leftover == nil && w.keep.Sets > 0 {
		w.leftover = w.place.prune(w.keep)
	}
	return nil
}

func (w *Writing) replace() error {
	if w.failed != nil {
		return w.failed
	}
	for f := range w.open {
		return fmt.Errorf("report %q is still being written", f.name)
	}
	if err := w.list(); err != nil {
		return err
	}
	if err := w.syncer.wait(); err != nil {
		return err
	}
	if err := w.stillOurs(); err != nil {
		return err
	}
	for dir := range w.folders {
		if err := syncDir(filepath.Join(w.place.new(), dir)); err != nil {
			return err
		}
	}
	if w.keep.Sets > 0 && w.hadOld {
		if err := w.place.makeKept(); err != nil {
			return err
		}
	}
	// Windows does not rename a folder that is open.
	if err := w.close(); err != nil {
		return err
	}
	err := w.swap()
	if errors.Is(err, syscall.EBUSY) {
		return fmt.Errorf("%s is a mount point or in use: name a folder in it instead: %w", w.place.named, err)
	}
	return err
}

// swap is the moment at which new reports become the reports.
func (w *Writing) swap() error {
	p := w.place
	found, err := look(p.out)
	if err != nil {
		return err
	}
	switch found {
	case absent:
		return os.Rename(p.new(), p.out)
	case empty:
		// Only unix renames onto an empty folder. Remove, too, fails should
		// the folder have been filled meanwhile.
		if err := os.Remove(p.out); err != nil {
			return err
		}
		return os.Rename(p.new(), p.out)
	case whole, partial:
		// Once more, since a run takes its time.
		if err := cmp.Or(w.stillOurs(), strangers(p.out, p.named)); err != nil {
			return err
		}
		err := w.exchange(p.new(), p.out)
		if errors.Is(err, errors.ErrUnsupported) {
			return p.swapByTwoRenames()
		}
		return err
	}
	return fmt.Errorf("%s: %w", p.named, ErrForeign)
}

// swapByTwoRenames is for systems and file systems that can't exchange names.
func (p place) swapByTwoRenames() error {
	if err := os.Rename(p.out, p.old()); err != nil {
		return err
	}
	if err := os.Rename(p.new(), p.out); err != nil {
		return errors.Join(err, os.Rename(p.old(), p.out))
	}
	return nil
}

// Leftover says, after a successful Commit, why a replaced set could not be
// kept or deleted; nil where it was. It is worth a warning: the next run tries
// again.
func (w *Writing) Leftover() error { return w.leftover }
