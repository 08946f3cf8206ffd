package serve

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
)

// closing is the file that a run writes last, so that a folder which has it
// holds reports and all of them.
const closing = "run.json"

// Reports is a folder of reports by name. Nothing of it is held open: a run
// puts another folder under the same name, and the next reader shall see that.
type Reports struct{ dir string }

// Open checks that a folder holds reports. Its error is one sentence.
func Open(dir string) (*Reports, error) {
	r := &Reports{dir}
	root, err := r.root()
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no folder %s", dir)
	case err != nil:
		return nil, fmt.Errorf("open the reports: %w", err)
	}
	defer root.Close()
	if info, err := root.Stat(closing); err != nil || !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s holds no reports: there is no %s in it", dir, closing)
	}
	return r, nil
}

// root opens the folder in which the reports stand now. A set that vanwright
// wrote may for a moment stand beside its name; any other folder with a
// run.json, such as an unpacked copy, is taken as it is.
func (r *Reports) root() (*os.Root, error) {
	at, err := swap.Current(r.dir)
	if err != nil {
		at = r.dir
	}
	return os.OpenRoot(at)
}

// tries is how often a file is looked for before it counts as not there: a run
// may put a new set under the name between opening the folder and looking into
// it, and then deletes the old one.
const tries = 3

// find opens a regular file of the reports.
func (r *Reports) find(name string) (*os.File, fs.FileInfo, error) {
	var err error
	for range tries {
		var root *os.Root
		if root, err = r.root(); err != nil {
			continue
		}
		var f *os.File
		var info fs.FileInfo
		f, info, err = regular(root, name)
		root.Close() // an open file outlives it
		if !errors.Is(err, fs.ErrNotExist) {
			return f, info, err
		}
	}
	return nil, nil, err
}

// errNoFile is a name of something that is not a regular file.
var errNoFile = errors.New("not a file")

// regular opens a file inside the root. It looks before it opens, because
// opening a pipe waits for its writer.
func regular(root *os.Root, name string) (*os.File, fs.FileInfo, error) {
	info, err := root.Stat(name)
	if err != nil {
		return nil, nil, err
	}
	if info.IsDir() {
		return nil, info, errIsFolder
	}
	if !info.Mode().IsRegular() {
		return nil, nil, errNoFile
	}
	f, err := root.Open(name)
	if err != nil {
		return nil, nil, err
	}
	if info, err = f.Stat(); err != nil || !info.Mode().IsRegular() {
		f.Close()
		return nil, nil, errNoFile
	}
	return f, info, nil
}

// errIsFolder is a name of a folder, which a reader wants with a slash behind.
var errIsFolder = errors.New("a folder")
