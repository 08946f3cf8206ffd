package data

import (
	"fmt"
	"strconv"
)

// Source is where a record stood, so that a figure in a report can be traced
// to the cell behind it.
type Source struct {
	File string // base name, as in readings.csv
	Line int    // 1-based line on which the record starts
}

// String gives readings.csv:14, or nothing for a record that came from no file.
func (s Source) String() string {
	if s.File == "" {
		return ""
	}
	return s.File + ":" + strconv.Itoa(s.Line)
}

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

// InputFile is one file of the yard as it was read.
type InputFile struct {
	Name     string `json:"name"`
	Size     int64  `json:"size"`
	SHA256   string `json:"sha256"`
	Read     int    `json:"read"`     // data rows, header and blank lines not counted
	Accepted int    `json:"accepted"` // Read = Accepted + Rejected
	Rejected int    `json:"rejected"`
	// Skipped rows belong to other vans than the one asked for by
	// LoadOptions.Unsold. They are in Read, which then is the sum of the three.
	Skipped int `json:"skipped,omitempty"`
}
