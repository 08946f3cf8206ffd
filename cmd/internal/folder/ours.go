package folder

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

// marker is the file by which a folder is known to be ours. What it says is
// for people; that it is there is enough for us, because a kill can cut its
// text short.
const marker = ".vanwright-reports"

const markerText = `vanwright writes this folder and replaces it as a whole at every run.
Keep nothing of your own in it.
`

// standing is what is found at a path.
type standing int

const (
	absent   standing = iota
	empty             // a folder with nothing in it
	ours              // a folder with our marker
	foreign           // a folder with anything else
	noFolder          // a file, a link, a device
)

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
	info, err := root.Lstat(marker)
	if err == nil && info.Mode().IsRegular() {
		return ours, nil
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return absent, err
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
// folder nor one in its place leads it astray. The marker goes last: a kill half
// way leaves a folder that is still ours.
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
	if found == foreign {
		return inTheWay
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

func removeAllIn(root *os.Root) error {
	all, err := names(root)
	if err != nil {
		return err
	}
	for _, name := range all {
		if name == marker {
			continue
		}
		if err := root.RemoveAll(name); err != nil {
			return err
		}
	}
	return root.RemoveAll(marker)
}
