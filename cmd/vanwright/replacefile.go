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
// reads the file finds the old one or the new one whole. The file is for its
// owner and the owner's group, as the reports are.
func replaceFile(path string, write func(io.Writer) error) error {
	temp, err := os.CreateTemp(filepath.Dir(path), ".vanwright-*")
	if err != nil {
		return err
	}
	err = write(temp)
	err = errors.Join(err, temp.Chmod(0o640), temp.Sync(), temp.Close())
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
	switch found, err := holds(path, mark); {
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

// holds reports whether a regular file holds a mark.
func holds(path, mark string) (bool, error) {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return false, err
	}
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, marked))
	return bytes.Contains(text, []byte(mark)), err
}
