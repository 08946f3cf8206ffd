package prep

import (
	"iter"
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

const minutesPerDay = 24 * 60

// jobTask ties a task of the engine to a job. A van's last task has no
// job: it is the moment at which the van is ready.
type jobTask struct {
	work    int // index into the sorted work
	job     int // index into its jobs, or -1 for the van's readiness
	partsAt int // minute at which the job's last part is in
	dryAt   int // minute until which finished work before it dries
}

// planInput is the workshop with its work for a day: what planning starts from.
type planInput struct {
	work  []VanJobs // by need
	shop  Workshop
	books *data.Books
	asOf  data.Date
}

// planModel is the plan's input put into the engine's terms.
type planModel struct {
	planInput
	shares
	problem schedule.Problem
	days    int // that the calendars reach
	tasks   []jobTask
	ready   []int               // task of each van's readiness
	stuckOf []map[string]string // why a van's job can never be planned, by code
	skills  []string
	kinds   []string
}

// buildProblem builds the engine's problem. Minute 0 is midnight at the start of asOf.
// begin, which may be nil, is when jobs have been told to begin; it decides who
// gets the parts on the shelf.
func (in planInput) buildProblem(begin map[jobKey]int) *planModel {
	p := &planModel{planInput: in, shares: shareStock(in.work, in.books, begin), skills: data.Skills, kinds: data.BayKinds}
	p.days = horizonDays(in.work, in.shop)
	worker := map[string]int{}
	for i, t := range in.shop.Team {
		worker[t.Name] = i
		var skills []int
		for _, s := range t.Skills {
			if k := slices.Index(p.skills, s); k >= 0 {
				skills = append(skills, k)
			}
		}
		p.problem.Workers = append(p.problem.Workers, schedule.Worker{Name: t.Name, Skills: skills, Hours: in.shop.hours(t, in.asOf, p.days)})
	}
	for _, kind := range p.kinds {
		p.problem.Resources = append(p.problem.Resources, schedule.Resource{Name: kind, Capacity: len(in.shop.places(kind))})
	}
	for w := range in.work {
		p.addVan(w, worker)
	}
	return p
}

// job returns the job of a task, which must have one.
func (p *planModel) job(task int) *Job {
	t := p.tasks[task]
	return &p.work[t.work].Jobs[t.job]
}

// key names the job of a task.
func (p *planModel) key(task int) jobKey {
	j := p.job(task)
	return jobKey{j.StockID, j.Code}
}

func (p *planModel) addVan(w int, worker map[string]int) {
	work, asOf := p.work[w], p.asOf
	task := map[string]int{} // by job code
	for i, j := range work.Jobs {
		if j.Open() {
			task[j.Code] = len(p.problem.Tasks)
			p.tasks = append(p.tasks, jobTask{work: w, job: i, partsAt: p.wait[jobKey{work.Van.StockID, j.Code}] * minutesPerDay})
			p.problem.Tasks = append(p.problem.Tasks, p.task(w, j, worker))
		}
	}
	var ready schedule.Task
	ready.Name, ready.Skill, ready.Group = work.Van.StockID+" ready", schedule.None, schedule.None
	stuck := p.stuck(work.Jobs)
	p.stuckOf = append(p.stuckOf, stuck)
	for _, j := range work.Jobs {
		a, open := task[j.Code]
		if !open {
			ready.Release = max(ready.Release, dryUntil(j, asOf))
			continue
		}
		act, t := &p.problem.Tasks[a], &p.tasks[a]
		for before := range comesAfter(work.Jobs, j) {
			if pred, ok := task[before.Code]; ok {
				act.After = append(act.After, schedule.Link{Pred: pred, Lag: minutes(before.DryingHours)})
			} else {
				t.dryAt = max(t.dryAt, dryUntil(before, asOf))
			}
		}
		act.Release = max(t.partsAt, t.dryAt)
		// What nobody here can do must not take the worth of a day from the
		// work that can be done.
		if stuck[j.Code] == "" {
			ready.After = append(ready.After, schedule.Link{Pred: a, Lag: minutes(j.DryingHours)})
		}
	}
	ready.Weight = int(data.Pence(work.ValuePerDay).Shift(2).IntPart())
	if !work.Van.PromisedOn.IsZero() {
		ready.Due = max(0, work.Van.PromisedOn.DaysSince(asOf)+1) * minutesPerDay
		ready.LateWeight = promiseWeight * max(ready.Weight, 1)
	}
	p.ready = append(p.ready, len(p.problem.Tasks))
	p.tasks = append(p.tasks, jobTask{work: w, job: -1})
	p.problem.Tasks = append(p.problem.Tasks, ready)
}

// comesAfter yields the jobs that come before j on its van. A job that is done
// or dropped hands on those before it: reseal still follows strip when the
// drying between them was called off.
func comesAfter(jobs []Job, j Job) iter.Seq[Job] {
	return func(yield func(Job) bool) {
		seen := map[string]bool{j.Code: true}
		todo := slices.Clone(j.After)
		for len(todo) > 0 {
			code := todo[0]
			todo = todo[1:]
			if seen[code] {
				continue
			}
			seen[code] = true
			before := jobOf(jobs, code)
			if before.Code == "" {
				continue
			}
			if !yield(before) {
				return
			}
			if !before.Open() {
				todo = append(todo, before.After...)
			}
		}
	}
}

// stuck says of each open job that can't be planned in any order why: nobody
// has the skill, there is no such bay, or it waits for a job that is stuck.
func (p *planModel) stuck(jobs []Job) map[string]string {
	stuck := map[string]string{}
	for range jobs { // each pass reaches at least one link further
		before := len(stuck)
		for _, j := range jobs {
			if !j.Open() || stuck[j.Code] != "" {
				continue
			}
			if why := p.impossible(j); why != "" {
				stuck[j.Code] = why
				continue
			}
			for first := range comesAfter(jobs, j) {
				if stuck[first.Code] != "" {
					stuck[j.Code] = "waits for " + first.Code
					break
				}
			}
		}
		if len(stuck) == before {
			break
		}
	}
	return stuck
}

// impossible says why nobody, or nowhere, is there to do a job; blank where
// there is.
func (p *planModel) impossible(j Job) string {
	if kind := slices.Index(p.kinds, j.Bay); kind >= 0 && p.problem.Resources[kind].Capacity == 0 {
		return "no bay of the kind " + data.Title(j.Bay)
	}
	skill := slices.Index(p.skills, j.Skill)
	if !slices.ContainsFunc(p.problem.Workers, func(w schedule.Worker) bool {
		return slices.Contains(w.Skills, skill) && len(w.Hours) > 0
	}) {
		return "nobody here has the skill " + data.Title(j.Skill)
	}
	return ""
}

// promiseWeight is how much dearer a day is once a customer's promised day has
// passed. Common practice, no source.
const promiseWeight = 5

func (p *planModel) task(w int, j Job, worker map[string]int) schedule.Task {
	a := schedule.Task{
		Name:     j.StockID + " " + j.Code,
		Duration: max(1, minutes(j.HoursLeft.InexactFloat64())),
		Skill:    slices.Index(p.skills, j.Skill),
		Group:    w,
		Worker:   schedule.None,
	}
	if kind := slices.Index(p.kinds, j.Bay); kind >= 0 {
		a.Uses = []schedule.Demand{{Resource: kind, Amount: 1}}
	}
	// Work that has begun stays with whoever began it.
	if j.State == data.JobStarted {
		if i, ok := worker[j.Technician]; ok && p.shop.Team[i].HasSkill(j.Skill) {
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

// jobOf returns the job of a code; the zero Job where the van has none.
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
func horizonDays(work []VanJobs, shop Workshop) int {
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
