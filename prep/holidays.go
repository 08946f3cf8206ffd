package prep

import (
	"slices"
	"time"

	"github.com/rickar/cal/v2"
	"github.com/rickar/cal/v2/aa"
	"github.com/rickar/cal/v2/gb"

	"github.com/vanwright/vanwright/data"
)

// The days that Scotland and Northern Ireland keep besides, or instead of,
// those of England and Wales. From memory.
var (
	secondJanuary = &cal.Holiday{Name: "2nd January", Month: time.January, Day: 2, Func: cal.CalcDayOfMonth,
		Observed: []cal.AltDay{{Day: time.Saturday, Offset: 2}, {Day: time.Sunday, Offset: 2}, {Day: time.Monday, Offset: 1}}}
	scottishSummer = &cal.Holiday{Name: "Summer Bank Holiday", Month: time.August, Weekday: time.Monday, Offset: 1,
		Func: cal.CalcWeekdayOffset}
	stAndrew   = toMonday("St Andrew's Day", time.November, 30)
	stPatrick  = toMonday("St Patrick's Day", time.March, 17)
	theTwelfth = toMonday("Battle of the Boyne", time.July, 12)
)

func toMonday(name string, month time.Month, day int) *cal.Holiday {
	return aa.NewYear.Clone(&cal.Holiday{Name: name, Month: month, Day: day, Func: cal.CalcDayOfMonth,
		Observed: []cal.AltDay{{Day: time.Saturday, Offset: 2}, {Day: time.Sunday, Offset: 1}}})
}

// bankHolidays returns the rules of a region of the policy.
func bankHolidays(region string) []*cal.Holiday {
	switch region {
	case "england-wales":
		return gb.Holidays
	case "scotland":
		kept := slices.DeleteFunc(slices.Clone(gb.Holidays), func(h *cal.Holiday) bool {
			return h == gb.EasterMonday || h == gb.SummerHoliday
		})
		return append(kept, secondJanuary, scottishSummer, stAndrew)
	case "northern-ireland":
		return append(slices.Clone(gb.Holidays), stPatrick, theTwelfth)
	}
	return nil
}

// holidaysBetween returns the bank holidays of a region from one day to
// another, both inside.
func holidaysBetween(region string, from, to data.Date) map[data.Date]bool {
	days := map[data.Date]bool{}
	for _, h := range bankHolidays(region) {
		for year := from.Year(); year <= to.Year(); year++ {
			actual, observed := h.Calc(year)
			for _, t := range []time.Time{actual, observed} {
				if !t.IsZero() {
					days[data.DateOf(t)] = true
				}
			}
		}
	}
	return days
}
