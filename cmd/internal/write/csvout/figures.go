package csvout

import (
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// A large yard's reports hold millions of figures and days. What is usual is
// therefore appended digit by digit, with nothing allocated; what is not goes
// by the functions of package data, which say how each is to look.

// pence is the places of an amount in pounds.
const pence = 2

// appendDecimal appends data.FormatDecimal(d, places). A figure with more
// places than are asked for is left to it, for only package data rounds.
func appendDecimal(text []byte, d decimal.Decimal, places int32) []byte {
	have := -d.Exponent()
	if have < 0 || have > places || places > data.Int64Digits || d.NumDigits() > data.Int64Digits {
		return append(text, data.FormatDecimal(d, places)...)
	}
	return appendUnits(text, d.CoefficientInt64(), have, places)
}

// appendHours appends data.FormatHours(data.Hours(h)).
func appendHours(text []byte, h float64) []byte {
	if n, ok := data.Hundredths(h); ok {
		return appendUnits(text, n, 2, 2)
	}
	return append(text, data.FormatHours(data.Hours(h))...)
}

// appendUnits appends a number of units, each a one behind have places, with as
// many places as are asked for, which are not fewer.
func appendUnits(text []byte, n int64, have, places int32) []byte {
	one := int64(1)
	if n < 0 {
		text, n = append(text, '-'), -n
	}
	for range have {
		one *= 10
	}
	text = strconv.AppendInt(text, n/one, 10)
	if places > 0 {
		text = append(text, '.')
	}
	for unit := one / 10; unit > 0; unit /= 10 {
		text = append(text, '0'+byte(n/unit%10))
	}
	for range places - have {
		text = append(text, '0')
	}
	return text
}

// appendDate appends d.String().
func appendDate(text []byte, d data.Date) []byte {
	if d.IsZero() {
		return text
	}
	year, month, day := d.Time().Date()
	if year < 1000 || year > 9999 {
		return d.Time().AppendFormat(text, time.DateOnly)
	}
	text = strconv.AppendInt(text, int64(year), 10)
	return append(text, '-', '0'+byte(month/10), '0'+byte(month%10), '-', '0'+byte(day/10), '0'+byte(day%10))
}

// appendPlace appends s.String() as text.
func appendPlace(text []byte, s data.Source) []byte {
	if s.File == "" {
		return text
	}
	start := len(text)
	text = appendText(text, s.File)
	if len(text)-start != len(s.File) { // quoted, guarded or cleaned
		return appendText(text[:start], s.String())
	}
	return strconv.AppendInt(append(text, ':'), int64(s.Line), 10)
}
