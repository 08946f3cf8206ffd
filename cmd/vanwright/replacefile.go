package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// replaceFile puts what write writes under a name in one step, so that whoever
// reads the file finds the old one or the new one whole.
func replaceFile(path string, mode os.FileMode, write func(io.Writer) error) error {
	temp, err := os.CreateTemp(filepath.Dir(path), ".vanwright-*")
	if err != nil {
		return err
	}
	err = write(temp)
	err = errors.Join(err, temp.Chmod(mode), temp.Sync(), temp.Close())
	if err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if err != nil {
		os.Remove(temp.Name())
	}
	return err
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
