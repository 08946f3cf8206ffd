package prep

import (
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

const minutesPerDay = 24 * 60

// task ties an activity of the engine to a job. A van's last activity has no
// job: it is the moment at which the van is ready.
type task struct {
	work int // index into the sorted work
	job  int // index into its jobs, or -1 for the van's readiness
}

// planning is the workshop put into the engine's terms.
type planning struct {
	problem schedule.Problem
	tasks   []task
	ready   []int // activity of each van's readiness
	skills  []string
	kinds   []string
}

// pose builds the engine's problem. Minute 0 is midnight at the start of asOf.
func pose(work []Work, shop Workshop, wait map[jobKey]int, asOf data.Date) planning {
	p := planning{skills: data.Skills, kinds: data.BayKinds}
	days := horizonDays(work, shop)
	worker := map[string]int{}
	for i, t := range shop.Team {
		worker[t.Name] = i
		var skills []int
		for _, s := range t.Skills {
			if k := slices.Index(p.skills, s); k >= 0 {
				skills = append(skills, k)
			}
		}
		p.problem.Workers = append(p.problem.Workers, schedule.Worker{Name: t.Name, Skills: skills, Hours: shop.hours(t, asOf, days)})
	}
	for _, kind := range p.kinds {
		p.problem.Resources = append(p.problem.Resources, schedule.Resource{Name: kind, Capacity: len(shop.places(kind))})
	}
	for w := range work {
		p.addVan(w, work[w], shop, worker, wait, asOf)
	}
	return p
}

func (p *planning) addVan(w int, work Work, shop Workshop, worker map[string]int, wait map[jobKey]int, asOf data.Date) {
	activity := map[string]int{} // by job code
	for i, j := range work.Jobs {
		if j.Open() {
			activity[j.Code] = len(p.problem.Activities)
			p.tasks = append(p.tasks, task{w, i})
			p.problem.Activities = append(p.problem.Activities, p.activity(w, work, j, shop, worker, wait))
		}
	}
	var ready schedule.Activity
	ready.Name, ready.Skill, ready.Group = work.Van.StockID+" ready", schedule.None, schedule.None
	for _, j := range work.Jobs {
		a, open := activity[j.Code]
		if !open {
			ready.Release = max(ready.Release, dryUntil(j, asOf))
			continue
		}
		act := &p.problem.Activities[a]
		for _, code := range j.After {
			before := jobOf(work.Jobs, code)
			if pred, ok := activity[code]; ok {
				act.After = append(act.After, schedule.Link{Pred: pred, Lag: minutes(before.DryingHours)})
			} else {
				act.Release = max(act.Release, dryUntil(before, asOf))
			}
		}
		ready.After = append(ready.After, schedule.Link{Pred: a, Lag: minutes(j.DryingHours)})
	}
	ready.Weight = int(data.Pence(work.ValuePerDay).Shift(2).IntPart())
	if !work.Van.PromisedOn.IsZero() {
		ready.Due = max(0, work.Van.PromisedOn.DaysSince(asOf)+1) * minutesPerDay
		ready.LateWeight = promiseWeight * max(ready.Weight, 1)
	}
	p.ready = append(p.ready, len(p.problem.Activities))
	p.tasks = append(p.tasks, task{w, -1})
	p.problem.Activities = append(p.problem.Activities, ready)
}

// promiseWeight is how much dearer a day is once a customer's promised day has
// passed. Common practice, no source.
const promiseWeight = 5

func (p *planning) activity(w int, work Work, j Job, shop Workshop, worker map[string]int, wait map[jobKey]int) schedule.Activity {
	a := schedule.Activity{
		Name:     work.Van.StockID + " " + j.Code,
		Duration: max(1, minutes(j.HoursLeft.InexactFloat64())),
		Skill:    slices.Index(p.skills, j.Skill),
		Group:    w,
		Worker:   schedule.None,
		Release:  wait[jobKey{work.Van.StockID, j.Code}] * minutesPerDay,
	}
	if kind := slices.Index(p.kinds, j.Bay); kind >= 0 {
		a.Uses = []schedule.Demand{{Resource: kind, Amount: 1}}
	}
	// Work that has begun stays with whoever began it.
	if j.State == data.JobStarted {
		if i, ok := worker[j.Technician]; ok && shop.Team[i].HasSkill(j.Skill) {
			a.Pinned, a.Worker = true, i
		}
	}
	return a
}

// dryUntil returns the minute until which a finished job still dries, counted
// from the end of the day on which it was done.
func dryUntil(j Job, asOf data.Date) int {
	if j.State != data.JobDone || j.DoneOn.IsZero() || j.DryingHours == 0 {
		return 0
	}
	return max(0, (j.DoneOn.DaysSince(asOf)+1)*minutesPerDay-8*60+minutes(j.DryingHours))
}

func jobOf(jobs []Job, code string) Job {
	i := slices.IndexFunc(jobs, func(j Job) bool { return j.Code == code })
	if i < 0 {
		return Job{}
	}
	return jobs[i]
}

func minutes(hours float64) int { return int(math.Ceil(hours*60 - 1e-6)) }

// horizonDays is how far the calendars must reach: twice the weeks that the
// scarcest skill needs, and half a year for parts, drying and absences.
func horizonDays(work []Work, shop Workshop) int {
	hours := map[string]float64{}
	for _, w := range work {
		for _, j := range w.Jobs {
			hours[j.Skill] += j.HoursLeft.InexactFloat64()
		}
	}
	weeks := 0.0
	for skill, h := range hours {
		if weekly := shop.WeeklyHours(skill); weekly > 0 {
			weeks = max(weeks, h/weekly)
		}
	}
	return min(182+14*int(math.Ceil(weeks)), 20*365)
}
