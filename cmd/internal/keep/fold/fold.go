// Package fold puts folded tables into a yard, and takes the slips that are in them
// out of it.
//
// In go a yard's folder and what is to stand in it; out comes the yard with all of
// that done, or with none of it. What stood there before is kept in a zip beside the
// tables, folded-2026-03-31.zip. The package knows nothing of what the tables say.
//
// Files cannot be exchanged all at once, so a journal says what is to be done before
// any of it is: where it stands, the yard is half done, nobody may read it, and the
// next Apply goes on where a killed one stopped.
package fold

import (
	"archive/zip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/gofrs/flock"

	"github.com/vanwright/vanwright/data"
)

const (
	journalFile = data.FoldJournal
	lockFile    = ".vanwright-fold.lock"
	part        = ".vanwright-fold-" // before a number: a file that waits for its name
	fileMode    = 0o640
	folderMode  = 0o750
)

// Changes are what is to become of a yard. Names are relative, with slashes.
type Changes struct {
	Write  map[string][]byte // files to put in their place
	Remove []string          // files and folders to take away
	Keep   []string          // files and folders to keep in the zip: what is replaced or removed
}

// journal is what is left to do, in this order: files get their names, then others
// are removed.
type journal struct {
	Rename []rename `json:"rename"`
	Remove []string `json:"remove"`
}

type rename struct{ From, To string }

// Lock keeps a second fold out until unlock is called.
func Lock(yard string) (unlock func(), err error) {
	lock := flock.New(filepath.Join(yard, lockFile), flock.SetPermissions(fileMode))
	held, err := lock.TryLock()
	if err != nil {
		return nil, fmt.Errorf("the yard cannot be written: %w", err)
	}
	if !held {
		return nil, errors.New("another fold is at work in the yard: wait until it is done")
	}
	return func() { lock.Close() }, nil
}

// Finish does what a fold that was cut short had left to do, if there was one. The
// caller holds the lock.
func Finish(yard string) (found bool, err error) {
	root, err := os.OpenRoot(yard)
	if err != nil {
		return false, err
	}
	defer root.Close()
	text, err := root.ReadFile(journalFile)
	if errors.Is(err, fs.ErrNotExist) {
		return false, removeParts(root)
	}
	if err != nil {
		return false, err
	}
	var j journal
	if err := json.Unmarshal(text, &j); err != nil {
		return true, fmt.Errorf("read %s: %w", journalFile, err)
	}
	return true, j.do(root)
}

// removeParts clears away what a fold left that was killed before its journal stood.
func removeParts(root *os.Root) error {
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		return err
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), part) {
			if err := root.Remove(e.Name()); err != nil {
				return err
			}
		}
	}
	return nil
}

// Apply changes a yard as a whole and returns the name of the zip. The caller holds
// the lock and has called Finish.
func Apply(yard string, day data.Date, c Changes) (kept string, err error) {
	root, err := os.OpenRoot(yard)
	if err != nil {
		return "", err
	}
	defer root.Close()
	j, kept, err := begin(root, day, c)
	if err != nil {
		return "", errors.Join(err, removeParts(root))
	}
	return kept, j.do(root)
}

// begin writes all files under names of their own and, last, the journal. From then
// on the fold is done, even if this process is not there to do it.
func begin(root *os.Root, day data.Date, c Changes) (j journal, kept string, err error) {
	j.Remove = c.Remove
	if kept, err = keep(root, day, c.Keep, len(c.Write)); err != nil {
		return j, "", fmt.Errorf("keep what is folded: %w", err)
	}
	j.Rename = append(j.Rename, rename{partName(len(c.Write)), kept})
	for i, name := range slices.Sorted(maps.Keys(c.Write)) {
		if err := writePart(root, i, func(w io.Writer) error { _, err := w.Write(c.Write[name]); return err }); err != nil {
			return j, "", fmt.Errorf("write %s: %w", name, err)
		}
		j.Rename = append(j.Rename, rename{partName(i), name})
	}
	text, err := json.MarshalIndent(j, "", "  ")
	if err != nil {
		return j, "", err
	}
	n := len(c.Write) + 1
	if err := writePart(root, n, func(w io.Writer) error { _, err := w.Write(text); return err }); err != nil {
		return j, "", err
	}
	return j, kept, errors.Join(syncNames(root), root.Rename(partName(n), journalFile), syncNames(root))
}

// syncNames writes the yard's list of names through to the disk, where the system
// has a call for it.
func syncNames(root *os.Root) error {
	dir, err := root.Open(".")
	if err != nil {
		return err
	}
	defer dir.Close()
	_ = dir.Sync() // file systems without it have done what they can
	return nil
}

func partName(i int) string { return fmt.Sprintf("%s%d", part, i) }

// writePart writes a file that waits for its name through to the disk.
func writePart(root *os.Root, i int, write func(io.Writer) error) error {
	f, err := root.OpenFile(partName(i), os.O_WRONLY|os.O_CREATE|os.O_EXCL, fileMode)
	if err != nil {
		return err
	}
	err = write(f)
	return errors.Join(err, f.Sync(), f.Close())
}

// do does what is left, and may be done again.
func (j journal) do(root *os.Root) error {
	for _, step := range j.steps(root) {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// steps are what is left to do, one after the other. The journal goes last.
func (j journal) steps(root *os.Root) (steps []func() error) {
	for _, r := range j.Rename {
		steps = append(steps, func() error {
			if err := root.MkdirAll(path.Dir(r.To), folderMode); err != nil {
				return err
			}
			if err := root.Rename(r.From, r.To); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			return nil
		})
	}
	for _, name := range j.Remove {
		steps = append(steps, func() error { return root.RemoveAll(name) })
	}
	return append(steps,
		func() error { return syncNames(root) },
		func() error { return root.Remove(journalFile) },
		func() error { return removeParts(root) },
	)
}

// keep packs files and folders into a zip that waits for its name, and returns the
// name, which no other fold of the day has.
func keep(root *os.Root, day data.Date, names []string, i int) (string, error) {
	kept := fmt.Sprintf("%s%s.zip", data.FoldedPrefix, day)
	for n := 2; ; n++ {
		if _, err := root.Lstat(kept); errors.Is(err, fs.ErrNotExist) {
			break
		} else if err != nil {
			return "", err
		}
		kept = fmt.Sprintf("%s%s.%d.zip", data.FoldedPrefix, day, n)
	}
	return kept, writePart(root, i, func(w io.Writer) error {
		archive := zip.NewWriter(w)
		for _, name := range names {
			err := fs.WalkDir(root.FS(), name, func(name string, e fs.DirEntry, err error) error {
				if err != nil || !e.Type().IsRegular() {
					return err
				}
				return pack(archive, root, name)
			})
			if err != nil {
				return err
			}
		}
		return archive.Close()
	})
}

func pack(archive *zip.Writer, root *os.Root, name string) error {
	from, err := root.Open(name)
	if err != nil {
		return err
	}
	defer from.Close()
	to, err := archive.Create(name)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, from)
	return err
}
