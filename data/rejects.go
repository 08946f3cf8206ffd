package data

import (
	"errors"
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// Reject is one input row that was not used, and why. A row with several bad
// cells is one Reject: the first bad cell in Column, Value and Expected, the
// others in Also, so that they can be mended in one round.
type Reject struct {
	File     string
	Line     int    // 1-based line in the file where the row starts
	Column   string // header name; empty where the whole row is at fault
	Value    string // as read, shortened to 60 characters
	Expected string // what would have been accepted, one clause
	Also     string // further bad cells of the same row, as "column: value: expected", without a blank value
	Row      string // the row as read
	Rule     string // stable code such as "mileage.range"; tests match on it
}

// String starts with file:line: so that an editor can jump there.
func (r Reject) String() string {
	s := fmt.Sprintf("%s:%d: ", r.File, r.Line)
	if r.Column != "" {
		s += fmt.Sprintf("column %q: ", r.Column)
	}
	if r.Value != "" {
		s += fmt.Sprintf("%q: ", r.Value)
	}
	s += "expected " + r.Expected
	if r.Also != "" {
		s += "; also " + r.Also
	}
	return s
}

// rejectOf turns the bad cells of a row into one Reject.
func rejectOf(bad []badCell, at Source, row string) Reject {
	first := bad[0]
	also := make([]string, 0, len(bad)-1)
	for _, b := range bad[1:] {
		what := b.column + ": "
		if b.value != "" {
			what += csvtable.Shorten(b.value) + ": "
		}
		also = append(also, what+b.expected)
	}
	return Reject{
		File: at.File, Line: at.Line,
		Column: first.column, Value: csvtable.Shorten(first.value), Expected: first.expected, Rule: first.rule,
		Also: strings.Join(also, "; "), Row: row,
	}
}

// tooManyRejects says that more rows were rejected than LoadOptions.MaxRejects
// allows.
type tooManyRejects struct {
	limit int
	file  string // with the most rejected rows
	first Reject // of that file
}

func (e *tooManyRejects) Error() string {
	return fmt.Sprintf("more than %d %s rejected, most of them in %s, the first as %s; mend the file, or raise max_rejects (0: no limit)",
		e.limit, plural(e.limit, "row is", "rows are"), e.file, e.first)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// errTooManyInAll stops the reading of tables that have more rejects together than
// LoadOptions.MaxRejects allows.
var errTooManyInAll = errors.New("too many rows are rejected")

// withinLimit refuses more rejects than limit; 0 or less is no limit.
func withinLimit(rejects []Reject, limit int) error {
	if limit <= 0 || len(rejects) <= limit {
		return nil
	}
	counts := map[string]int{}
	for _, r := range rejects {
		counts[r.File]++
	}
	first := rejects[0] // of the files with as many the first
	for _, r := range rejects {
		if counts[r.File] > counts[first.File] {
			first = r
		}
	}
	return &tooManyRejects{limit, first.File, first}
}
