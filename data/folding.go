package data

import (
	"errors"
	"io/fs"
	"slices"
	"strings"
)

// FoldJournal is the file of a yard in which a fold of its slips keeps what it has
// left to do. Where it stands, the yard is half folded: rows may stand in a table and
// in a slip, or in neither.
const FoldJournal = ".vanwright-fold.json"

// FoldedPrefix begins the name of the zip in which a fold keeps what was there before.
const FoldedPrefix = "folded-"

// ErrHalfFolded is the error of a yard in which a fold was cut short, and
// ErrFoldedMeanwhile that of one which was folded each time that it was read.
var (
	ErrHalfFolded      = errors.New("a fold of the slips was cut short: vanwright fold --yard goes on with it")
	ErrFoldedMeanwhile = errors.New("its slips were folded while it was read: try again")
)

// foldState is the same before and after a reading of the yard during which nothing
// was folded. Its error is ErrHalfFolded, or that of a folder that can't be read.
func foldState(fsys fs.FS) (string, error) {
	switch _, err := fs.Stat(fsys, FoldJournal); {
	case err == nil:
		return "", ErrHalfFolded
	case !errors.Is(err, fs.ErrNotExist):
		return "", noYard(err)
	}
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return "", noYard(err)
	}
	var zips []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), FoldedPrefix) {
			zips = append(zips, e.Name())
		}
	}
	slices.Sort(zips)
	return strings.Join(zips, "\n"), nil
}

// whileUnfolded reads a yard, and again where its slips were folded in meanwhile: a
// table of after it and a slip of before would give rows twice.
func whileUnfolded(fsys fs.FS, read func() (*loader, error)) (*loader, error) {
	for range 3 {
		before, err := foldState(fsys)
		if err != nil {
			return nil, err
		}
		l, err := read()
		if after, folding := foldState(fsys); folding == nil && before == after {
			return l, err
		}
	}
	return nil, ErrFoldedMeanwhile
}
