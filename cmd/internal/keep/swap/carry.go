package swap

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Carry takes a file of the set that stands now over into the new one as it is:
// by a link, which costs nothing, or by a copy where the disk has no links. It
// reports false where the old set has no such file. A set is never written to
// again, so that two may share what is in a file.
func (w *Writing) Carry(name string) (bool, error) {
	if !fs.ValidPath(name) {
		return false, fmt.Errorf("report %q: not a name for a file within the folder", name)
	}
	if !w.hadOld {
		return false, nil
	}
	from := filepath.Join(w.place.out, filepath.FromSlash(name))
	info, err := os.Lstat(from)
	if errors.Is(err, fs.ErrNotExist) || err == nil && !info.Mode().IsRegular() {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("report %q: %w", name, err)
	}
	if linked, err := w.link(from, name); linked || err != nil {
		return linked, err
	}
	return true, w.copy(from, name)
}

// link gives an old file its name in the new set. It reports false where the disk
// has no links.
func (w *Writing) link(from, name string) (bool, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.over {
		return false, errOver
	}
	if w.failed != nil {
		return false, w.failed
	}
	local := filepath.FromSlash(name)
	if err := w.makeFolder(filepath.Dir(local)); err != nil {
		return false, err
	}
	if err := os.Link(from, filepath.Join(w.place.new(), local)); err != nil {
		return false, nil // copied, or found to be there, by what comes next
	}
	w.names = append(w.names, name)
	return true, nil
}

func (w *Writing) copy(from, name string) error {
	old, err := os.Open(from)
	if err != nil {
		return err
	}
	defer old.Close()
	fresh, err := w.Create(name)
	if err != nil {
		return err
	}
	_, err = io.Copy(fresh, old)
	return errors.Join(err, fresh.Close())
}
