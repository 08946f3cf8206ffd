package data

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// Folded is a yard with its slips written into its tables. Read again, the
// tables give the same Yard, but for where things stand.
type Folded struct {
	Tables map[string][]byte // the tables that change, whole, by name
	Photos map[string]Photo  // pictures to be copied, by their new path, as in photos/slip-000a-1.jpg
	Slips  []Slip            // what stands in the tables now, copies included: to be taken away
}

// Fold writes the slips of a yard into its tables. Their former columns stay,
// unknown ones too; the text is UTF-8 with commas and LF. Nothing is folded
// where a slip has a reject, where a table is the sheet of a workbook, or where
// a row of a table cannot be split into cells: the error says what to mend.
func Fold(ctx context.Context, fsys fs.FS, o LoadOptions) (*Folded, error) {
	o.Wanted = nil
	l, err := whileUnfolded(fsys, func() (*loader, error) { return load(ctx, fsys, o) })
	if err != nil {
		return nil, err
	}
	for _, r := range l.y.Rejects {
		if strings.HasPrefix(r.File, SlipsFolder+"/") {
			return nil, fmt.Errorf("mend or take away first: %s", r)
		}
	}
	out := &Folded{Tables: map[string][]byte{}, Photos: map[string]Photo{}, Slips: slices.Concat(l.y.Slips, l.slips.copies)}
	for _, p := range l.y.Photos {
		if s := l.slipOf(p.Source); s != nil {
			out.Photos[foldedPhoto(s, path.Base(p.File))] = p
		}
	}
	for _, name := range Tables() {
		told := func(s *slip) bool { return s.tables[name] != nil }
		if !slices.ContainsFunc(l.slips.slips, told) {
			continue
		}
		if out.Tables[name], err = l.fold(name); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// foldedPhoto is where a slip's picture stands in the yard itself.
func foldedPhoto(s *slip, base string) string { return path.Join(photosFolder, s.ID+"-"+base) }

// slipOf returns the slip that a row stands in; nil for one of the yard itself.
func (l *loader) slipOf(at Source) *slip {
	for _, s := range l.slips.slips {
		if path.Dir(at.File) == s.Name {
			return s
		}
	}
	return nil
}

// foldedTable is a table as it is written anew.
type foldedTable struct {
	name    string
	columns []Column
	header  []string
	place   []int // for each of columns its place in header; -1: not there
	rows    [][]string
}

// fold writes one table anew.
func (l *loader) fold(name string) ([]byte, error) {
	t := &foldedTable{name: name, columns: Columns(name)}
	t.place = slices.Repeat([]int{-1}, len(t.columns))
	replaced := map[Source]bool{}
	for _, at := range l.read[name].replaced {
		replaced[at] = true
	}
	if _, inWorkbook := l.tables.sheets[name]; inWorkbook {
		return nil, fmt.Errorf("the table %s is a sheet of a workbook; save it as %s and fold again", strings.TrimSuffix(name, ".csv"), name)
	}
	f, err := l.tables.read(name)
	if err == nil {
		err = l.foldOwn(t, f, replaced)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for _, s := range l.slips.slips {
		if s.tables[name] != nil {
			if err := l.foldSlip(t, s, replaced); err != nil {
				return nil, err
			}
		}
	}
	if name == vansTable {
		l.foldNewVans(t)
	}
	return t.write()
}

// vansTable is the table of vans, whose rows slips change cell by cell.
const vansTable = "vans.csv"

// foldOwn takes the rows of the yard's own table.
func (l *loader) foldOwn(t *foldedTable, f *file, replaced map[Source]bool) error {
	h, err := csvtable.ReadHeader(f.Text, t.columns)
	if err != nil {
		return fmt.Errorf("%s %w", f.name, err)
	}
	cells, err := splitRow(string(f.Body[h.Start:h.End]), h.Comma)
	if err != nil {
		return fmt.Errorf("%s: %w", f.name, err)
	}
	t.header = cells
	for i, name := range h.Names {
		if k := slices.IndexFunc(t.columns, func(c Column) bool { return c.Name == name }); k >= 0 {
			t.place[k] = i
		}
	}
	rows := f.Rows(h, csvtable.Span{Start: h.End, End: len(f.Body), Line: 1 + bytes.Count(f.Body[:h.End], []byte{'\n'})}, 0)
	for row, ok := rows.Next(); ok; row, ok = rows.Next() {
		at := Source{f.name, row.Line}
		if row.Fault != nil {
			return fmt.Errorf("mend first: %s: expected %s", at, row.Fault.Expected)
		}
		if replaced[at] {
			continue
		}
		cells, err := splitRow(f.Row(row), h.Comma)
		if err != nil {
			return fmt.Errorf("%s: %w", at, err)
		}
		if t.name == vansTable {
			if s := l.told[strings.ToLower(trim(row.Cells[0]))]; s != nil && s.accepted {
				t.rows = append(t.rows, cells)
				t.set(len(t.rows)-1, s.cells())
				continue
			}
		}
		t.rows = append(t.rows, cells)
	}
	return nil
}

// foldSlip adds the rows of a slip. Those of vans.csv are in l.told.
func (l *loader) foldSlip(t *foldedTable, s *slip, replaced map[Source]bool) error {
	if t.name == vansTable {
		return nil
	}
	f, err := s.file(t.name, s.tables[t.name])
	if err != nil {
		return err
	}
	h, err := csvtable.ReadHeader(f.Text, t.columns)
	if err != nil {
		return fmt.Errorf("%s %w", f.name, err)
	}
	rows := f.Rows(h, csvtable.Span{Start: h.End, End: len(f.Body), Line: 1 + bytes.Count(f.Body[:h.End], []byte{'\n'})}, 0)
	for row, ok := rows.Next(); ok; row, ok = rows.Next() {
		if replaced[Source{f.name, row.Line}] {
			continue
		}
		cells := slices.Clone(row.Cells)
		if t.name == photosTable {
			for i, c := range t.columns {
				if c.Name == "file" {
					cells[i] = foldedPhoto(s, path.Base(trim(cells[i])))
				}
			}
		}
		t.rows = append(t.rows, make([]string, len(t.header)))
		t.set(len(t.rows)-1, cells)
	}
	return nil
}

// foldNewVans adds the vans that slips brought, in the order of their stock_ids.
func (l *loader) foldNewVans(t *foldedTable) {
	var ids []string
	for id, s := range l.told {
		if s.accepted && l.slipOf(s.from) != nil {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	for _, id := range ids {
		t.rows = append(t.rows, make([]string, len(t.header)))
		t.set(len(t.rows)-1, l.told[id].cells())
	}
}

// cells are those of a van, in the order of the columns.
func (s *vanState) cells() []string {
	var out []string
	for _, cell := range fieldsOf(&s.raw) {
		out = append(out, *cell)
	}
	return out
}

// set writes cells, in the order of the columns, into a row. Columns that the
// table lacks are added where they are needed.
func (t *foldedTable) set(row int, cells []string) {
	for i, cell := range cells {
		if t.place[i] < 0 {
			if cell == "" && !t.columns[i].Required {
				continue
			}
			t.place[i] = len(t.header)
			t.header = append(t.header, t.columns[i].Name)
		}
		for len(t.rows[row]) < len(t.header) {
			t.rows[row] = append(t.rows[row], "")
		}
		t.rows[row][t.place[i]] = cell
	}
}

// write writes the table.
func (t *foldedTable) write() ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	if err := w.Write(t.header); err != nil {
		return nil, err
	}
	for _, row := range t.rows {
		for len(row) < len(t.header) {
			row = append(row, "")
		}
		if err := w.Write(row); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}

// splitRow splits a row that is known to be a good one.
func splitRow(row string, comma rune) ([]string, error) {
	r := csv.NewReader(strings.NewReader(row))
	r.Comma = comma
	return r.Read()
}
