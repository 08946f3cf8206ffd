package swap

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// settle puts right what a killed run left beside the folder. The caller holds
// the lock.
func (p place) settle(keep Keep) error {
	out, err := look(p.out)
	if err != nil {
		return err
	}
	switch out {
	case noFolder:
		return fmt.Errorf("%s is not a folder: name one for the reports", p.named)
	case foreign:
		return fmt.Errorf("%s: %w", p.named, ErrForeign)
	case partial:
		// It stands in its place, so it is whole: the last run was killed
		// before it could say so.
		if err := finish(p.out); err != nil {
			return err
		}
	}
	// A whole set at new has been replaced; any other is half written or half
	// deleted.
	if err := p.dispose(p.new(), keep); err != nil {
		return err
	}
	old, err := look(p.old())
	switch {
	case err != nil:
		return err
	case old == absent:
		return nil
	case !old.ours():
		return vacate(p.old())
	case out.ours():
		return p.tidy(keep)
	}
	// The last run was killed between its two renames.
	if out == empty {
		if err := os.Remove(p.out); err != nil {
			return err
		}
	}
	if err := os.Rename(p.old(), p.out); err != nil {
		return err
	}
	return syncDir(filepath.Dir(p.out))
}

// tidy keeps or deletes the set that has been replaced: the one at new where
// the names were exchanged, or else the one at old. It deletes under the name
// that promises nothing, so that what stands at old is always whole.
func (p place) tidy(keep Keep) error {
	if err := p.dispose(p.new(), keep); err != nil {
		return err
	}
	err := os.Rename(p.old(), p.new())
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return p.dispose(p.new(), keep)
}

// dispose keeps a whole set where sets are kept, and deletes it otherwise.
func (p place) dispose(path string, keep Keep) error {
	if keep.Sets > 0 {
		found, err := look(path)
		if err != nil {
			return err
		}
		if found == whole {
			return p.keep(path, keep)
		}
	}
	return vacate(path)
}

// Current returns the folder in which the reports called out stand now, links
// resolved, for a program that reads them. This is out itself, or, where a run
// was killed in the act of replacing it, the old set beside it; the next run
// puts that back. Current changes nothing and takes no lock. Where there are
// no reports the error is fs.ErrNotExist.
func Current(out string) (string, error) {
	p, err := locate(out)
	if err != nil {
		return "", err
	}
	// Twice, because a run at work may move the set while we look.
	for range 2 {
		for _, path := range []string{p.out, p.old()} {
			found, err := look(path)
			if err != nil {
				return "", err
			}
			if found.ours() {
				return path, nil
			}
		}
	}
	return "", fmt.Errorf("no reports in %s: %w", out, fs.ErrNotExist)
}

// Within reports whether a path, which need not exist, is a set of reports or
// lies in one: what is put there is lost when the set is replaced.
func Within(path string) (bool, error) {
	path, err := resolve(path)
	if err != nil {
		return false, err
	}
	for {
		if found, err := look(path); err == nil && found.ours() {
			return true, nil
		}
		above := filepath.Dir(path)
		if above == path {
			return false, nil
		}
		path = above
	}
}
