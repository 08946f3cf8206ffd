package data

import (
	"path"
	"slices"
	"strconv"
	"strings"
)

// TableOf returns the table that an input of a yard is part of, by its name in
// Yard.Inputs: readings of readings.csv, of the sheet "Readings" of a workbook, of
// the only sheet of readings.xlsx, and of slips/A1/readings.csv. It is blank for
// what is no table.
func TableOf(input string) string {
	dir, base := path.Split(input)
	word := squash(strings.TrimSuffix(base, ".csv"))
	if book := path.Base(dir); isWorkbook(book) && !slices.Contains(sheetNames(), word) {
		word = squash(strings.TrimSuffix(book, path.Ext(book)))
	}
	if !slices.Contains(sheetNames(), word) {
		return ""
	}
	return word
}

// Refused reports whether a row of vans.csv has this stock_id and none that has it
// was accepted.
func (y *Yard) Refused(stockID string) bool {
	_, ok := y.refused[stockID]
	return ok
}

// shownName is a file's name as messages show it: in quotes, with escapes, where it
// has characters that would forge a line or work a terminal.
func shownName(name string) string {
	if quoted := strconv.Quote(name); quoted != `"`+name+`"` {
		return quoted
	}
	return name
}
