package prep

import (
	"slices"
	"time"

	"github.com/rickar/cal/v2"
	"github.com/rickar/cal/v2/gb"

	"github.com/vanwright/vanwright/data"
)

// The days that Scotland and Northern Ireland keep besides, or instead of,
// those of England and Wales: Banking and Financial Dealings Act 1971, schedule
// 1. St Andrew's Day and the day put in its place are from the St Andrew's Day
// Bank Holiday (Scotland) Act 2007, section 1; the rest of the rules are from
// memory and are held against the government's lists of ten years in the tests.
var (
	secondJanuary = &cal.Holiday{Name: "2nd January", Month: time.January, Day: 2, Func: cal.CalcDayOfMonth,
		Observed: []cal.AltDay{{Day: time.Saturday, Offset: 2}, {Day: time.Sunday, Offset: 2}, {Day: time.Monday, Offset: 1}}}
	stAndrew   = toMonday("St Andrew's Day", time.November, 30)
	stPatrick  = toMonday("St Patrick's Day", time.March, 17)
	theTwelfth = toMonday("Battle of the Boyne", time.July, 12)
	// worldCup2026 was appointed for Scotland alone by proclamation, announced
	// on 5 February 2026.
	worldCup2026 = &cal.Holiday{Name: "World Cup", Month: time.June, Day: 15, Func: cal.CalcDayOfMonth,
		StartYear: 2026, EndYear: 2026}
)

// toMonday is a day of the year that moves to Monday when it falls on a
// weekend.
func toMonday(name string, month time.Month, day int) *cal.Holiday {
	return &cal.Holiday{Name: name, Month: month, Day: day, Func: cal.CalcDayOfMonth,
		Observed: []cal.AltDay{{Day: time.Saturday, Offset: 2}, {Day: time.Sunday, Offset: 1}}}
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
		return append(kept, secondJanuary, gb.SummerHolidayScotland, stAndrew, worldCup2026)
	case "northern-ireland":
		return append(slices.Clone(gb.Holidays), stPatrick, theTwelfth)
	}
	return nil
}

// BankHolidays returns the bank holidays of a region from one day to
// another, both inside.
func BankHolidays(region string, from, to data.Date) map[data.Date]bool {
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
