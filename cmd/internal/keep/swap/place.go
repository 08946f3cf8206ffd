package swap

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// place is where a folder of reports really stands, symbolic links resolved.
type place struct {
	named string // as the user wrote it, for messages
	out   string // absolute
}

// beside names one of our own files next to the folder.
func (p place) beside(suffix string) string {
	return filepath.Join(filepath.Dir(p.out), "."+filepath.Base(p.out)+suffix)
}

func (p place) lock() string { return p.beside(".lock") }
func (p place) new() string  { return p.beside(".vanwright-new") }
func (p place) old() string  { return p.beside(".vanwright-old") }

// locate resolves a folder's name without making anything. The folder, and
// folders above it, need not exist.
func locate(named string) (place, error) {
	if named == "" {
		return place{}, errors.New("the folder for reports has no name")
	}
	out, err := resolve(named)
	if err != nil {
		return place{}, fmt.Errorf("folder for reports: %w", err)
	}
	if filepath.Dir(out) == out {
		return place{}, fmt.Errorf("%s is a whole disk: name a folder in it for the reports", named)
	}
	return place{named: named, out: out}, nil
}

// maxLinks is the length of a chain of symbolic links at which we take it for
// a ring; Linux gives up at the same number.
const maxLinks = 40

// resolve is filepath.EvalSymlinks for a path whose last part may be absent,
// or be a link to something absent: the state that a kill between two renames
// leaves behind.
func resolve(path string) (string, error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return filepath.Abs(real)
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	for range maxLinks {
		parent, err := resolveExisting(filepath.Dir(path))
		if err != nil {
			return "", err
		}
		path = filepath.Join(parent, filepath.Base(path))
		info, err := os.Lstat(path)
		if errors.Is(err, fs.ErrNotExist) {
			return path, nil
		}
		if err != nil {
			return "", err
		}
		if info.Mode()&fs.ModeSymlink == 0 {
			return path, nil
		}
		target, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(target) {
			target = filepath.Join(parent, target)
		}
		path = target
	}
	return "", fmt.Errorf("%s: symbolic links that lead to each other", path)
}

// resolveExisting resolves as much of a folder's path as exists.
func resolveExisting(dir string) (string, error) {
	real, err := filepath.EvalSymlinks(dir)
	if !errors.Is(err, fs.ErrNotExist) || filepath.Dir(dir) == dir {
		return real, err
	}
	above, err := resolveExisting(filepath.Dir(dir))
	return filepath.Join(above, filepath.Base(dir)), err
}

// apartFrom refuses a folder for reports that is, lies in, or lies around a
// folder that the run reads: replacing it could take the input with it. Files
// are compared by identity, not by name, so that letter case and links on the
// way make no difference. An input that does not exist is left to its
// reader.
func (p place) apartFrom(input string) error {
	real, err := resolve(input)
	if err != nil {
		return nil
	}
	if within(p.out, real) || within(real, p.out) {
		return fmt.Errorf("%s and %s: the reports need a folder outside the one that they are made from, and not around it", p.named, input)
	}
	return nil
}

// within reports whether path is dir or lies anywhere below it.
func within(path, dir string) bool {
	want, err := os.Stat(dir)
	if err != nil {
		return false
	}
	for {
		if info, err := os.Stat(path); err == nil && os.SameFile(info, want) {
			return true
		}
		above := filepath.Dir(path)
		if above == path {
			return false
		}
		path = above
	}
}
