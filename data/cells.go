package data

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Longest texts that a table may hold, in characters: far above what anybody
// types, so that a file gone wrong does not fill the reports.
const (
	maxText = 200
	maxNote = 4000
)

// badCell is one cell that was refused.
type badCell struct {
	column, value, rule, expected string
}

// cells checks the cells of one row after another and gathers what is wrong
// with each row, so that a row with three bad cells is mended in one round.
// Each check takes a cell as it was read, leaves the spaces round it out, and
// returns the zero value where the cell is blank or refused.
type cells struct {
	asOf Date // dates of things that happened must not lie after it; zero: no such check
	bad  []badCell
	// id is the stock_id of a row of vans.csv, which says what was meant where
	// the row is rejected.
	id string
	// untested says that the row, though its value cannot be used, tells that a
	// point was looked at; see Reading.Refused.
	untested bool
	seen     interner
	// Rows that stand together tend to say the same.
	lastVan   string // stock_id of a van that is there
	lastLabel string
	lastDay   struct {
		text string
		date Date
	}
	// meant holds what misspelt words were taken for: the same slip tends to
	// stand in every row of a file.
	meant map[string]string
}

func newCells(asOf Date) *cells {
	return &cells{asOf: asOf, seen: interner{}, meant: map[string]string{}}
}

// begin makes ready for the next row.
func (c *cells) begin() { c.bad, c.id, c.untested = c.bad[:0], "", false }

// refuse notes a bad cell. An empty column means the row as a whole.
func (c *cells) refuse(column, value, rule, expected string) {
	c.bad = append(c.bad, badCell{column, strings.Clone(value), rule, expected})
}

// refused reports whether a cell of the column was refused in this row.
func (c *cells) refused(column string) bool {
	for _, b := range c.bad {
		if b.column == column {
			return true
		}
	}
	return false
}

// need refuses a blank cell and reports whether there is one.
func (c *cells) need(column, value, expected string) bool {
	value = trim(value)
	if value == "" {
		c.refuse(column, value, column+".missing", expected)
		return false
	}
	return true
}

// label returns a text that repeats down the column, such as a maker.
func (c *cells) label(column, value string) string {
	value = trim(value)
	if value == c.lastLabel {
		return c.lastLabel
	}
	if !c.fits(column, value, maxText) {
		return ""
	}
	c.lastLabel = c.seen.keep(value)
	return c.lastLabel
}

// needLabel is label for a cell that must not be blank.
func (c *cells) needLabel(column, value string) string {
	if !c.need(column, value, "a text; it is blank") {
		return ""
	}
	return c.label(column, value)
}

// name returns a text that is mostly this row's own, such as a VIN.
func (c *cells) name(column, value string) string {
	value = trim(value)
	if !c.fits(column, value, maxText) {
		return ""
	}
	return strings.Clone(value)
}

// note returns free text.
func (c *cells) note(column, value string) string {
	value = trim(value)
	if !c.fits(column, value, maxNote) {
		return ""
	}
	return strings.Clone(value)
}

func (c *cells) fits(column, value string, most int) bool {
	if len(value) > most && utf8.RuneCountInString(value) > most {
		c.refuse(column, value, column+".length", fmt.Sprintf("at most %d characters", most))
		return false
	}
	return true
}

// whole reads an optional whole number of lo to hi.
func (c *cells) whole(column, value string, lo, hi int) Opt[int] {
	value = trim(value)
	if value == "" {
		return Opt[int]{}
	}
	n, ok := parseWhole(value)
	switch {
	case !ok:
		c.refuse(column, value, column+".number", wholeExpected(lo, hi))
		return Opt[int]{}
	case n < lo || n > hi:
		c.refuse(column, value, column+".range", wholeExpected(lo, hi))
		return Opt[int]{}
	}
	return Some(n)
}

func wholeExpected(lo, hi int) string { return fmt.Sprintf("a whole number from %d to %d", lo, hi) }

