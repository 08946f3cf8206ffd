package prep

import (
	"slices"

	"github.com/vanwright/vanwright/data"
)

// readyP80 returns, for each van, the first day by which it is ready in four
// futures of five when people keep to the order of the plan and vans that come in
// later overtake it as they would; the unknown day where it is ready in fewer.
func (o *outlook) readyP80(f foreseen) []data.Date {
	late := make([]data.Date, len(o.work))
	busy := o.busyWithArrivals()
	for w, finish := range f.finish {
		n := (4*len(o.futures) + 4) / 5
		if len(finish) < n || n == 0 {
			continue
		}
		slices.Sort(finish)
		by, alone := finish[n-1], o.alone(w)
		if queue := by - alone; queue > 0 {
			by = alone + int(float64(queue)/(1-min(busy(w)*o.overtaken(w), mostTaken)))
		}
		late[w] = dayOf(by, o.asOf)
	}
	return late
}

// mostTaken bounds the share of people's time that goes to vans that overtake.
// Common practice, no source.
const mostTaken = 0.8

// alone is about when a van would be ready if nobody had anything else to do: its
// longest wait for parts, and then its work in days of eight hours.
func (p *planModel) alone(w int) int {
	wait, work := 0, 0
	for i := p.ready[w] - 1; i >= 0 && p.tasks[i].van == w; i-- {
		wait = max(wait, p.problem.Tasks[i].Release)
		work += p.problem.Tasks[i].Duration
	}
	return wait + work*minutesPerDay/(8*60)
}

// overtaken is the share of vans that come in later and go before a van: of those in
// hand, as they came in, the share that is worth more a day for its hours. Nothing goes
// before a van that is promised to a customer.
func (p *planModel) overtaken(w int) float64 {
	if !p.work[w].Van.PromisedOn.IsZero() {
		return 0
	}
	worth := func(v VanJobs, left bool) float64 {
		hours := 0.1
		for i := range v.Jobs {
			if left {
				hours += v.Jobs[i].HoursLeft.InexactFloat64()
			} else {
				hours += v.Jobs[i].HoursP50.InexactFloat64()
			}
		}
		return v.ValuePerDay.InexactFloat64() / hours
	}
	own, before := worth(p.work[w], true), 0
	for _, v := range p.work {
		if worth(v, false) > own {
			before++
		}
	}
	return float64(before) / float64(len(p.work))
}

// busyWithArrivals returns how much of people's time the vans will take that come in
// later, by the van that waits for these people: the most of any skill that it still
// needs. They come as often as of late, with as much work of each skill as those in hand.
func (p *planModel) busyWithArrivals() func(w int) float64 {
	hours := make([]float64, p.floor.skill("", 0)+1) // a week, by skill
	for w, v := range p.work {
		for i := range v.Jobs {
			if j := &v.Jobs[i]; j.State != data.JobDropped {
				hours[p.floor.skill(j.Skill, p.sites[w])] += j.HoursP50.InexactFloat64() * p.shop.Arrivals * 7 / float64(len(p.work))
			}
		}
	}
	able := make([]float64, len(hours)) // hours a week
	for k, w := range p.problem.Workers {
		for _, skill := range w.Skills {
			for _, h := range p.shop.Team[k].Hours {
				able[skill] += h
			}
		}
	}
	load := make([]float64, len(p.problem.Workers)) // of each person
	for k, w := range p.problem.Workers {
		for _, skill := range w.Skills {
			if able[skill] > 0 {
				load[k] += hours[skill] / able[skill]
			}
		}
	}
	busy := make([]float64, len(hours)) // of those with a skill, the mean
	for skill := range busy {
		sum, people := 0.0, 0
		for k, w := range p.problem.Workers {
			if slices.Contains(w.Skills, skill) {
				sum += load[k]
				people++
			}
		}
		busy[skill] = sum / float64(max(people, 1))
	}
	return func(w int) float64 {
		most := 0.0
		for i := p.ready[w] - 1; i >= 0 && p.tasks[i].van == w; i-- {
			most = max(most, busy[p.problem.Tasks[i].Skill])
		}
		return most
	}
}
