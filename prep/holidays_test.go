package prep

import (
	"testing"
	"time"

	"github.com/vanwright/vanwright/data"
)

// England and Wales, 2026 as listed at public-holidays.us; 2027's Easter
// Monday and August day derived.
func TestBankHolidaysOfEnglandAndWales(t *testing.T) {
	want := map[int][]string{
		2026: {"2026-01-01", "2026-04-03", "2026-04-06", "2026-05-04", "2026-05-25", "2026-08-31", "2026-12-25", "2026-12-28"},
		2027: {"2027-01-01", "2027-03-26", "2027-03-29", "2027-05-03", "2027-05-31", "2027-08-30", "2027-12-27", "2027-12-28"},
	}
	for year, days := range want {
		got := holidaysBetween("england-wales", data.NewDate(year, 1, 1), data.NewDate(year, 12, 31))
		weekdays := 0
		for d := range got {
			if d.Year() == year && d.Weekday() != time.Saturday && d.Weekday() != time.Sunday {
				weekdays++
			}
		}
		if weekdays != len(days) {
			t.Errorf("%d: got %d weekdays off, want %d: %v", year, weekdays, len(days), got)
		}
		for _, s := range days {
			d, err := data.ParseDate(s)
			if err != nil {
				t.Fatal(err)
			}
			if !got[d] {
				t.Errorf("%s is missing", s)
			}
		}
	}
}

func TestNoRegionKeepsNoHolidays(t *testing.T) {
	if got := holidaysBetween("none", data.NewDate(2026, 1, 1), data.NewDate(2026, 12, 31)); len(got) != 0 {
		t.Errorf("got %v", got)
	}
}
