package data

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
)

// maxLineBytes bounds one line of a table. A longer one is refused without
// being read into cells.
const maxLineBytes = 1 << 20

// rowText is where a row stands in its file.
type rowText struct {
	start, end int // offsets, with the line end
	line       int // 1-based
}

// rowReader reads a table row by row into one raw struct whose fields are all
// strings; what a cell means is the parsers' business. A row that cannot be
// split into cells is returned as a fault, and reading goes on after it.
//
// What a row is depends on nothing but where it starts. A reader may therefore
// begin at any row of a file, and another before it that comes to the same row
// goes on with the same rows.
type rowReader[R any] struct {
	src    *lineSource
	limit  int // rows that start here or later are not this reader's
	header header
	cells  rowCells[R]
	// checkControls makes each row be searched for control characters.
	checkControls bool
	// others, where set, tells which rows nobody asked for. It is shown the first
	// line of each, which may not be the whole row.
	others  func(start, end int) bool
	skipped int
	// hollow counts rows in which every cell is blank, such as ",,,,", which
	// spreadsheets leave behind; hollowLine is the first.
	hollow, hollowLine int
}

// fault is why a row could not be split into cells.
type fault struct{ rule, expected string }

// rowCells fills a raw struct with the cells of rows.
type rowCells[R any] interface {
	// row reads the row at start, where its source stands, and whose first line
	// ends at lineEnd. It returns where the row ends. An error that is about
	// the row is a csv.ParseError. The raw struct is good until the call after.
	row(start, lineEnd int) (raw *R, end int, err error)
}

// newRowReader stands before the first row after the header.
func newRowReader[R any](t text, h header) (*rowReader[R], error) {
	src := &lineSource{body: t.body, pos: h.start, line: h.line}
	src.advance(h.start, h.end)
	return newRowReaderAt[R](t, h, src, len(t.body))
}

// newRowReaderAt stands where src does and reads the rows that start before
// limit.
func newRowReaderAt[R any](t text, h header, src *lineSource, limit int) (*rowReader[R], error) {
	cells, err := newSplitter[R](src, h, limit)
	if err != nil {
		return nil, err
	}
	return &rowReader[R]{src: src, limit: limit, header: h, cells: cells, checkControls: t.controls}, nil
}

// next returns the next row, or the fault that keeps it from being read. The
// row is good until the call after. The error is io.EOF after the last row.
func (r *rowReader[R]) next() (*R, rowText, *fault, error) {
	for {
		r.src.skipBlank()
		start, line := r.src.pos, r.src.line
		if start >= r.limit {
			return nil, rowText{}, nil, io.EOF
		}
		lineEnd := r.src.lineEnd(start)
		if r.others != nil && r.others(start, lineEnd) {
			r.src.advance(start, lineEnd)
			r.skipped++
			continue
		}
		if lineEnd-start > maxLineBytes {
			r.src.advance(start, lineEnd)
			return nil, rowText{start, lineEnd, line}, &fault{"row.length",
				fmt.Sprintf("a line of at most %d bytes; this one has %d", maxLineBytes, lineEnd-start)}, nil
		}
		raw, end, err := r.cells.row(start, lineEnd)
		var broken *fault
		if err != nil {
			if broken = r.explain(err, start, &end, lineEnd); broken == nil {
				return nil, rowText{}, nil, err
			}
		}
		r.src.advance(start, end)
		row := r.src.body[start:end]
		if isHollow(row, r.header.comma) {
			if r.hollow++; r.hollow == 1 {
				r.hollowLine = line
			}
			continue
		}
		if broken == nil && r.checkControls && hasControls(row) {
			broken = controlFault(row)
		}
		if broken != nil {
			return nil, rowText{start, end, line}, broken, nil
		}
		return raw, rowText{start, end, line}, nil, nil
	}
}

// explain says what a CSV reader's error means for the row from start to end.
// Where a quote that is never closed took following lines with it, it moves end
// back to the end of the first line, so that those lines are read for what they
// are. It returns nil for an error that is not about the row.
func (r *rowReader[R]) explain(err error, start int, end *int, lineEnd int) *fault {
	var bad *csv.ParseError
	if !errors.As(err, &bad) {
		return nil
	}
	manyLines := *end > lineEnd
	switch {
	case errors.Is(bad.Err, csv.ErrFieldCount):
		if manyLines && r.holdsRow(lineEnd, *end) {
			*end = lineEnd
			return &fault{"row.quote", "a closing quote on the same row; the lines after this one are rows of their own"}
		}
		return &fault{"row.columns", fmt.Sprintf("%d columns, as in the header", len(r.header.names))}
	case errors.Is(bad.Err, csv.ErrBareQuote):
		*end = lineEnd
		return &fault{"row.quote", `a quote only at both ends of a cell; write "" for a quote inside one`}
	default:
		*end = lineEnd
		if bytes.Count(r.src.body[start:lineEnd], []byte{'"'})%2 == 1 {
			return &fault{"row.quote", "a closing quote; the one that opens on this line is never closed"}
		}
		return &fault{"row.quote", `a separator after a closing quote; write "" for a quote inside a cell`}
	}
}

// holdsRow reports whether one of the lines from start to end is, taken by
// itself, a row with the right number of columns: then a quote was left open
// before it.
func (r *rowReader[R]) holdsRow(start, end int) bool {
	if len(r.header.names) < 2 {
		return false
	}
	for line := range bytes.Lines(r.src.body[start:end]) {
		c := csv.NewReader(bytes.NewReader(line))
		c.Comma = r.header.comma
		if cells, err := c.Read(); err == nil && len(cells) == len(r.header.names) {
			return true
		}
	}
	return false
}

// isHollow reports whether a row holds nothing but separators, spaces and
// empty quotes.
func isHollow(row []byte, comma rune) bool {
	for i := 0; i < len(row); i++ {
		switch row[i] {
		case byte(comma), ' ', '\t', '\n', '\r':
		case '"': // a third quote in a row would be a quote in a cell
			if i++; i == len(row) || row[i] != '"' || i+1 < len(row) && row[i+1] == '"' {
				return false
			}
		default:
			return false
		}
	}
	return true
}

func controlFault(row []byte) *fault {
	if bytes.IndexByte(row, 0) >= 0 {
		return &fault{"row.nul", "text without NUL bytes"}
	}
	return &fault{"row.control", "text without control characters"}
}
