package data

import (
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

// MarshalText writes the day as String does.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// AddDays returns the day n days later.
func (d Date) AddDays(n int) Date { return d + Date(n) }

// AddMonths returns the same day of the month n months later, or the last day
// of that month where it is shorter: 31 January plus one month is 28 February.
func (d Date) AddMonths(n int) Date {
	y, m, day := d.Time().Date()
	first := time.Date(y, m+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return DateOf(first.AddDate(0, 0, min(day, last)-1))
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

// dateLayouts are the ways people write a day here: always day first.
var dateLayouts = []string{
	time.DateOnly, "02/01/2006", "2/1/2006", "2 Jan 2006", "02 Jan 2006", "2 January 2006",
}

// ParseDate reads 2026-03-09, 09/03/2026 or 9 Mar 2026 (day first, always).
// Anything else, or a year outside 1950 to 2100, is an error.
func ParseDate(s string) (Date, error) {
	s = strings.TrimSpace(s)
	for _, layout := range dateLayouts {
		t, err := time.Parse(layout, s)
		if err != nil {
			continue
		}
		if y := t.Year(); y < firstYear || y > lastYear {
			return 0, fmt.Errorf("a date from %d to %d", firstYear, lastYear)
		}
		return DateOf(t), nil
	}
	return 0, fmt.Errorf("a date such as 2026-03-09, 09/03/2026 or 9 Mar 2026")
}
