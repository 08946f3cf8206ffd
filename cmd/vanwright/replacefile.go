package main

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// What a command writes beside the reports is, as they are, for its owner and the
// owner's group, less the umask.
const (
	fileMode   = 0o640
	folderMode = 0o750
)

// replaceFile puts what write writes under a name in one step: a reader finds the
// old file or the new one, each whole.
func replaceFile(path string, write func(io.Writer) error) error {
	temp, err := createBeside(path)
	if err != nil {
		return err
	}
	err = write(temp)
	err = errors.Join(err, temp.Sync(), temp.Close())
	if err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if err != nil {
		os.Remove(temp.Name())
	}
	return err
}

// createBeside makes a file of a name of its own beside path. os.CreateTemp would
// make it unreadable for the group, whatever the umask.
func createBeside(path string) (*os.File, error) {
	for {
		name := filepath.Join(filepath.Dir(path), ".vanwright-"+rand.Text())
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fileMode)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// ours is an error where a file is there that does not hold mark, as all do
// that we write: it is somebody's, and not to be replaced.
func ours(path, mark string) error {
	switch found, err := holds(path, mark, marked); {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case !found:
		return fmt.Errorf("%s exists and vanwright did not write it; name another folder", path)
	}
	return nil
}

// marked is how much of a file is searched for a mark.
const marked = 1 << 20

// holds reports whether a regular file holds a mark within its first bytes.
func holds(path, mark string, within int64) (bool, error) {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return false, err
	}
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, within))
	return bytes.Contains(text, []byte(mark)), err
}
