package prep

import (
	"math"

	"github.com/vanwright/vanwright/data"
)

// Backlog is the hours of open work in hand, by skill.
type Backlog map[string]float64

// NewBacklog adds up the open jobs of the vans in hand.
func NewBacklog(work []VanJobs) Backlog {
	b := Backlog{}
	for _, w := range work {
		for _, j := range w.Jobs {
			b[j.Skill] += j.HoursLeft.InexactFloat64()
		}
	}
	return b
}

// Days returns the calendar days that a van bought today would take to be
// ready: for the busiest of the skills it needs, the work in hand and its own
// at that skill's weekly hours, and in any case its own work end to end with
// the drying times and the longest wait for parts.
//
// It is a forecast for a bid, not a plan: the van is not in the workshop yet.
func (b Backlog) Days(jobs []Job, shop Workshop, books *data.Books) int {
	queue, alone, drying, parts := 0.0, 0.0, 0.0, 0
	own := map[string]float64{}
	for _, j := range jobs {
		if !j.Open() {
			continue
		}
		own[j.Skill] += j.HoursLeft.InexactFloat64()
		alone += j.HoursLeft.InexactFloat64()
		drying += j.DryingHours
		for _, use := range j.Parts {
			if p, ok := books.Part(use.Part); ok && use.Qty > p.InStock {
				parts = max(parts, p.LeadDays)
			}
		}
	}
	for skill, h := range own {
		weekly := shop.WeeklyHours(skill)
		if weekly == 0 {
			weekly = 40 // no such skill here: bought in, a week's work a week
		}
		queue = max(queue, (b[skill]+h)/weekly*7)
	}
	return int(math.Ceil(max(queue, alone/8*7/5+drying/24+float64(parts))))
}
