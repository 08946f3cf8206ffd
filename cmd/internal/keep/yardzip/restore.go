package yardzip

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
)

// What is laid out is, as reports are, for its owner and the owner's group.
const (
	fileMode   = 0o640
	folderMode = 0o750
)

// Restore lays the files of an archive out in the folder out, which must not exist
// or be empty: whole or not at all. It returns how many they are. Names that lead
// out of the folder are refused, whatever program made the archive.
func Restore(archive io.ReaderAt, size int64, out string) (files int, err error) {
	z, err := zip.NewReader(archive, size)
	if err != nil {
		return 0, fmt.Errorf("read %s: %w", File, err)
	}
	if err := isFree(out); err != nil {
		return 0, err
	}
	if err := os.MkdirAll(filepath.Dir(out), folderMode); err != nil {
		return 0, err
	}
	temp, err := os.MkdirTemp(filepath.Dir(out), ".vanwright-")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(temp) // gone by its name once it was renamed
	if err := os.Chmod(temp, folderMode); err != nil {
		return 0, err
	}
	root, err := os.OpenRoot(temp)
	if err != nil {
		return 0, err
	}
	for _, f := range z.File {
		if err := layOut(root, f); err != nil {
			return 0, errors.Join(fmt.Errorf("lay out %q: %w", f.Name, err), root.Close())
		}
	}
	if err := root.Close(); err != nil { // Windows renames no open folder
		return 0, err
	}
	if err := os.Remove(out); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, err
	}
	return len(z.File), os.Rename(temp, out)
}

// isFree is an error where something stands in a folder's place.
func isFree(out string) error {
	entries, err := os.ReadDir(out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case len(entries) > 0:
		return fmt.Errorf("%s is not empty: name a new folder", out)
	}
	return nil
}

func layOut(root *os.Root, f *zip.File) error {
	local := filepath.FromSlash(f.Name)
	if !fs.ValidPath(f.Name) || !filepath.IsLocal(local) || !f.Mode().IsRegular() {
		return errors.New("not a name for a file within the folder")
	}
	if dir := path.Dir(f.Name); dir != "." {
		if err := root.MkdirAll(filepath.FromSlash(dir), folderMode); err != nil {
			return err
		}
	}
	from, err := f.Open()
	if err != nil {
		return err
	}
	defer from.Close()
	to, err := root.OpenFile(local, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fileMode)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, from) // which checks size and sum
	return errors.Join(err, to.Sync(), to.Close())
}
