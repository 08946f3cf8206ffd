package data

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// maxSheetColumns bounds the header of a sheet; the widest table of the
// contract has some thirty columns.
const maxSheetColumns = 300

var errWide = fmt.Errorf("columns; a table of the yard has at most %d", maxSheetColumns)

// sheetPlaces says where the lines of a sheet that was written out as CSV stand
// in the sheet, and what the sheet itself says against some of its cells.
type sheetPlaces struct {
	rows    []int // for each line of the text, from the first, its row in the sheet
	refused map[int][]sheetCell
	warning string
}

// sheetCell is a cell that holds no usable value, whatever its column.
type sheetCell struct {
	column          int // from 0
	value, expected string
}

// read turns a sheet into the text of a CSV file that the CSV reader splits, so
// that a table means the same in either form. Rows without anything in them are
// left out; hidden rows are rows like any other; of merged cells the first has
// the value and the others are blank.
func (b *workbook) read(sheet string) (f *file, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	defer b.damaged(&err)
	// The library keeps what it parsed of a sheet; it is not needed again.
	defer b.file.Sheet.Clear()

	in := b.input
	in.Name = b.name + "/" + sheet
	s := &sheetReader{book: b, sheet: sheet, places: &sheetPlaces{refused: map[int][]sheetCell{}}}
	// The rows are asked for before any cell, so that they stream from the
	// file; the cell then has the library parse the sheet as a whole, which is
	// what finds it damaged.
	rows, err := b.file.Rows(sheet)
	if err != nil {
		return nil, err
	}
	if _, err := b.file.GetCellType(sheet, "A1"); err != nil {
		return nil, err
	}
	for n := 1; rows.Next(); n++ {
		cells, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, err
		}
		if err := s.row(n, cells); err != nil {
			return nil, err
		}
	}
	if err := rows.Close(); err != nil {
		return nil, err
	}
	s.warnBeyond()
	body := s.body.Bytes()
	return &file{text: text{body: body, controls: hasControls(body)}, name: in.Name, input: in, sheet: s.places}, nil
}

// sheetReader writes the rows of one sheet out as CSV.
type sheetReader struct {
	book   *workbook
	sheet  string
	width  int    // columns of the header
	yesNo  []bool // which of them are yes or no
	body   bytes.Buffer
	places *sheetPlaces
	// beyond counts cells to the right of the header's last column.
	beyond, beyondRow int
}

// row writes one row of the sheet. cells are its raw values.
func (s *sheetReader) row(n int, cells []string) error {
	if len(cells) == 0 {
		return nil
	}
	if s.width == 0 { // the header is the first row that holds anything
		if err := s.header(n, cells); err != nil || s.width == 0 {
			return err
		}
	}
	for len(cells) < s.width { // what seems blank at the end may be a fault
		cells = append(cells, "")
	}
	values := make([]string, s.width)
	var refused []sheetCell
	blank := true
	for i := range values {
		value, fault, err := s.cell(n, i+1, cells[i])
		if err != nil {
			return err
		}
		if fault != "" {
			refused = append(refused, sheetCell{i, value, fault})
		}
		values[i] = value
		blank = blank && strings.TrimSpace(value) == "" && fault == ""
	}
	for _, c := range cells[s.width:] {
		if strings.TrimSpace(c) != "" {
			if s.beyond++; s.beyond == 1 {
				s.beyondRow = n
			}
		}
	}
	if blank {
		return nil
	}
	if refused != nil {
		s.places.refused[n] = refused
	}
	start := s.body.Len()
	for i, v := range values {
		if i > 0 {
			s.body.WriteByte(',')
		}
		writeCSVCell(&s.body, v)
	}
	s.body.WriteByte('\n')
	for range bytes.Count(s.body.Bytes()[start:], []byte{'\n'}) {
		s.places.rows = append(s.places.rows, n)
	}
	return nil
}

// header finds how wide the table is, if this row holds anything.
func (s *sheetReader) header(n int, cells []string) error {
	for i, c := range cells {
		if strings.TrimSpace(c) != "" {
			s.width = i + 1
		}
	}
	if s.width > maxSheetColumns {
		return fmt.Errorf("%s/%s has a header of %d %w", s.book.name, s.sheet, s.width, errWide)
	}
	for _, c := range cells[:s.width] {
		s.yesNo = append(s.yesNo, yesNoColumns[squash(c)])
	}
	for i := len(cells); i < maxSheetColumns; i++ { // a broken name at the end would cost a column
		if _, _, err := s.cell(n, i+1, ""); err != nil {
			return err
		}
	}
	return nil
}

func writeCSVCell(to *bytes.Buffer, value string) {
	if !strings.ContainsAny(value, ",\"\r\n") {
		to.WriteString(value)
		return
	}
	to.WriteByte('"')
	to.WriteString(strings.ReplaceAll(value, `"`, `""`))
	to.WriteByte('"')
}

// warnBeyond says that cells were left out because no header stands over them.
func (s *sheetReader) warnBeyond() {
	if s.beyond > 0 {
		s.places.warning = fmt.Sprintf("cells to the right of the last header were left out: %d, the first in row %d", s.beyond, s.beyondRow)
	}
}

// lineOf returns the number by which a person finds a line of the text: the
// line of a CSV file, or the row of a sheet.
func (f *file) lineOf(line int) int {
	if f.sheet == nil || len(f.sheet.rows) == 0 {
		return line
	}
	return f.sheet.rows[min(line, len(f.sheet.rows))-1]
}

// refuseCells refuses the cells of a row that the sheet itself spoils, and
// says how many.
func (f *file) refuseCells(c *cells, h header, row int) int {
	if f.sheet == nil {
		return 0
	}
	for _, bad := range f.sheet.refused[row] {
		if column := h.names[bad.column]; column != "" { // other columns are left out anyway
			c.refuse(column, bad.value, column+".cell", bad.expected)
		}
	}
	return len(c.bad)
}

// withoutEchoes drops what was refused after the first n cells about the
// columns of those n: a cell that says #N/A need not be told that it is no
// number.
func withoutEchoes(bad []badCell, n int) []badCell {
	kept := bad[:n]
	for _, b := range bad[n:] {
		about := false
		for _, first := range bad[:n] {
			about = about || first.column == b.column
		}
		if !about {
			kept = append(kept, b)
		}
	}
	return kept
}
