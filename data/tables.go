package data

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data/internal/csvtable"
	"github.com/vanwright/vanwright/data/internal/spelling"
	"github.com/vanwright/vanwright/data/internal/xlsx"
)

// yardTables are the tables of a yard in the order in which they are reported,
// with their columns as the parsers take them, and with what it means that an
// optional one is missing; blank where that goes without saying.
var yardTables = []struct {
	name    string
	columns []Column
	absence string
}{
	{"vans.csv", columnsOf[rawVan](), ""},
	{"readings.csv", columnsOf[rawReading](), "there is no condition report of any van"},
	{"documents.csv", columnsOf[rawDocument](), "no papers are known of any van"},
	{"sales.csv", columnsOf[rawSale](), "prices come from guide in vans.csv, or are left blank with a reason"},
	{"team.csv", columnsOf[rawTechnician](), "a default team is assumed"},
	{"bays.csv", columnsOf[rawBay](), "default bays are assumed"},
	{"absence.csv", columnsOf[rawAbsence](), "nobody is away, bank holidays apart"},
	{"progress.csv", columnsOf[rawProgress](), "no job has been begun"},
	{"orders.csv", columnsOf[rawOrder](), ""}, // most yards keep neither of the two
	{"costs.csv", columnsOf[rawCost](), ""},
	{"photos.csv", columnsOf[rawPhoto](), ""},
	{"labour.csv", columnsOf[rawLabourJob](), ""}, // the built-in books are complete, so nothing is missing
	{"parts.csv", columnsOf[rawPart](), ""},
	{"checkpoints.csv", columnsOf[rawCheckpoint](), ""},
	{"handover.csv", columnsOf[rawHandoverStep](), ""},
}

// Tables returns the names of a yard's tables, such as vans.csv, in the order in
// which they are reported.
func Tables() []string {
	out := make([]string, len(yardTables))
	for i, t := range yardTables {
		out[i] = t.name
	}
	return out
}

// Columns returns the columns of a table of the yard in the order in which they
// are written; nil for a name that is not of Tables.
func Columns(table string) []Column {
	for _, t := range yardTables {
		if t.name == table {
			return t.columns
		}
	}
	return nil
}

// TableOf returns the table that an input of a yard is part of, by its name in
// Yard.Inputs: readings of readings.csv, of the sheet "Readings" of a workbook, of
// the only sheet of readings.xlsx, and of slips/A1/readings.csv. It is blank for
// what is no table.
func TableOf(input string) string {
	dir, base := path.Split(input)
	word := spelling.Squash(strings.TrimSuffix(base, ".csv"))
	if book := path.Base(dir); isWorkbook(book) && !slices.Contains(sheetNames(), word) {
		word = spelling.Squash(strings.TrimSuffix(book, path.Ext(book)))
	}
	if !slices.Contains(sheetNames(), word) {
		return ""
	}
	return word
}

// ErrTwice says that a table of the yard stands in two places.
var ErrTwice = errors.New("keep one of them")

// tables are the tables of a yard by the names of Tables: each is a CSV file, or
// a sheet of a workbook.
type tables struct {
	fsys   fs.FS
	digest bool // whether digests of the files are wanted
	shelf  xlsx.Shelf
	sheets map[string]sheetOf
	// unread are rejects of files and folders that look as if they were meant to
	// be read, with what was expected in their place.
	unread []Reject
	// otherSheets are sentences about sheets of workbooks that are no tables.
	otherSheets []string
}

// sheetOf is a sheet that stands for a table.
type sheetOf struct {
	book  *xlsx.Book
	sheet string // as the workbook spells it
	input InputFile
}

// name is what records and rejects call the sheet: yard.xlsx/vans.
func (s sheetOf) name() string { return s.book.Name + "/" + s.sheet }

// findTables opens the workbooks of a yard and says which sheet is which table.
// A sheet is a table where it is named as one (case, space, _ and - do not
// count). The only sheet of a workbook that is itself named as a table, such as
// vans.xlsx, may have any name. A table that stands in two places is refused,
// since nothing says which of them counts.
func findTables(fsys fs.FS, digest bool) (*tables, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, noYard(err)
	}
	t := &tables{fsys: fsys, digest: digest, sheets: map[string]sheetOf{}}
	present := map[string]bool{}
	for _, e := range entries {
		present[e.Name()] = true
	}
	for _, e := range entries {
		switch name := e.Name(); {
		case strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") || slices.Contains(Tables(), name):
		case isWorkbook(name) && shownName(name) != name:
			t.leave(name, "a name of characters that can be shown; this workbook is not read")
		case isWorkbook(name) && !e.IsDir():
			if err := t.open(name, present); err != nil {
				return nil, err
			}
		case e.IsDir() && (name == SlipsFolder || name == photosFolder):
		case e.IsDir():
			t.leave(name, "tables in the yard itself, and slips in slips; this folder is not read")
		case strings.EqualFold(path.Ext(name), ".zip") && holdsSlip(fsys, name):
			t.leave(name, "a slip in the folder "+SlipsFolder+"; this one is not read")
		case slices.Contains(tableEndings, strings.ToLower(path.Ext(name))):
			t.leave(name, "the name of a table; this file is not read"+spelling.DidYouMean(name, Tables()))
		}
	}
	return t, nil
}

