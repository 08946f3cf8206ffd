package data

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParseDate(t *testing.T) {
	march9 := NewDate(2026, time.March, 9)
	for _, tc := range []struct {
		name, in string
		want     Date // zero: refused
	}{
		{"ISO", "2026-03-09", march9},
		{"day first with slashes", "09/03/2026", march9},
		{"day first without leading zeros", "9/3/2026", march9},
		{"short month", "9 Mar 2026", march9},
		{"long month", "9 March 2026", march9},
		{"month in capitals", "09 MAR 2026", march9},
		{"spaces round it", "  2026-03-09\t", march9},
		{"leap day", "29/02/2024", NewDate(2024, time.February, 29)},
		{"leap day of a century that has one", "29 Feb 2000", NewDate(2000, time.February, 29)},
		{"first year", "1950-01-01", NewDate(1950, time.January, 1)},
		{"last day", "31/12/2100", NewDate(2100, time.December, 31)},
		{"no leap day", "29/02/2026", 0},
		{"no leap day in 2100", "2100-02-29", 0},
		{"month first", "03/13/2026", 0},
		{"31st of a short month", "31/04/2026", 0},
		{"day nought", "2026-03-00", 0},
		{"1899, where some spreadsheets count from", "30/12/1899", 0},
		{"far future", "01/01/2999", 0},
		{"two-digit year", "09/03/26", 0},
		{"one-digit ISO month", "2026-3-9", 0},
		{"hyphens, day first", "09-03-2026", 0},
		{"date and time", "2026-03-09 00:00:00", 0},
		{"spreadsheet day number", "46090", 0},
		{"half a date", "03/2026", 0},
		{"year alone", "2026", 0},
		{"month misspelt", "9 Mra 2026", 0},
		{"words", "soon", 0},
		{"blank", "", 0},
		{"minus", "-1/03/2026", 0},
		{"digits of another script", "٠٩/٠٣/2026", 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, err := ParseDate(tc.in)
			if got != tc.want || (err == nil) != (tc.want != 0) {
				t.Errorf("ParseDate(%q) = %v, %v; want %v", tc.in, got, err, tc.want)
			}
		})
	}
}

// The time package is the authority on the calendar here.
func TestDateAgreesWithTime(t *testing.T) {
	for d := NewDate(firstYear, time.January, 1); d <= NewDate(lastYear, time.December, 31); d++ {
		y, m, day := d.Time().Date()
		if got := civilDay(y, int(m), day); got != d {
			t.Fatalf("civilDay(%d, %d, %d) = %d; want %d", y, m, day, got, d)
		}
		if want := time.Date(y, m+1, 0, 0, 0, 0, 0, time.UTC).Day(); daysIn(y, int(m)) != want {
			t.Fatalf("daysIn(%d, %d) = %d; want %d", y, m, daysIn(y, int(m)), want)
		}
	}
}

func TestDateSurvivesWritingAndReading(t *testing.T) {
	layouts := []string{time.DateOnly, "02/01/2006", "2/1/2006", "2 Jan 2006", "2 January 2006"}
	rapid.Check(t, func(t *rapid.T) {
		d := Date(rapid.Int32Range(int32(NewDate(firstYear, 1, 1)), int32(NewDate(lastYear, 12, 31))).Draw(t, "day"))
		written := d.Time().Format(rapid.SampledFrom(layouts).Draw(t, "layout"))
		got, err := ParseDate(written)
		if err != nil || got != d {
			t.Fatalf("ParseDate(%q) = %v, %v; want %v", written, got, err, d)
		}
	})
}

func TestAddMonthsKeepsToTheMonth(t *testing.T) {
	for _, tc := range []struct {
		name, from string
		months     int
		want       string
	}{
		{"January's end has no match in February", "2026-01-31", 1, "2026-02-28"},
		{"nor in a leap year", "2024-01-31", 1, "2024-02-29"},
		{"a year on from a leap day", "2024-02-29", 12, "2025-02-28"},
		{"backwards over a new year", "2026-01-15", -2, "2025-11-15"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			from, err := ParseDate(tc.from)
			if err != nil {
				t.Fatal(err)
			}
			if got := from.AddMonths(tc.months).String(); got != tc.want {
				t.Errorf("%s + %d months = %s; want %s", tc.from, tc.months, got, tc.want)
			}
		})
	}
}

func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2026-03-09", "09/03/2026", "9 Mar 2026", "29/02/2026", "0/0/0000", "9  Mar 2026", "9 Mar 2026 "} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDate(s)
		if err != nil {
			if d != 0 {
				t.Fatalf("ParseDate(%q) = %v with error %v", s, d, err)
			}
			return
		}
		if y := d.Year(); y < firstYear || y > lastYear {
			t.Fatalf("ParseDate(%q) = %v, outside the years it reads", s, d)
		}
		again, err := ParseDate(d.String())
		if err != nil || again != d {
			t.Fatalf("ParseDate(%q) = %v, and written and read again %v, %v", s, d, again, err)
		}
	})
}

// The standard library's calendar says the same of every month.
func TestAddMonthsIsAsTheCalendarOfTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Date(rapid.IntRange(int(NewDate(1900, 1, 1)), int(NewDate(2200, 12, 31))).Draw(t, "day"))
		n := rapid.IntRange(-1200, 1200).Draw(t, "months")
		y, m, day := d.Time().Date()
		first := time.Date(y, m+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
		want := DateOf(first.AddDate(0, 0, min(day, first.AddDate(0, 1, -1).Day())-1))
		if got := d.AddMonths(n); got != want {
			t.Fatalf("%s and %d months: got %s, want %s", d, n, got, want)
		}
	})
}
