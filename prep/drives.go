package prep

import (
	"cmp"
	"slices"
	"time"

	"github.com/vanwright/vanwright/prep/schedule"
)

// Drive is somebody's way from one site to another between two jobs of a day. It is
// in no block.
type Drive struct {
	Technician string
	From, To   string // sites
	Start      time.Time
	Finish     time.Time // when the next job begins; a break may lie within
}

// drives lists the ways between sites of a plan. Each ends when the next job begins.
func (p *planModel) drives(solved schedule.Plan) []Drive {
	if p.problem.Travel == nil {
		return nil
	}
	var out []Drive
	order, workers := followed(solved)
	last := map[int]int{} // task of each person
	for _, i := range order {
		w, begin := workers[i], solved.Assignments[i].Start
		if w == schedule.None || begin < 0 {
			continue
		}
		before, ok := last[w]
		last[w] = i
		if !ok {
			continue
		}
		from, to := p.problem.Tasks[before].Leaves, p.problem.Tasks[i].Site
		if from == to || solved.Assignments[before].Finish/minutesPerDay != begin/minutesPerDay {
			continue
		}
		leave := workedBefore(p.problem.Workers[w].Hours, begin, p.problem.Travel[from][to])
		at := func(minute int) time.Time { return p.asOf.Time().Add(time.Duration(minute) * time.Minute) }
		out = append(out, Drive{p.shop.Team[w].Name, p.floor.sites[from], p.floor.sites[to], at(leave), at(begin)})
	}
	slices.SortFunc(out, func(a, b Drive) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Technician, b.Technician))
	})
	return out
}
