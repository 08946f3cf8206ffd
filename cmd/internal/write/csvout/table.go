package csvout

import (
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"
)

// Table is one report: a file of rows that were made from values of type R.
type Table[R any] struct {
	name    string
	key     []string
	columns []Column[R]
}

// New declares a report: its file's name, the columns by which its rows are
// told apart and sorted, and all columns in their order. It panics on a mistake
// that only a programmer can make: no column, a name that is not lower-case
// letters, digits and _, a name twice, or a key that is not a column.
func New[R any](name string, key []string, columns ...Column[R]) Table[R] {
	t := Table[R]{name: name, key: key, columns: columns}
	header := t.Header()
	if len(header) == 0 {
		panic("csvout.New: " + name + " has no columns")
	}
	for i, column := range header {
		if column == "" || strings.Trim(column, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
			panic(fmt.Sprintf("csvout.New: %s: column name %q", name, column))
		}
		if slices.Contains(header[:i], column) {
			panic(fmt.Sprintf("csvout.New: %s: column %s twice", name, column))
		}
	}
	for _, column := range key {
		if !slices.Contains(header, column) {
			panic(fmt.Sprintf("csvout.New: %s: key %s is not a column", name, column))
		}
	}
	return t
}

// Name returns the file's name, as in jobs.csv.
func (t Table[R]) Name() string { return t.name }

// Header returns the columns' names in their order.
func (t Table[R]) Header() []string {
	names := make([]string, len(t.columns))
	for i, c := range t.columns {
		names[i] = c.name
	}
	return names
}

// Kinds returns what the cells of the columns are, in their order.
func (t Table[R]) Kinds() []Kind {
	kinds := make([]Kind, len(t.columns))
	for i, c := range t.columns {
		kinds[i] = c.kind
	}
	return kinds
}

// writeSize is how much text is gathered before it is handed on.
const writeSize = 64 << 10

// Write writes the header and every row, in the order in which they come, and
// returns how many rows there were. The only errors are those of w.
func (t Table[R]) Write(w io.Writer, rows iter.Seq[R]) (int, error) {
	text := t.AppendHeader(make([]byte, 0, writeSize+writeSize/4))
	count := 0
	for row := range rows {
		text = t.AppendRow(text, row)
		count++
		if len(text) >= writeSize {
			if _, err := w.Write(text); err != nil {
				return count, fmt.Errorf("write %s: %w", t.name, err)
			}
			text = text[:0]
		}
	}
	if _, err := w.Write(text); err != nil {
		return count, fmt.Errorf("write %s: %w", t.name, err)
	}
	return count, nil
}

// AppendHeader appends the line of the columns' names.
func (t Table[R]) AppendHeader(text []byte) []byte {
	for i, c := range t.columns {
		text = append(separate(text, i), c.name...)
	}
	return append(text, '\n')
}

// AppendRow appends one row's line.
func (t Table[R]) AppendRow(text []byte, row R) []byte {
	start := len(text)
	for i, c := range t.columns {
		text = c.append(separate(text, i), row)
	}
	if len(text) == start {
		// A blank line is no row to a reader of CSV.
		text = append(text, `""`...)
	}
	return append(text, '\n')
}

// separate puts the comma before every column but the first.
func separate(text []byte, column int) []byte {
	if column == 0 {
		return text
	}
	return append(text, ',')
}
