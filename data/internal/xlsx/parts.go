package xlsx

import (
	"archive/zip"
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
)

// errTooMuch says that a workbook holds more than is read.
var errTooMuch = errors.New("keep large tables as CSV")

// part walks through a part of a workbook without building anything from it, and
// counts what the library would build. It returns how many bytes it has, up to most.
func (s *Shelf) part(part *zip.File, most int64) (int64, error) {
	r, err := part.Open()
	if err != nil {
		return 0, err
	}
	counted := &countingReader{from: io.LimitReader(r, most)}
	err = s.tags(bufio.NewReaderSize(counted, 64<<10), part.Name)
	if err == nil {
		_, err = io.Copy(io.Discard, counted)
	}
	return counted.n, errors.Join(err, r.Close())
}

type countingReader struct {
	from io.Reader
	n    int64
}

func (c *countingReader) Read(p []byte) (int, error) {
	n, err := c.from.Read(p)
	c.n += int64(n)
	return n, err
}

// tags walks through the tags of a part. It takes markup within comments and
// the like for tags too, which makes it count too many, never too few.
func (s *Shelf) tags(r *bufio.Reader, part string) error {
	const longest = 4 << 10 // of a tag; longer ones are looked at as far as that
	sheet := sheetChecker{part: part, cells: &s.cells}
	for {
		if err := skipPast(r, '<'); err != nil {
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
		tag, err := r.Peek(longest)
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		if end := bytes.IndexByte(tag, '>'); end >= 0 {
			tag = tag[:end]
		}
		if len(tag) == 0 || tag[0] == '/' || tag[0] == '?' || tag[0] == '!' {
			sheet.ended = sheet.ended || sheet.isSheet && bytes.HasSuffix(bytes.TrimSpace(tag), []byte("worksheet")) && tag[0] == '/'
			continue
		}
		name, attributes, _ := bytes.Cut(tag, []byte{' '})
		if i := bytes.IndexAny(attributes, "\t\r\n"); i >= 0 { // as good as spaces between attributes
			attributes = bytes.Map(oneSpace, attributes)
		}
		if i := bytes.LastIndexByte(name, ':'); i >= 0 {
			name = name[i+1:]
		}
		cell, err := sheet.tag(strings.TrimRight(string(bytes.Map(oneSpace, name)), "/ "), attributes)
		if err != nil {
			return err
		}
		if !cell {
			if s.elements++; s.elements > maxElements {
				return fmt.Errorf("holds, with the workbooks before it, more than %d elements of XML beside its cells; %w", maxElements, errTooMuch)
			}
		}
	}
}

func oneSpace(r rune) rune {
	if r == '\t' || r == '\r' || r == '\n' {
		return ' '
	}
	return r
}

// skipPast moves past the next such byte.
func skipPast(r *bufio.Reader, b byte) error {
	for {
		_, err := r.ReadSlice(b)
		if !errors.Is(err, bufio.ErrBufferFull) {
			return err
		}
	}
}

// sheetChecker counts the cells of a sheet as the library lays them out: it
// fills the gaps before the last cell of each row.
type sheetChecker struct {
	part    string
	isSheet bool
	row     int  // the number of the last row
	column  int  // of the last cell of the row
	cells   *int // of this and all sheets before it
	ended   bool // the sheet's last tag was there
}

// tag takes one opening tag. cell says that it is part of a cell or row.
func (s *sheetChecker) tag(name string, attributes []byte) (cell bool, err error) {
	if s.ended {
		return true, fmt.Errorf("goes on after the end of its sheet in %s", s.part)
	}
	switch name {
	case "worksheet":
		s.isSheet = true
		return false, nil
	case "row":
		if !s.isSheet {
			return false, nil
		}
		row, given, ok := number(attribute(attributes, "r"))
		switch {
		case !ok:
			return true, fmt.Errorf("has a row without a number in %s", s.part)
		case !given:
			row = s.row + 1
		case row <= s.row:
			return true, fmt.Errorf("has row %d after row %d in %s, so that one of them would be lost", row, s.row, s.part)
		}
		// The library lays out the rows between as well.
		*s.cells += row - s.row
		s.row, s.column = row, 0
	case "c":
		if !s.isSheet {
			return false, nil
		}
		column := s.column + 1
		if at := attribute(attributes, "r"); len(at) > 0 {
			row := 0
			switch column, row = placeOf(at); {
			case column <= 0:
				return true, fmt.Errorf("has a cell without a place, %q, in %s", at, s.part)
			case row != s.row:
				return true, fmt.Errorf("has the cell %s in row %d of %s", at, s.row, s.part)
			case column <= s.column:
				return true, fmt.Errorf("has the cell %s where a cell to the right of it was expected in %s, so that one of them would be lost", at, s.part)
			}
		}
		*s.cells += column - s.column
		s.column = column
	case "v", "t":
		return s.isSheet, nil
	case "f", "is": // a formula, a text within the cell: of each the library makes as much again
		if !s.isSheet {
			return false, nil
		}
		*s.cells++
	default:
		return false, nil
	}
	if *s.cells > maxCells {
		return true, fmt.Errorf("holds, with the workbooks before it, more than %d cells, blank ones before the last of a row included; %w", maxCells, errTooMuch)
	}
	return true, nil
}

// attribute returns the value of an attribute of a tag; nil where it has none.
func attribute(attributes []byte, name string) []byte {
	for _, quote := range []string{`"`, `'`} {
		start := name + "=" + quote
		rest := attributes
		if !bytes.HasPrefix(rest, []byte(start)) {
			i := bytes.Index(rest, []byte(" "+start))
			if i < 0 {
				continue
			}
			rest = rest[i+1:]
		}
		value, _, _ := bytes.Cut(rest[len(start):], []byte(quote))
		return value
	}
	return nil
}

// number reads the number of a row, which may not be given.
func number(digits []byte) (n int, given, ok bool) {
	if len(digits) == 0 {
		return 0, false, true
	}
	for _, d := range digits {
		if d < '0' || d > '9' || n > 10_000_000 {
			return 0, true, false
		}
		n = 10*n + int(d-'0')
	}
	return n, true, n > 0
}

// placeOf returns the column and row of a cell such as AB12, both from 1; 0, 0 for
// anything else.
func placeOf(at []byte) (column, row int) {
	for i, b := range at {
		switch {
		case b >= 'A' && b <= 'Z' && column < 100_000:
			column = 26*column + int(b-'A') + 1
		case b >= 'a' && b <= 'z' && column < 100_000:
			column = 26*column + int(b-'a') + 1
		case i > 0 && b >= '0' && b <= '9':
			if row, _, ok := number(at[i:]); ok {
				return column, row
			}
			return 0, 0
		default:
			return 0, 0
		}
	}
	return 0, 0
}
