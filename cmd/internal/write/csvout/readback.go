package csvout

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Record is one row of a report of an earlier run.
type Record struct {
	columns map[string]int
	cells   []string
}

// Has reports whether the report had a column of that name.
func (r Record) Has(column string) bool {
	_, had := r.columns[column]
	return had
}

// Get returns the text of a cell as it was before it was made harmless; blank
// where the row or the report has no such cell.
func (r Record) Get(column string) string {
	i, had := r.columns[column]
	if !had || i >= len(r.cells) {
		return ""
	}
	return unguarded(r.cells[i])
}

// ReadBack reads a report that an earlier run wrote, perhaps of another version
// and perhaps saved again by a spreadsheet. It is lenient, because what it reads
// is compared with, or kept to where that can be done, and never taken as true:
// a byte order mark, spaces and capitals in the header, rows too short or too
// long and stray double quotes all pass. No text at all is a report of no rows.
// An error is one of r, or of a quote that is never closed; with it come the
// rows before it.
func ReadBack(r io.Reader) ([]Record, error) {
	text := bufio.NewReader(r)
	mark, err := text.Peek(3)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if string(mark) == "\ufeff" {
		text.Discard(len(mark))
	}
	lines := csv.NewReader(text)
	lines.FieldsPerRecord = -1
	lines.LazyQuotes = true
	header, err := lines.Read()
	if errors.Is(err, io.EOF) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("header: %w", err)
	}
	columns := make(map[string]int, len(header))
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		if _, twice := columns[name]; !twice {
			columns[name] = i
		}
	}
	var records []Record
	for {
		cells, err := lines.Read()
		if errors.Is(err, io.EOF) {
			return records, nil
		}
		if err != nil {
			return records, err
		}
		records = append(records, Record{columns, cells})
	}
}
