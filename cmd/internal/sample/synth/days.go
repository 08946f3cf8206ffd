package synth

import (
	"sync"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// region is where the made-up yards are.
const region = "england-wales"

// closed are the bank holidays of all years that a made-up yard can know of: the
// oldest van of the earliest yard was registered in 1989.
var closed = sync.OnceValue(func() map[data.Date]bool {
	return prep.BankHolidays(region, data.NewDate(1989, 1, 1), data.NewDate(2041, 12, 31))
})

// trading reports whether vans are bought and sold on a day: on all days but
// Sundays and bank holidays.
func trading(day data.Date) bool { return day.Weekday() != time.Sunday && !closed()[day] }

// working reports whether work is done on a day: vans are bought and sold on
// Saturdays too, workshops are shut.
func working(day data.Date) bool { return trading(day) && day.Weekday() != time.Saturday }

// onOrBefore returns the last day up to day that is open.
func onOrBefore(open func(data.Date) bool, day data.Date) data.Date {
	for !open(day) {
		day = day.AddDays(-1)
	}
	return day
}

// onOrAfter returns the first day from day on that is open.
func onOrAfter(open func(data.Date) bool, day data.Date) data.Date {
	for !open(day) {
		day = day.AddDays(1)
	}
	return day
}
