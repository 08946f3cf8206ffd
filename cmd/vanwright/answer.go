package main

import (
	"encoding/json"
	"io"

	"github.com/vanwright/vanwright/data"
)

// tellRejects warns of rows that were not used, and says where to look; with
// --strict they are an error.
func (s settings) tellRejects(yard *data.Yard, look string) error {
	n := len(yard.Rejects)
	if n == 0 {
		return nil
	}
	s.Log.Warn().Int("rows", n).Msg(look)
	if s.Strict {
		return rejectedError{n}
	}
	return nil
}

// What a command that answers about one van says of rejected rows.
const notUsed = "rows rejected and not used: see vanwright check"

// sheet is what answers about one van: text for a terminal, or itself as JSON.
type sheet interface{ Print(io.Writer) error }

// show prints a sheet as text, or with --json as one object.
func (s settings) show(w io.Writer, sheet sheet) error {
	if !s.JSON {
		return sheet.Print(w)
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(sheet)
}