// needWhole is whole for a cell that must not be blank.
func (c *cells) needWhole(column, value string, lo, hi int) int {
	if trim(value) == "" {
		c.refuse(column, "", column+".missing", wholeExpected(lo, hi))
		return 0
	}
	return c.whole(column, value, lo, hi).Value
}

// number reads an optional decimal number of lo to hi.
func (c *cells) number(column, value string, lo, hi float64) Opt[float64] {
	value = trim(value)
	if value == "" {
		return Opt[float64]{}
	}
	f, ok := parseDecimal(value)
	switch {
	case !ok:
		c.refuse(column, value, column+".number", decimalExpected(value))
		return Opt[float64]{}
	case f < lo || f > hi:
		c.refuse(column, value, column+".range", fmt.Sprintf("a number from %v to %v", lo, hi))
		return Opt[float64]{}
	}
	return Some(f)
}

// money reads an optional amount of pounds that is not below zero.
func (c *cells) money(column, value string) Opt[Money] {
	m := c.credit(column, value)
	if m.Known && m.Value.IsNegative() {
		c.refuse(column, value, column+".negative", "an amount of 0 or more")
		return Opt[Money]{}
	}
	return m
}

// credit reads an optional amount of pounds that may be below zero.
func (c *cells) credit(column, value string) Opt[Money] {
	value = trim(value)
	if value == "" {
		return Opt[Money]{}
	}
	m, err := ParseMoney(value)
	if err != nil {
		c.refuse(column, value, column+".money", err.Error())
		return Opt[Money]{}
	}
	return Some(m)
}

// hours reads an optional time of work: 1.25, 1h15, 1:15 or 1h are hours and
// minutes or their fraction.
func (c *cells) hours(column, value string, most float64) Opt[float64] {
	value = trim(value)
	if value == "" {
		return Opt[float64]{}
	}
	h, ok := parseHours(value)
	switch {
	case !ok:
		c.refuse(column, value, column+".number", "hours such as 1.25, 1h15 or 1:15")
		return Opt[float64]{}
	case h < 0 || h > most:
		c.refuse(column, value, column+".range", fmt.Sprintf("hours from 0 to %v", most))
		return Opt[float64]{}
	}
	return Some(h)
}

// price reads an optional amount above zero: no van is given away,
// and a zero in such a column mostly means that it is not known.
func (c *cells) price(column, value string) Opt[Money] {
	m := c.money(column, value)
	if m.Known && m.Value.IsZero() {
		c.refuse(column, value, column+".zero", "an amount above 0; leave it blank where it is not known")
		return Opt[Money]{}
	}
	return m
}

// date reads an optional day.
func (c *cells) date(column, value string) Date {
	value = trim(value)
	if value == "" {
		return 0
	}
	if value == c.lastDay.text {
		return c.lastDay.date
	}
	d, err := ParseDate(value)
	if err != nil {
		c.refuse(column, value, column+".date", err.Error())
		return 0
	}
	c.lastDay.text, c.lastDay.date = value, d
	return d
}

// past reads an optional day on which something has happened: it must not lie
// after the as-of date.
func (c *cells) past(column, value string) Date {
	d := c.date(column, value)
	if c.asOf != 0 && d > c.asOf {
		c.refuse(column, value, column+".future", "a date on or before the as-of date "+c.asOf.String())
		return 0
	}
	return d
}

// needPast is past for a cell that must not be blank.
func (c *cells) needPast(column, value string) Date {
	if !c.need(column, value, "a date such as 2026-03-09") {
		return 0
	}
	return c.past(column, value)
}

// notBefore refuses a known day that lies before another known day.
func (c *cells) notBefore(column string, d Date, earlierColumn string, earlier Date) {
	if d != 0 && earlier != 0 && d < earlier {
		c.refuse(column, d.String(), column+".order",
			fmt.Sprintf("a date on or after %s, %s", earlierColumn, earlier))
	}
}
