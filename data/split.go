package data

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"
	"unsafe"
)

// splitter is the rowCells of large tables. A row without quotes, which nearly
// every row of them is, is cut at its separators; all else goes through
// encoding/csv, so that no rule about quotes is written here a second time. The
// places of the columns are found by reflection once for a piece of a file,
// never for a row.
type splitter[R any] struct {
	raw    R
	places []*string // by column of the file, a field of raw; nil where the contract has no such column
	src    *lineSource
	csv    *csv.Reader
	comma  byte // 0 for a separator of more than one byte

	limit     int
	nextQuote int    // the first quote at or after the last row asked about; limit where there is none
	text      string // the file, of which plain rows have their cells
}

// newSplitter returns a splitter of the rows that start between where src
// stands and limit.
func newSplitter[R any](src *lineSource, h header, limit int) (*splitter[R], error) {
	// The bytes of a file are never written to once they are decoded, so that
	// they can be looked at as a string without a copy of each row.
	text := unsafe.String(unsafe.SliceData(src.body), len(src.body))
	s := &splitter[R]{src: src, limit: limit, nextQuote: -1, text: text}
	fields := reflect.ValueOf(&s.raw).Elem()
	byName := map[string]*string{}
	for i, c := range columnsOf[R]() {
		place, ok := fields.Field(i).Addr().Interface().(*string)
		if !ok {
			return nil, fmt.Errorf("the field for the column %q is no string", c.Name)
		}
		byName[c.Name] = place
	}
	s.places = make([]*string, len(h.names))
	for i, name := range h.names {
		if name != "" {
			s.places[i] = byName[name]
		}
	}
	if h.comma < utf8.RuneSelf {
		s.comma = byte(h.comma)
	}
	s.csv = csv.NewReader(src)
	s.csv.Comma = h.comma
	s.csv.ReuseRecord = true
	s.csv.FieldsPerRecord = len(h.names)
	return s, nil
}

// row implements rowCells.
func (s *splitter[R]) row(start, lineEnd int) (raw *R, end int, err error) {
	if s.comma != 0 && s.quoteFrom(start) >= lineEnd {
		return &s.raw, lineEnd, s.plain(s.text[start:lineEnd])
	}
	cells, err := s.csv.Read()
	if err != nil {
		return nil, s.src.pos, err
	}
	for i, place := range s.places {
		if place != nil {
			*place = cells[i]
		}
	}
	return &s.raw, s.src.pos, nil
}

// quoteFrom returns the place of the first quote at or after offset from.
func (s *splitter[R]) quoteFrom(from int) int {
	if s.nextQuote < from {
		s.nextQuote = s.limit
		if i := bytes.IndexByte(s.src.body[from:s.limit], '"'); i >= 0 {
			s.nextQuote = from + i
		}
	}
	return s.nextQuote
}

// plain reads a line without quotes.
func (s *splitter[R]) plain(line string) error {
	line = strings.TrimSuffix(strings.TrimSuffix(line, "\n"), "\r")
	last := len(s.places) - 1
	for i, place := range s.places {
		end := strings.IndexByte(line, s.comma)
		if (end < 0) != (i == last) {
			return wrongColumns
		}
		if i == last {
			end = len(line)
		}
		if place != nil {
			*place = line[:end]
		}
		line = line[min(end+1, len(line)):]
	}
	return nil
}

// wrongColumns is what encoding/csv says of a row that has not as many columns
// as the header.
var wrongColumns = &csv.ParseError{Err: csv.ErrFieldCount}
