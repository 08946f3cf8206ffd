package prep

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

// The government's lists as they stand in the data of the Perl distribution
// Date-Holidays-GB 0.016, generated on 2020-02-11 from gov.uk/bank-holidays:
// years in which New Year, Christmas and the national days fall on a weekend.
// England and Wales 2026: as listed at public-holidays.us. Northern Ireland
// 2026: as listed by mountainviewsurgery.co.uk, without its own days. Scotland
// 2026: the rules that the other years show, and the day for the World Cup as
// announced at wired-gov.net on 2026-02-05.
var listed = []struct {
	region string
	year   int
	days   string
}{
	{"england-wales", 2016, "01-01 03-25 03-28 05-02 05-30 08-29 12-26 12-27"},
	{"england-wales", 2017, "01-02 04-14 04-17 05-01 05-29 08-28 12-25 12-26"},
	{"england-wales", 2020, "01-01 04-10 04-13 05-08 05-25 08-31 12-25 12-28"},
	{"england-wales", 2021, "01-01 04-02 04-05 05-03 05-31 08-30 12-27 12-28"},
	{"england-wales", 2026, "01-01 04-03 04-06 05-04 05-25 08-31 12-25 12-28"},
	{"scotland", 2013, "01-01 01-02 03-29 05-06 05-27 08-05 12-02 12-25 12-26"},
	{"scotland", 2014, "01-01 01-02 04-18 05-05 05-26 08-04 12-01 12-25 12-26"},
	{"scotland", 2015, "01-01 01-02 04-03 05-04 05-25 08-03 11-30 12-25 12-28"},
	{"scotland", 2016, "01-01 01-04 03-25 05-02 05-30 08-01 11-30 12-26 12-27"},
	{"scotland", 2017, "01-02 01-03 04-14 05-01 05-29 08-07 11-30 12-25 12-26"},
	{"scotland", 2020, "01-01 01-02 04-10 05-08 05-25 08-03 11-30 12-25 12-28"},
	{"scotland", 2021, "01-01 01-04 04-02 05-03 05-31 08-02 11-30 12-27 12-28"},
	{"scotland", 2026, "01-01 01-02 04-03 05-04 05-25 06-15 08-03 11-30 12-25 12-28"},
	{"northern-ireland", 2013, "01-01 03-18 03-29 04-01 05-06 05-27 07-12 08-26 12-25 12-26"},
	{"northern-ireland", 2014, "01-01 03-17 04-18 04-21 05-05 05-26 07-14 08-25 12-25 12-26"},
	{"northern-ireland", 2015, "01-01 03-17 04-03 04-06 05-04 05-25 07-13 08-31 12-25 12-28"},
	{"northern-ireland", 2018, "01-01 03-19 03-30 04-02 05-07 05-28 07-12 08-27 12-25 12-26"},
	{"northern-ireland", 2021, "01-01 03-17 04-02 04-05 05-03 05-31 07-12 08-30 12-27 12-28"},
	{"northern-ireland", 2026, "01-01 03-17 04-03 04-06 05-04 05-25 07-13 08-31 12-25 12-28"},
}

func TestBankHolidaysAsListed(t *testing.T) {
	for _, l := range listed {
		got := BankHolidays(l.region, data.NewDate(l.year, 1, 1), data.NewDate(l.year, 12, 31))
		var days []string
		for _, d := range slices.Sorted(maps.Keys(got)) {
			// A day that is moved from a weekend takes nothing from a week of
			// Monday to Friday.
			if d.Year() == l.year && d.Weekday() != time.Saturday && d.Weekday() != time.Sunday {
				days = append(days, d.String()[len("2026-"):])
			}
		}
		if diff := cmp.Diff(strings.Fields(l.days), days); diff != "" {
			t.Errorf("%s %d (-listed +got):\n%s", l.region, l.year, diff)
		}
	}
}

func TestNoRegionKeepsNoHolidays(t *testing.T) {
	if got := BankHolidays("none", data.NewDate(2026, 1, 1), data.NewDate(2026, 12, 31)); len(got) != 0 {
		t.Errorf("got %v", got)
	}
}
