package swap

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// listing is the file that names the files of a whole set, one a line. What is in
// the folder beside them is somebody's, and is not deleted with the set. Sets of an
// earlier version have none: of them everything is taken for ours.
const listing = ".vanwright-files"

// StrangerError is the error where somebody's file is in a set that is to be
// replaced or deleted.
type StrangerError struct{ Folder, Name string }

func (e StrangerError) Error() string {
	return fmt.Sprintf("%s holds %q, which vanwright did not write: move it elsewhere", e.Folder, e.Name)
}

// dropped reports whether a file is one that a file manager, a spreadsheet or a
// network file system leaves where somebody only looked. From memory.
func dropped(name string) bool {
	base := path.Base(name)
	return slices.Contains([]string{".DS_Store", "Thumbs.db", "desktop.ini"}, base) ||
		strings.HasPrefix(base, "._") || strings.HasPrefix(base, "~$") || strings.HasPrefix(base, ".~lock.") || strings.HasPrefix(base, ".nfs")
}

// list writes the listing of the new set.
func (w *Writing) list() error {
	f, err := w.root.OpenFile(listing, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fileMode)
	if err != nil {
		return err
	}
	slices.Sort(w.names)
	_, err = f.WriteString(strings.Join(w.names, "\n") + "\n")
	if err != nil {
		return errors.Join(err, f.Close())
	}
	w.syncer.send(listing, f)
	return nil
}

// strangers is a StrangerError where a file is in the set at dir that the set's
// listing does not name.
func strangers(dir, named string) error {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	text, err := root.ReadFile(listing)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	ours := map[string]bool{listing: true, marker: true, unfinished: true}
	for name := range strings.Lines(string(text)) {
		ours[strings.TrimSuffix(name, "\n")] = true
	}
	return fs.WalkDir(root.FS(), ".", func(name string, e fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist): // a mark of a spreadsheet, gone meanwhile
			return nil
		case err != nil:
			return err
		case e.IsDir() || ours[name] || dropped(name):
			return nil
		}
		return StrangerError{named, filepath.FromSlash(name)}
	})
}
