package xlsx

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

var errWide = fmt.Errorf("columns; a table of the yard has at most %d", MaxColumns)

// Sheet is a sheet written out as CSV with commas and LF, so that a table means
// the same in either form.
type Sheet struct {
	Body    []byte
	Rows    []int          // for each line of Body, from the first, its row in the sheet
	Refused map[int][]Cell // by row, cells that hold no usable value, whatever their column
	Remark  string         // what was left out; blank for nothing
}

// Cell is a cell that cannot be used.
type Cell struct {
	Column          int // from 0
	Value, Expected string
}

// Read writes a sheet out. Rows without anything in them are left out; hidden
// rows are rows like any other; of merged cells the first has the value and the
// others are blank. A ticked TRUE or FALSE is a yes or no in the columns of
// whose header yesNo is true.
func (b *Book) Read(sheet string, yesNo func(header string) bool) (out *Sheet, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	defer b.damaged(&err)
	// The library keeps what it parsed of a sheet; it is not needed again.
	defer b.file.Sheet.Clear()

	s := &sheetReader{book: b, sheet: sheet, isYesNo: yesNo, out: &Sheet{Refused: map[int][]Cell{}}}
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
	if s.beyond > 0 {
		s.out.Remark = fmt.Sprintf("cells to the right of the last header were left out: %d, the first in row %d", s.beyond, s.beyondRow)
	}
	s.out.Body = s.body.Bytes()
	return s.out, nil
}

// sheetReader writes the rows of one sheet out as CSV.
type sheetReader struct {
	book    *Book
	sheet   string
	isYesNo func(header string) bool
	width   int    // columns of the header
	yesNo   []bool // which of them are yes or no
	body    bytes.Buffer
	out     *Sheet
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
	var refused []Cell
	blank := true
	for i := range values {
		value, fault, err := s.cell(n, i+1, cells[i])
		if err != nil {
			return err
		}
		if fault != "" {
			refused = append(refused, Cell{i, value, fault})
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
		s.out.Refused[n] = refused
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
		s.out.Rows = append(s.out.Rows, n)
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
	if s.width > MaxColumns {
		return fmt.Errorf("%s/%s has a header of %d %w", s.book.Name, s.sheet, s.width, errWide)
	}
	for _, c := range cells[:s.width] {
		s.yesNo = append(s.yesNo, s.isYesNo(c))
	}
	for i := len(cells); i < MaxColumns; i++ { // a broken name at the end would cost a column
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