// tableEndings are how the files end in which people keep tables. Of
// workbooks, .xlsx is read, and its sheets are looked at one by one.
var tableEndings = []string{".csv", ".tsv", ".xls", ".xlsm", ".xlsb", ".ods"}

// isWorkbook reports whether a file of the yard is a workbook to be read. Files
// that begin with ~$ are the marks that a spreadsheet leaves while a workbook
// is open.
func isWorkbook(name string) bool {
	return strings.EqualFold(path.Ext(name), ".xlsx") && !strings.HasPrefix(name, "~$") && !strings.HasPrefix(name, ".")
}

// open opens a workbook of the yard and finds its tables.
func (t *tables) open(name string, present map[string]bool) error {
	raw, err := readRaw(t.fsys, name, name, func([]byte) error { return nil })
	if err != nil {
		return err
	}
	book, err := t.shelf.Open(name, raw)
	if err != nil {
		return err
	}
	input := InputFile{Size: int64(len(raw))}
	if t.digest {
		input.SHA256 = digestOf(raw)
	}
	words := map[string]string{} // squashed to the name of the table
	for _, table := range Tables() {
		words[spelling.Squash(strings.TrimSuffix(table, ".csv"))] = table
	}
	own, ownName := words[spelling.Squash(strings.TrimSuffix(name, path.Ext(name)))], false
	var others []string
	for _, sheet := range book.Sheets {
		table, ok := words[spelling.Squash(sheet)]
		if !ok {
			others = append(others, sheet)
			continue
		}
		ownName = ownName || table == own
		if err := t.put(table, sheetOf{book, sheet, input}, present); err != nil {
			return err
		}
	}
	if own != "" && !ownName {
		if len(book.Sheets) != 1 {
			word := strings.TrimSuffix(own, ".csv")
			return fmt.Errorf("%s has %d sheets and none is named %s; name the one that holds the table %s", name, len(book.Sheets), word, word)
		}
		others = nil
		if err := t.put(own, sheetOf{book, book.Sheets[0], input}, present); err != nil {
			return err
		}
	}
	for _, sheet := range others {
		t.otherSheets = append(t.otherSheets, fmt.Sprintf("%s: the sheet %q is not named as a table and was left out%s",
			name, csvtable.Shorten(sheet), spelling.DidYouMean(sheet, sheetNames())))
	}
	return nil
}

// sheetNames are the names by which sheets are known.
func sheetNames() []string {
	out := Tables()
	for i, table := range out {
		out[i] = strings.TrimSuffix(table, ".csv")
	}
	return out
}

func (t *tables) put(table string, s sheetOf, present map[string]bool) error {
	first, twice := t.sheets[table]
	if present[table] || twice {
		where := table
		if twice {
			where = first.name()
		}
		return fmt.Errorf("the table %s stands twice, in %s and in %s; %w", strings.TrimSuffix(table, ".csv"), where, s.name(), ErrTwice)
	}
	t.sheets[table] = s
	return nil
}

// read returns a table of the yard, from a sheet or a CSV file; fs.ErrNotExist
// where there is neither.
func (t *tables) read(table string) (*file, error) {
	s, ok := t.sheets[table]
	if !ok {
		if info, err := fs.Stat(t.fsys, table); err == nil && slices.Contains(BookFiles, table) && info.Mode().IsRegular() && info.Size() > maxBookBytes {
			return nil, fmt.Errorf("%s is larger than %d MiB, the most that is read of a book", table, maxBookBytes>>20)
		}
		f, err := readFile(t.fsys, table, table, Columns(table))
		if err == nil && !t.digest {
			f.raw = nil
		}
		return f, err
	}
	sheet, err := s.book.Read(s.sheet, isYesNo)
	if err != nil {
		return nil, err
	}
	f := &file{Text: csvtable.Plain(sheet.Body), name: s.name(), input: s.input, sheet: sheet}
	f.input.Name = f.name
	return f, nil
}

// noVans is ErrNoVans, with the sheets that there are where somebody keeps the
// yard in a workbook.
func (t *tables) noVans() error {
	if len(t.otherSheets) == 0 {
		return ErrNoVans
	}
	return fmt.Errorf("%w; %s", ErrNoVans, t.otherSheets[0])
}

// leave rejects a file or folder as a whole.
func (t *tables) leave(name, expected string) {
	t.unread = append(t.unread, wholeFile(shownName(name), "file.unread", expected))
}

// wholeFile is the reject of a file of which nothing is used.
func wholeFile(name, rule, expected string) Reject {
	return Reject{File: name, Line: 1, Expected: expected, Rule: rule}
}

// isYesNo reports whether a ticked TRUE or FALSE below a header is a plain yes
// or no. Elsewhere it stays what it is and is refused by what the column needs.
func isYesNo(header string) bool {
	switch spelling.Squash(header) {
	case "imported", "held", "vatoninvoice", "customer":
		return true
	}
	return false
}
