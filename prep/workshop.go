package prep

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// Workshop is who may work, where and when.
type Workshop struct {
	Team        []data.Technician
	Bays        []data.Bay
	Absences    []data.Absence
	Orders      []data.Order // of parts, that have arrived and that have not
	Fitted      []Fitted     // by jobs of vans that are not in the work, those that are gone too
	Arrivals    float64      // vans that come in, a day
	Region      string       // whose bank holidays are kept
	DefaultTeam bool         // the yard names no technician: Team is ours
	DefaultBays bool
}

// A day begins at startOfDay, in minutes after midnight. Who works longer than
// noBreakMinutes has a break at noon, which makes the day end later. That long a
// day has a break by law in Great Britain (Working Time Regulations 1998, from
// memory); the times are common practice, no source.
const (
	startOfDay     = 8 * 60
	noBreakMinutes = 6 * 60
	noon           = 12 * 60
)

// NewWorkshop returns the yard's workshop, with a small default team or
// default bays where the yard names none.
func NewWorkshop(yard *data.Yard, region string) Workshop {
	w := Workshop{Team: slices.Clone(yard.Team), Bays: slices.Clone(yard.Bays), Absences: yard.Absences, Orders: yard.Orders, Region: region}
	if len(w.Team) == 0 {
		w.Team, w.DefaultTeam = defaultTeam(), true
	}
	if len(w.Bays) == 0 {
		w.Bays, w.DefaultBays = defaultBays(), true
	}
	// The plan must not hang on the order in which people were typed in.
	slices.SortStableFunc(w.Team, func(a, b data.Technician) int { return cmp.Compare(a.Name, b.Name) })
	slices.SortStableFunc(w.Bays, func(a, b data.Bay) int { return cmp.Compare(a.Name, b.Name) })
	return w
}

// arrivalDays is how far back vans are counted that came in.
const arrivalDays = 90

// ArrivalRate returns how many vans came in a day of late, of those whose days are
// given.
func ArrivalRate(acquired []data.Date, asOf data.Date) float64 {
	came, first := 0, asOf
	for _, day := range acquired {
		if !day.IsZero() && day <= asOf && asOf.DaysSince(day) < arrivalDays {
			came++
			first = min(first, day)
		}
	}
	return float64(came) / float64(max(asOf.DaysSince(first), 14))
}

// defaultTeam stands in for a team.csv: enough people for every skill, so that
// a plan exists. Common practice, no source.
func defaultTeam() []data.Technician {
	week := [7]float64{time.Monday: 8, time.Tuesday: 8, time.Wednesday: 8, time.Thursday: 8, time.Friday: 8}
	return []data.Technician{
		{Name: "default engineer", Skills: []string{"gas", "electrical", "habitation"}, Hours: week},
		{Name: "default fitter", Skills: []string{"habitation", "damp", "bodywork"}, Hours: week},
		{Name: "default mechanic", Skills: []string{"mechanical", "tyres"}, Hours: week},
		{Name: "default valeter", Skills: []string{"valet", "photography"}, Hours: week},
	}
}

func defaultBays() []data.Bay {
	return []data.Bay{
		{Name: "default bodywork", Kind: "bodywork", Count: 1},
		{Name: "default habitation", Kind: "habitation", Count: 2},
		{Name: "default ramp", Kind: "ramp", Count: 1},
		{Name: "default valet", Kind: "valet", Count: 1},
	}
}

// Note says which part of the workshop is not the yard's own.
func (w Workshop) Note() string {
	switch {
	case w.DefaultTeam && w.DefaultBays:
		return "planned with a default team and default bays: the yard names none"
	case w.DefaultTeam:
		return "planned with a default team: the yard names none"
	case w.DefaultBays:
		return "planned with default bays: the yard names none"
	}
	return ""
}

// WeeklyHours returns the hours a week that people with a skill work.
func (w Workshop) WeeklyHours(skill string) float64 {
	sum := 0.0
	for _, t := range w.Team {
		if t.HasSkill(skill) {
			for _, h := range t.Hours {
				sum += h
			}
		}
	}
	return sum
}

// away reports whether a person does not work on a day: when absent, and on a
// bank holiday that absence.csv does not say is worked. An absence stands
// whatever is worked.
func (w Workshop) away(name string, day data.Date, holidays map[data.Date]bool) bool {
	off := holidays[day]
	for _, a := range w.Absences {
		if (a.Technician == "" || a.Technician == name) && a.From <= day && day <= a.To {
			if !a.Works {
				return true
			}
			off = false
		}
	}
	return off
}

// HoursOn returns the hours that a person works on a day: none when away.
func (w Workshop) HoursOn(t data.Technician, day data.Date) float64 {
	if w.away(t.Name, day, BankHolidays(w.Region, day, day)) {
		return 0
	}
	return t.HoursOn(day.Weekday())
}

// hours returns a person's working intervals in minutes after midnight of the
// first day, in whole quarters of an hour.
func (w Workshop) hours(t data.Technician, from data.Date, days, breakMinutes int) schedule.Calendar {
	holidays := BankHolidays(w.Region, from, from.AddDays(days))
	var c schedule.Calendar
	for i := range days {
		day := from.AddDays(i)
		minutes := int(t.HoursOn(day.Weekday())*60+0.5) / gridMinutes * gridMinutes
		if minutes == 0 || w.away(t.Name, day, holidays) {
			continue
		}
		pause := 0
		if minutes > noBreakMinutes {
			pause = onGrid(breakMinutes)
		}
		begin := i*minutesPerDay + max(min(startOfDay, minutesPerDay-minutes-pause), 0)
		end := min(begin+minutes+pause, (i+1)*minutesPerDay)
		if middle := i*minutesPerDay + noon; pause > 0 && begin < middle && middle+pause < end {
			c = append(c, schedule.Interval{From: begin, To: middle}, schedule.Interval{From: middle + pause, To: end})
			continue
		}
		c = append(c, schedule.Interval{From: begin, To: min(begin+minutes, end)})
	}
	return c
}

// places names each single bay of a kind at a site; a blank site is that of bays
// which serve every site.
func (w Workshop) places(kind, site string) []string {
	var names []string
	for _, b := range w.Bays {
		if b.Kind != kind || b.Site != site {
			continue
		}
		for k := range b.Count {
			if b.Count == 1 {
				names = append(names, b.Name)
			} else {
				names = append(names, fmt.Sprintf("%s %d", b.Name, k+1))
			}
		}
	}
	return names
}
