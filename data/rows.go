package data

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"

	"github.com/gocarina/gocsv"
)

// maxLineBytes bounds one line of a table. A longer one is refused without
// being read into cells.
const maxLineBytes = 1 << 20

// rowText is where a row stands in its file.
type rowText struct {
	start, end int // offsets, with the line end
	line       int // 1-based
}

// rowReader reads a table row by row into raw structs whose fields are all
// strings. gocsv maps the columns; what a cell means is the parsers' business.
// A row that cannot be split into cells is returned as a fault, and reading
// goes on after it.
type rowReader[R any] struct {
	src    *lineSource
	header header
	um     *gocsv.Unmarshaller
	// checkControls makes each row be searched for control characters.
	checkControls bool
	// skip, where set, passes over rows that are not wanted. It sees one
	// physical line and is asked only of lines that are whole rows.
	skip    func(line []byte) bool
	skipped int
	// hollow counts rows in which every cell is blank, such as ",,,,", which
	// spreadsheets leave behind; hollowLine is the first.
	hollow, hollowLine int
}

// fault is why a row could not be split into cells.
type fault struct{ rule, expected string }

// newRowReader stands before the first row after the header.
func newRowReader[R any](t text, h header) (*rowReader[R], error) {
	src := &lineSource{body: t.body, pos: h.start, line: h.line}
	r := csv.NewReader(src)
	r.Comma = h.comma
	r.ReuseRecord = true
	um, err := gocsv.NewUnmarshaller(r, new(R))
	if err != nil {
		return nil, err
	}
	if err := um.RenormalizeHeaders(func([]string) []string { return h.names }); err != nil {
		return nil, err
	}
	src.advance(h.start, src.pos)
	return &rowReader[R]{src: src, header: h, um: um, checkControls: t.controls}, nil
}

// next returns the next row, or the fault that keeps it from being read. The
// error is io.EOF after the last row.
func (r *rowReader[R]) next() (*R, rowText, *fault, error) {
	for {
		r.src.skipBlank()
		start, line := r.src.pos, r.src.line
		if start == len(r.src.body) {
			return nil, rowText{}, nil, io.EOF
		}
		lineEnd := r.src.lineEnd(start)
		if r.skip != nil && r.skip(r.src.body[start:lineEnd]) {
			r.src.advance(start, lineEnd)
			r.skipped++
			continue
		}
		if lineEnd-start > maxLineBytes {
			r.src.advance(start, lineEnd)
			return nil, rowText{start, lineEnd, line}, &fault{"row.length",
				fmt.Sprintf("a line of at most %d bytes; this one has %d", maxLineBytes, lineEnd-start)}, nil
		}
		got, err := r.um.Read()
		end := r.src.pos
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
		return got.(*R), rowText{start, end, line}, nil, nil
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
