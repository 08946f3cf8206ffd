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

// The government's own calendar data as of 21 August 2026 (repository
// alphagov/frontend, lib/data/bank-holidays.json, commit cb2a016d): every bank
// holiday of 2025 to 2028, Scotland's one-off day for the World Cup on 15 June 2026
// among them.
func TestBankHolidaysOfTheGovernmentsCalendar(t *testing.T) {
	for region, years := range map[string]map[int]string{
		"england-wales": {
			2025: "01-01 04-18 04-21 05-05 05-26 08-25 12-25 12-26",
			2026: "01-01 04-03 04-06 05-04 05-25 08-31 12-25 12-28",
			2027: "01-01 03-26 03-29 05-03 05-31 08-30 12-27 12-28",
			2028: "01-03 04-14 04-17 05-01 05-29 08-28 12-25 12-26",
		},
		"scotland": {
			2025: "01-01 01-02 04-18 05-05 05-26 08-04 12-01 12-25 12-26",
			2026: "01-01 01-02 04-03 05-04 05-25 06-15 08-03 11-30 12-25 12-28",
			2027: "01-01 01-04 03-26 05-03 05-31 08-02 11-30 12-27 12-28",
			2028: "01-03 01-04 04-14 05-01 05-29 08-07 11-30 12-25 12-26",
		},
		"northern-ireland": {
			2025: "01-01 03-17 04-18 04-21 05-05 05-26 07-14 08-25 12-25 12-26",
			2026: "01-01 03-17 04-03 04-06 05-04 05-25 07-13 08-31 12-25 12-28",
			2027: "01-01 03-17 03-26 03-29 05-03 05-31 07-12 08-30 12-27 12-28",
			2028: "01-03 03-17 04-14 04-17 05-01 05-29 07-12 08-28 12-25 12-26",
		},
	} {
		for year, want := range years {
			var days []string
			for d := data.NewDate(year, 1, 1); d.Year() == year; d = d.AddDays(1) {
				weekend := d.Weekday() == time.Saturday || d.Weekday() == time.Sunday
				if !weekend && BankHolidays(region, d, d)[d] {
					days = append(days, d.String()[len("2026-"):])
				}
			}
			if diff := cmp.Diff(strings.Fields(want), days); diff != "" {
				t.Errorf("%s %d (-listed +got):\n%s", region, year, diff)
			}
		}
	}
}

// A workshop in Scotland has 15 June 2026 off, one in England has not. The dealer
// adds a day for everybody, takes a bank holiday away for everybody or for one
// person, and an absence stands whatever is worked.
func TestCalendarIsEdited(t *testing.T) {
	june15, august3 := data.NewDate(2026, 6, 15), data.NewDate(2026, 8, 3)
	row := func(who string, day data.Date, works bool) data.Absence {
		return data.Absence{Technician: who, From: day, To: day, Works: works}
	}
	for _, tt := range []struct {
		name     string
		region   string
		absences []data.Absence
		day      data.Date
		ann, bo  float64
	}{
		{"Scotland keeps its one-off day", "scotland", nil, june15, 0, 0},
		{"England works on it", "england-wales", nil, june15, 8, 7},
		{"England adds it", "england-wales", []data.Absence{row("", june15, false)}, june15, 0, 0},
		{"Scotland works on it after all", "scotland", []data.Absence{row("", june15, true)}, june15, 8, 7},
		{"only Ann does", "scotland", []data.Absence{row("Ann", june15, true)}, june15, 8, 0},
		{"Ann is away, the others work", "scotland", []data.Absence{row("", june15, true), row("Ann", june15, false)}, june15, 0, 7},
		{"one day worked leaves the next holiday", "scotland", []data.Absence{row("", june15, true)}, august3, 0, 0},
		{"working on a day that is none changes nothing", "england-wales", []data.Absence{row("", august3, true)}, august3, 8, 7},
	} {
		t.Run(tt.name, func(t *testing.T) {
			week := [7]float64{time.Monday: 8}
			ann, bo := data.Technician{Name: "Ann", Hours: week}, data.Technician{Name: "Bo", Hours: [7]float64{time.Monday: 7}}
			w := Workshop{Team: []data.Technician{ann, bo}, Absences: tt.absences, Region: tt.region}
			if a, b := w.HoursOn(ann, tt.day), w.HoursOn(bo, tt.day); a != tt.ann || b != tt.bo {
				t.Errorf("Ann works %v hours and Bo %v, want %v and %v", a, b, tt.ann, tt.bo)
			}
			if got, want := w.open(tt.day), tt.ann+tt.bo > 0; got != want {
				t.Errorf("open %v, want %v", got, want)
			}
			planned := 0
			for _, i := range w.hours(ann, tt.day, 1, 0) {
				planned += i.To - i.From
			}
			if planned != int(60*tt.ann) {
				t.Errorf("the plan has %d minutes of Ann, want %v hours", planned, tt.ann)
			}
		})
	}
}
