package appraise

import (
	"strings"
	"time"

	"github.com/vanwright/vanwright/data"
)

// mark is what a registration mark tells of its date.
type mark struct {
	form     markForm
	from, to data.Date // first and last day of issue; unknown where it tells none
}

type markForm string

// The forms of marks.
const (
	currentMark  markForm = "current"          // AB12 CDE, since September 2001
	prefixMark   markForm = "prefix"           // A123 BCD, 1983 to 2001
	suffixMark   markForm = "suffix"           // ABC 123A, 1963 to 1983
	datelessMark markForm = "dateless"         // to 1963
	irishMark    markForm = "Northern Ireland" // with I or Z in the letters; tells no date
	qMark        markForm = "Q"                // age or identity in doubt
	unknownMark  markForm = ""
)

// yearLetters in order of issue, for suffix and prefix marks alike; I, O, Q, U
// and Z were not used (philseed.com, drivearchive.co.uk).
const yearLetters = "ABCDEFGHJKLMNPRSTVWXY"

var plateSpaces = strings.NewReplacer(" ", "", "-", "")

// readMark reads a registration mark in any United Kingdom form.
func readMark(reg string) mark {
	reg = strings.ToUpper(plateSpaces.Replace(reg))
	switch shape(reg) {
	case "AA99AAA":
		return currentMarkOf(reg)
	case "A9AAA", "A99AAA", "A999AAA":
		if strings.ContainsAny(reg[len(reg)-3:], "IQZ") {
			return mark{}
		}
		if reg[0] == 'Q' {
			return mark{form: qMark}
		}
		return yearMark(prefixMark, reg[0], prefixStart)
	case "AAA9A", "AAA99A", "AAA999A":
		if strings.ContainsAny(reg[:3], "QZ") {
			return mark{}
		}
		return yearMark(suffixMark, reg[len(reg)-1], suffixStart)
	case "A9", "A99", "A999", "A9999", "AA9", "AA99", "AA999", "AA9999", "AAA9", "AAA99", "AAA999", "AAA9999",
		"9A", "99A", "999A", "9999A", "9AA", "99AA", "999AA", "9999AA", "9AAA", "99AAA", "999AAA", "9999AAA":
		letters := strings.Trim(reg, "0123456789")
		switch {
		case strings.Contains(letters, "Q"):
			return mark{}
		case strings.ContainsAny(letters, "IZ"):
			return mark{form: irishMark}
		case len(reg) == 7: // three letters and four digits were issued in Northern Ireland only
			return mark{}
		}
		return mark{datelessMark, data.NewDate(1903, time.November, 1), data.NewDate(1963, time.December, 31)}
	}
	return mark{}
}

// shape writes every letter as A and every digit as 9.
func shape(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return 'A'
		case r >= '0' && r <= '9':
			return '9'
		}
		return '?'
	}, s)
}

// currentMarkOf reads the form in use since 1 September 2001: 02 to 50 is March
// to August of that year, 51 to 99 and then 00 September of the year 50 less to
// the end of February (premier-number-plate.co.uk, carsgt.co). The area letters
// are never I, Q, Z, the last three never I, Q (carsgt.co).
func currentMarkOf(reg string) mark {
	if strings.ContainsAny(reg[:2], "IQZ") || strings.ContainsAny(reg[4:], "IQ") {
		return mark{}
	}
	age := int(reg[2]-'0')*10 + int(reg[3]-'0')
	switch {
	case age == 1: // March 2001 still had the prefix Y
		return mark{}
	case age == 0:
		age = 100
	}
	if age <= 50 {
		year := 2000 + age
		return mark{currentMark, data.NewDate(year, time.March, 1), data.NewDate(year, time.August, 31)}
	}
	year := 2000 + age - 50
	return mark{currentMark, data.NewDate(year, time.September, 1), data.NewDate(year+1, time.March, 1).AddDays(-1)}
}

// yearMark returns the window of a year letter: from its first day to the day
// before the next letter's.
func yearMark(form markForm, letter byte, start func(i int) data.Date) mark {
	i := strings.IndexByte(yearLetters, letter)
	if i < 0 {
		return mark{}
	}
	return mark{form, start(i), start(i + 1).AddDays(-1)}
}

// suffixStart: A to E began with the years 1963 to 1967, F with August 1967, and
// so on by Augusts to Y in 1982 (philseed.com, to F; the rest follows).
func suffixStart(i int) data.Date {
	if i <= 4 {
		return data.NewDate(1963+i, time.January, 1)
	}
	return data.NewDate(1962+i, time.August, 1)
}

// prefixStart: A to S began with the Augusts of 1983 to 1998, then half years: T
// March 1999, V September 1999, W March 2000, X September 2000, Y March 2001
// (years: nationalnumbers.co.uk; half years: drivearchive.co.uk; months from
// memory).
func prefixStart(i int) data.Date {
	s := strings.IndexByte(yearLetters, 'S')
	if i <= s {
		return data.NewDate(1983+i, time.August, 1)
	}
	halves := i - s - 1
	month := time.March
	if halves%2 == 1 {
		month = time.September
	}
	return data.NewDate(1999+halves/2, month, 1)
}
