package csvout

import (
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// Column is one column of a report made from values of type R: its name in the
// header, and how a row's cell is written.
type Column[R any] struct {
	name   string
	kind   Kind
	append func(text []byte, row R) []byte
}

// Kind is what the cells of a column are, for who shows them in a workbook.
type Kind int

// The kinds.
const (
	Words Kind = iota
	Pounds
	Number
	Day
)

// Text is a column of words. What a spreadsheet would run is made harmless.
func Text[R any](name string, of func(R) string) Column[R] {
	return Column[R]{name, Words, func(text []byte, row R) []byte { return appendText(text, of(row)) }}
}

// Value is a column whose cells may be words or numbers, as what was read at a
// checkpoint. A plain number such as -12.50 stays one; anything else is Text.
func Value[R any](name string, of func(R) string) Column[R] {
	return Column[R]{name, Words, func(text []byte, row R) []byte {
		cell := of(row)
		if plainNumber(cell) {
			return append(text, cell...)
		}
		return appendText(text, cell)
	}}
}

// List is a column of several words in a cell, parted by semicolons. A
// semicolon within a word would part it, and becomes a comma.
func List[R any](name string, of func(R) []string) Column[R] {
	return Column[R]{name, Words, func(text []byte, row R) []byte {
		words := of(row)
		switch len(words) {
		case 0:
			return text
		case 1:
			return appendText(text, strings.ReplaceAll(words[0], ";", ","))
		}
		var cell strings.Builder
		for i, word := range words {
			if i > 0 {
				cell.WriteByte(';')
			}
			cell.WriteString(strings.ReplaceAll(word, ";", ","))
		}
		return appendText(text, cell.String())
	}}
}

// Money is a column of pounds with two places, as in 12495.00.
func Money[R any](name string, of func(R) data.Money) Column[R] {
	c := Decimal(name, pence, of)
	c.kind = Pounds
	return c
}

// OptMoney is Money that is blank where the amount is unknown.
func OptMoney[R any](name string, of func(R) data.Opt[data.Money]) Column[R] {
	c := OptDecimal(name, pence, of)
	c.kind = Pounds
	return c
}

// Decimal is a column of a quantity with a fixed number of places: 2 for hours,
// 1 for a percentage. The column's name gives the unit.
func Decimal[R any](name string, places int32, of func(R) decimal.Decimal) Column[R] {
	return Column[R]{name, Number, func(text []byte, row R) []byte { return appendDecimal(text, of(row), places) }}
}

// OptDecimal is Decimal that is blank where the quantity is unknown.
func OptDecimal[R any](name string, places int32, of func(R) data.Opt[decimal.Decimal]) Column[R] {
	return optional(name, of, func(text []byte, d decimal.Decimal) []byte { return appendDecimal(text, d, places) })
}

// Hours is a column of labour hours, rounded by package data, with two places.
func Hours[R any](name string, of func(R) float64) Column[R] {
	return Column[R]{name, Number, func(text []byte, row R) []byte { return appendHours(text, of(row)) }}
}

// Int is a column of whole numbers.
func Int[R any](name string, of func(R) int) Column[R] {
	return Column[R]{name, Number, func(text []byte, row R) []byte { return strconv.AppendInt(text, int64(of(row)), 10) }}
}

// OptInt is Int that is blank where the number is unknown.
func OptInt[R any](name string, of func(R) data.Opt[int]) Column[R] {
	return optional(name, of, func(text []byte, n int) []byte { return strconv.AppendInt(text, int64(n), 10) })
}

// Date is a column of days, as in 2026-03-09; an unknown day is blank.
func Date[R any](name string, of func(R) data.Date) Column[R] {
	return Column[R]{name, Day, func(text []byte, row R) []byte { return appendDate(text, of(row)) }}
}

// Moment is a column of local days and times to the minute, as in
// 2026-03-09 08:30, in the zone that the time carries; the zero time is blank.
func Moment[R any](name string, of func(R) time.Time) Column[R] {
	return Column[R]{name, Words, func(text []byte, row R) []byte {
		at := of(row)
		if at.IsZero() {
			return text
		}
		return at.AppendFormat(text, "2006-01-02 15:04")
	}}
}

// Place is a column of the lines that rows stand on, as in readings.csv:14.
func Place[R any](name string, of func(R) data.Source) Column[R] {
	return Column[R]{name, Words, func(text []byte, row R) []byte { return appendPlace(text, of(row)) }}
}

// optional writes a known value by add. What add appends is digits, and needs
// no quoting.
func optional[R, T any](name string, of func(R) data.Opt[T], add func([]byte, T) []byte) Column[R] {
	return Column[R]{name, Number, func(text []byte, row R) []byte {
		value := of(row)
		if !value.Known {
			return text
		}
		return add(text, value.Value)
	}}
}

// plainNumber reports whether s is digits with at most one sign before and one
// point among them: what a spreadsheet reads as a number and nothing more.
func plainNumber(s string) bool {
	whole, fraction, point := strings.Cut(strings.TrimPrefix(s, "-"), ".")
	return digits(whole) && (!point || digits(fraction))
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
