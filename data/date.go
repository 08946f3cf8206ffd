package data

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Date is a calendar day without a clock or a zone, counted in days so that
// subtraction gives days. The zero value is an unknown day.
type Date int32

// dayOfUnixEpoch is the Date of 1970-01-01, with 0001-01-01 as day 1.
const dayOfUnixEpoch = 719163

// Dates outside these years are typing errors in this trade: no van on sale
// was registered before the first, and no paper runs past the second.
const (
	firstYear = 1950
	lastYear  = 2100
)

// NewDate returns the day of a year, month and day of month, normalised as
// time.Date does.
func NewDate(year int, month time.Month, day int) Date {
	return DateOf(time.Date(year, month, day, 0, 0, 0, 0, time.UTC))
}

// DateOf returns the calendar day that t shows in its own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix()/86400 + dayOfUnixEpoch)
}

// Time returns midnight UTC at the start of the day.
func (d Date) Time() time.Time {
	return time.Unix((int64(d)-dayOfUnixEpoch)*86400, 0).UTC()
}

// IsZero reports whether the day is unknown.
func (d Date) IsZero() bool { return d == 0 }

// String gives 2026-03-09, or nothing for an unknown day.
func (d Date) String() string {
	if d == 0 {
		return ""
	}
	return d.Time().Format(time.DateOnly)
}

// Words gives 9 Mar 2026, as it stands in a sentence, or nothing for an unknown day.
func (d Date) Words() string {
	if d == 0 {
		return ""
	}
	return d.Time().Format("2 Jan 2006")
}

// MonthWords writes month and year as people do: Dec 2026.
func (d Date) MonthWords() string { return d.Time().Format("Jan 2006") }

// MarshalText writes the day as String does.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads a day as ParseDate does; blank is none.
func (d *Date) UnmarshalText(text []byte) (err error) {
	*d = 0
	if len(text) > 0 {
		*d, err = ParseDate(string(text))
	}
	return err
}

// AddDays returns the day n days later.
func (d Date) AddDays(n int) Date { return d + Date(n) }

// AddMonths returns the same day of the month n months later, or the last day
// of that month where it is shorter: 31 January plus one month is 28 February.
func (d Date) AddMonths(n int) Date {
	y, m, day := d.Time().Date()
	months := 12*y + int(m) - 1 + n
	year, month := months/12, months%12
	if month < 0 {
		year, month = year-1, month+12
	}
	return civilDay(year, month+1, min(day, daysIn(year, month+1)))
}

// DaysSince returns the days from earlier to d; negative where d comes first.
func (d Date) DaysSince(earlier Date) int { return int(d) - int(earlier) }

// YearsSince returns the years from earlier to d as a fraction, with a year of
// 365.25 days.
func (d Date) YearsSince(earlier Date) float64 { return float64(d-earlier) / 365.25 }

// Year returns the calendar year.
func (d Date) Year() int { return d.Time().Year() }

// Month returns the calendar month.
func (d Date) Month() time.Month { return d.Time().Month() }

// Weekday returns the day of the week.
func (d Date) Weekday() time.Weekday { return d.Time().Weekday() }

// dateForms is what a date cell may hold; it ends the sentence "expected …".
const dateForms = "a date such as 2026-03-09, 09/03/2026 (day first) or 9 Mar 2026"

// ParseDate reads 2026-03-09, 09/03/2026 or 9 Mar 2026 (day first, always).
// Anything else, or a year outside 1950 to 2100, is an error.
func ParseDate(s string) (Date, error) {
	s = trim(s)
	year, month, day, ok := splitDate(s)
	if !ok || month < 1 || month > 12 || day < 1 || day > daysIn(year, month) {
		return 0, errors.New(dateForms)
	}
	if year < firstYear || year > lastYear {
		return 0, fmt.Errorf("a date from %d to %d", firstYear, lastYear)
	}
	return civilDay(year, month, day), nil
}

// ParseMonth reads 2021-12, 12/2021 or Dec 2021 as things are dated that last
// through the month printed on them. It returns the last day of the month.
func ParseMonth(s string) (Date, bool) {
	s = trim(s)
	var year, month int
	var ok bool
	if y, m, dashed := strings.Cut(s, "-"); dashed && len(y) == 4 {
		year, month, ok = yearAndMonth(y, m)
	} else if m, y, slashed := strings.Cut(s, "/"); slashed {
		year, month, ok = yearAndMonth(y, m)
	} else if m, y, spaced := strings.Cut(s, " "); spaced {
		year, ok = digits(y, 4)
		month = monthOf(m)
	}
	if !ok || month < 1 || month > 12 || year < firstYear || year > lastYear {
		return 0, false
	}
	return civilDay(year, month, daysIn(year, month)), true
}

func yearAndMonth(y, m string) (year, month int, ok bool) {
	year, okY := digits(y, 4)
	month, okM := digits(m, 2)
	return year, month, okY && okM
}

// splitDate takes the numbers out of a date without judging them. It is written
// out by hand because a large yard holds a million dates.
func splitDate(s string) (year, month, day int, ok bool) {
	if len(s) == 10 && s[4] == '-' && s[7] == '-' {
		year, okY := digits(s[:4], 4)
		month, okM := digits(s[5:7], 4)
		day, okD := digits(s[8:], 4)
		return year, month, day, okY && okM && okD
	}
	if d, rest, slashed := strings.Cut(s, "/"); slashed {
		m, y, _ := strings.Cut(rest, "/")
		day, okD := digits(d, 4)
		month, okM := digits(m, 4)
		year, okY := digits(y, 4)
		return year, month, day, okD && okM && okY && len(d) <= 2 && len(m) <= 2 && len(y) == 4
	}
	d, rest, _ := strings.Cut(s, " ")
	m, y, _ := strings.Cut(rest, " ")
	day, okD := digits(d, 4)
	year, okY := digits(y, 4)
	return year, monthOf(m), day, okD && okY && len(d) <= 2 && len(y) == 4
}

// digits reads one to most digits.
func digits(s string, most int) (int, bool) {
	if len(s) == 0 || len(s) > most {
		return 0, false
	}
	n := 0
	for i := range len(s) {
		d := s[i] - '0'
		if d > 9 {
			return 0, false
		}
		n = 10*n + int(d)
	}
	return n, true
}

// monthOf returns 1 to 12 for a month's name or its first three letters, in any
// letter case, and 0 for anything else.
func monthOf(s string) int {
	for m := time.January; m <= time.December; m++ {
		if name := m.String(); strings.EqualFold(s, name) || strings.EqualFold(s, name[:3]) {
			return int(m)
		}
	}
	return 0
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// civilDay counts the days to a day of the Gregorian calendar. It counts years
// from 1 March, so that a leap day comes last: the days before month m of such
// a year are (153m+2)/5, rounded down.
func civilDay(year, month, day int) Date {
	y, m := year, month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	return Date(365*y + y/4 - y/100 + y/400 + (153*m+2)/5 + day - 306)
}
