package data

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
)

// ErrTwice says that a table of the yard stands in two places.
var ErrTwice = errors.New("keep one of them")

// tables are the tables of a yard by the names of the contract, such as
// vans.csv: each is a CSV file, or a sheet of a workbook.
type tables struct {
	fsys   fs.FS
	sheets map[string]sheetOf
	// notRead names sheets and workbooks that hold no table of the contract.
	notRead []string
}

// sheetOf is a sheet that stands for a table.
type sheetOf struct {
	book  *workbook
	sheet string // as the workbook spells it
}

// name is what records and rejects call the sheet: yard.xlsx/vans.
func (s sheetOf) name() string { return s.book.name + "/" + s.sheet }

// findTables opens the workbooks of a yard and says which sheet is which table.
// A sheet is a table where it is named as one (case, space, _ and - do not
// count). The only sheet of a workbook that is itself named as a table, such as
// vans.xlsx, may have any name. A table that stands in two places is refused,
// since nobody could say which of them counts.
func findTables(fsys fs.FS, entries []fs.DirEntry, digest bool) (*tables, error) {
	t := &tables{fsys: fsys, sheets: map[string]sheetOf{}}
	present := map[string]bool{}
	for _, e := range entries {
		present[e.Name()] = true
	}
	for _, e := range entries {
		if !isWorkbook(e.Name()) || e.IsDir() {
			continue
		}
		if shown := shownName(e.Name()); shown != e.Name() {
			t.notRead = append(t.notRead, fmt.Sprintf("%s is not read: its name has characters that can't be shown", shown))
			continue
		}
		book, err := openWorkbook(fsys, e.Name(), digest)
		if err != nil {
			return nil, err
		}
		if err := t.add(book, present); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// isWorkbook reports whether a file of the yard is a workbook to be read. Files
// that begin with ~$ are the marks that a spreadsheet leaves while a workbook
// is open.
func isWorkbook(name string) bool {
	return strings.EqualFold(path.Ext(name), ".xlsx") && !strings.HasPrefix(name, "~$") && !strings.HasPrefix(name, ".")
}

func (t *tables) add(book *workbook, present map[string]bool) error {
	names := map[string]string{} // squashed to the contract's
	for _, f := range yardFiles {
		names[squash(strings.TrimSuffix(f.name, ".csv"))] = f.name
	}
	own, ownName := names[squash(strings.TrimSuffix(book.name, path.Ext(book.name)))], false
	var others []string
	for _, sheet := range book.sheets {
		table, ok := names[squash(sheet)]
		if !ok {
			others = append(others, sheet)
			continue
		}
		ownName = ownName || table == own
		if err := t.put(table, sheetOf{book, sheet}, present); err != nil {
			return err
		}
	}
	if own != "" && !ownName {
		if len(book.sheets) != 1 {
			word := strings.TrimSuffix(own, ".csv")
			return fmt.Errorf("%s has %d sheets and none is named %s; name the one that holds the table %s", book.name, len(book.sheets), word, word)
		}
		others = nil
		if err := t.put(own, sheetOf{book, book.sheets[0]}, present); err != nil {
			return err
		}
	}
	for _, sheet := range others {
		t.notRead = append(t.notRead, fmt.Sprintf("%s: the sheet %q is not named as a table and was left out%s",
			book.name, shorten(sheet), DidYouMean(sheet, sheetNames())))
	}
	return nil
}

// sheetNames are the names by which sheets are known.
func sheetNames() []string {
	out := make([]string, len(yardFiles))
	for i, f := range yardFiles {
		out[i] = strings.TrimSuffix(f.name, ".csv")
	}
	return out
}

func (t *tables) put(table string, s sheetOf, present map[string]bool) error {
	word := strings.TrimSuffix(table, ".csv")
	if present[table] {
		return fmt.Errorf("the table %s stands twice, in %s and in %s; %w", word, table, s.name(), ErrTwice)
	}
	if first, ok := t.sheets[table]; ok {
		return fmt.Errorf("the table %s stands twice, in %s and in %s; %w", word, first.name(), s.name(), ErrTwice)
	}
	t.sheets[table] = s
	return nil
}

// read returns a table of the yard, from a sheet or a CSV file; fs.ErrNotExist
// where there is neither.
func (t *tables) read(name string, digest bool) (*file, error) {
	if s, ok := t.sheets[name]; ok {
		return s.book.read(s.sheet)
	}
	return readFile(t.fsys, name, digest)
}

// tableOf returns the contract's name of an input: vans.csv for yard.xlsx/vans.
func (t *tables) tableOf(input string) string {
	for table, s := range t.sheets {
		if s.name() == input {
			return table
		}
	}
	return input
}

// noVans is ErrNoVans, with the sheets that there are where somebody keeps the
// yard in a workbook.
func (t *tables) noVans() error {
	if len(t.notRead) == 0 {
		return ErrNoVans
	}
	return fmt.Errorf("%w; %s", ErrNoVans, t.notRead[0])
}
