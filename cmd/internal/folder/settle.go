package folder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// settle puts right what a killed run left beside the folder. The caller holds
// the lock.
func (p place) settle() error {
	out, err := look(p.out)
	if err != nil {
		return err
	}
	switch out {
	case noFolder:
		return fmt.Errorf("%s is not a folder: name one for the reports", p.named)
	case foreign:
		return fmt.Errorf("%s: %w", p.named, ErrForeign)
	}
	// Whatever stands at new is half written or half deleted.
	if err := vacate(p.new()); err != nil {
		return err
	}
	old, err := look(p.old())
	switch {
	case err != nil:
		return err
	case old == absent:
		return nil
	case old != ours:
		return vacate(p.old())
	case out == ours:
		return p.tidy()
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

// tidy deletes the set that has been replaced. It does so under the name that
// promises nothing, so that what stands at old is always whole.
func (p place) tidy() error {
	err := os.Rename(p.old(), p.new())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return vacate(p.new())
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
			if found == ours {
				return path, nil
			}
		}
	}
	return "", fmt.Errorf("no reports in %s: %w", out, fs.ErrNotExist)
}
