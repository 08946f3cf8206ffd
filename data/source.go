package data

import "strconv"

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
