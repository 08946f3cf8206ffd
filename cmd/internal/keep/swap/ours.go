package swap

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

const (
	fileMode   fs.FileMode = 0o640
	folderMode fs.FileMode = 0o750
)

// marker is the file by which a whole set of ours is known. What it says is for
// people; that it is there is enough for us, because a kill can cut its text
// short. While a set is written, until it stands in its place, and while it is
// deleted, the file has the name unfinished.
const (
	marker     = ".vanwright-reports"
	unfinished = ".vanwright-unfinished"
)

const markerText = `vanwright writes this folder and replaces it as a whole at every run.
Keep nothing of your own in it.
`

// standing is what is found at a path.
type standing int

const (
	absent   standing = iota
	empty             // a folder with nothing in it
	whole             // a set of ours
	partial           // one that may be half written or half deleted
	foreign           // a folder with anything else
	noFolder          // a file, a link, a device
)

func (s standing) ours() bool { return s == whole || s == partial }

// look says what stands at a path. Links are not followed.
func look(path string) (standing, error) {
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return absent, nil
	}
	if err != nil {
		return absent, err
	}
	if !info.IsDir() {
		return noFolder, nil
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return absent, err
	}
	defer root.Close()
	return lookIn(root)
}

func lookIn(root *os.Root) (standing, error) {
	for _, mark := range []struct {
		name  string
		means standing
	}{{unfinished, partial}, {marker, whole}} {
		info, err := root.Lstat(mark.name)
		if err == nil && info.Mode().IsRegular() {
			return mark.means, nil
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return absent, err
		}
	}
	names, err := names(root)
	switch {
	case err != nil:
		return absent, err
	case len(names) == 0:
		return empty, nil
	}
	return foreign, nil
}

func names(root *os.Root) ([]string, error) {
	dir, err := root.Open(".")
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	return dir.Readdirnames(-1)
}

// vacate frees one of our own names by deleting the folder there, which must be
// ours or empty; nothing there is fine, and anything else is an error. It works
// inside one opened folder and follows no links, so that neither a link in the
// folder nor one in its place leads it astray. The marker says
// first that the set is no longer whole, and goes last: a kill half way leaves a
// folder that is still ours.
func vacate(path string) error {
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	inTheWay := fmt.Errorf("%s is in the way, and vanwright did not write it: move it elsewhere", path)
	if !info.IsDir() {
		return inTheWay
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return err
	}
	defer root.Close()
	if opened, err := root.Stat("."); err != nil || !os.SameFile(info, opened) {
		return errors.Join(inTheWay, err)
	}
	found, err := lookIn(root)
	if err != nil {
		return err
	}
	switch found {
	case foreign:
		// A set that two machines wrote or deleted at once, with locks that do not reach
		// each other, may have lost its marker. Its listing still says what is ours.
		if _, err := root.Lstat(listing); err != nil {
			return inTheWay
		}
		if err := strangers(path, path); err != nil {
			return err
		}
		if err := errors.Join(mark(root), syncDir(path)); err != nil {
			return err
		}
	case whole:
		if err := strangers(path, path); err != nil {
			return err
		}
		if err := errors.Join(root.Rename(marker, unfinished), syncDir(path)); err != nil {
			return err
		}
	}
	if err := removeAllIn(root); err != nil {
		return err
	}
	// Windows does not delete a folder that is open.
	if err := root.Close(); err != nil {
		return err
	}
	return os.Remove(path)
}

// mark says that what stands in a folder is ours and not whole.
func mark(root *os.Root) error {
	f, err := root.OpenFile(unfinished, os.O_WRONLY|os.O_CREATE, fileMode)
	if err != nil {
		return err
	}
	return f.Close()
}

func removeAllIn(root *os.Root) error {
	all, err := names(root)
	if err != nil {
		return err
	}
	for _, name := range all {
		if name == unfinished {
			continue
		}
		if err := root.RemoveAll(name); err != nil {
			return err
		}
	}
	return root.RemoveAll(unfinished)
}

// finish marks the set at path as whole.
func finish(path string) error { return remark(path, unfinished, marker) }

// remark gives the marker of the set at path its other name.
func remark(path, from, to string) error {
	root, err := os.OpenRoot(path)
	if err != nil {
		return err
	}
	err = root.Rename(from, to)
	return errors.Join(err, root.Close(), syncDir(path))
}
