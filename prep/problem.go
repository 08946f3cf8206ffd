package prep

import (
	"cmp"
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

const minutesPerDay = 24 * 60

// gridMinutes is the step in which people are told to begin and end: a quarter
// of an hour. Common practice, no source.
const gridMinutes = 15

// shiftApart is a stretch off, in minutes, that is no break: longer than any that
// break_minutes may give, shorter than any night. Nobody asks how people get from one
// site to another in it.
const shiftApart = 4 * 60

// jobTask ties a task of the engine to jobs. A van's last task has no jobs: it
// is the moment at which the van is ready.
type jobTask struct {
	van     int   // index into the sorted work
	jobs    []int // indices into its jobs, in the order in which they are done in one visit
	bringIn int   // minutes at the beginning in which the van is brought into its bay
	partsAt int   // minute at which the last part is in
	dryAt   int   // minute until which finished work before it dries
}

// planInput is the workshop with its work for a day: what planning starts from.
type planInput struct {
	work   []VanJobs // by need
	shop   Workshop
	books  *data.Books
	policy data.Policy
	asOf   data.Date

	begunBy map[jobKey]string // who is to have begun a job of which nobody wrote that

	// What takes long to work out and does not change while a plan is made.
	stock    *stock                  // before any plan takes from it
	known    map[Estimate][]float64  // hours by strata; most jobs have the book's estimate
	hiddenOf map[string][]hiddenWork // of a van
}

// planModel is the plan's input put into the engine's terms.
type planModel struct {
	planInput
	shares
	first   map[jobKey]int // days of each wait for parts before any job has a time: visits follow from it, so that tasks are the same whatever begins when
	floor   floor
	problem schedule.Problem
	days    int // that the calendars reach
	tasks   []jobTask
	ready   []int               // task of each van's readiness
	told    []hold              // jobs that people have been told to begin soon
	sites   []int               // at which each van is worked on
	stuckOf []map[string]string // why a van's job can never be planned, by code
}

// buildProblem builds the engine's problem. Minute 0 is midnight at the start of asOf.
// begin, which may be nil, is when jobs have been told to begin; it decides who
// gets the parts on the shelf.
func (in planInput) buildProblem(begin map[jobKey]int) *planModel {
	p := &planModel{planInput: in, floor: newFloor(in.shop)}
	p.work = slices.Clone(in.work)
	for w := range p.work {
		p.work[w].Jobs = p.floor.driveFirst(p.work[w])
	}
	p.shares = shareStock(p.work, in.stock, in.books, begin, in.asOf)
	p.first = p.shares.wait
	if begin != nil {
		p.first = shareStock(p.work, in.stock, in.books, nil, in.asOf).wait
	}
	p.days = horizonDays(p.work, in.shop)
	worker := map[string]int{}
	for i, t := range in.shop.Team {
		worker[t.Name] = i
		p.problem.Workers = append(p.problem.Workers, schedule.Worker{
			Name: t.Name, Skills: p.floor.skills(t),
			Hours: in.shop.hours(t, in.asOf, p.days, in.policy.BreakMinutes),
		})
	}
	p.problem.Resources = p.floor.resources(in.shop)
	p.problem.Travel, p.problem.ShiftApart = p.floor.travel(in.policy.DriveMinutes), shiftApart
	for w := range p.work {
		p.addVan(w, worker)
	}
	return p
}

// jobs yields the jobs of a task, in the order in which they are done.
func (p *planModel) jobs(task int) []*Job {
	t := p.tasks[task]
	jobs := make([]*Job, len(t.jobs))
	for k, i := range t.jobs {
		jobs[k] = &p.work[t.van].Jobs[i]
	}
	return jobs
}

// longest returns the longest job of a task, which must have one.
func (p *planModel) longest(task int) *Job {
	jobs := p.jobs(task)
	best := jobs[0]
	for _, j := range jobs[1:] {
		if j.HoursLeft.GreaterThan(best.HoursLeft) {
			best = j
		}
	}
	return best
}

func keyOf(j *Job) jobKey { return jobKey{j.StockID, j.Code} }

func (p *planModel) addVan(w int, worker map[string]int) {
	van := p.work[w]
	p.sites = append(p.sites, p.floor.workSite(van))
	taskOf := map[string]int{} // by job code
	for _, visit := range p.visits(van) {
		for _, i := range visit {
			taskOf[van.Jobs[i].Code] = len(p.problem.Tasks)
		}
		t := jobTask{van: w, jobs: visit}
		for _, i := range visit {
			t.partsAt = max(t.partsAt, p.wait[keyOf(&van.Jobs[i])]*minutesPerDay)
		}
		p.tasks = append(p.tasks, t)
		p.problem.Tasks = append(p.problem.Tasks, p.task(len(p.tasks)-1, worker))
	}
	var ready schedule.Task
	ready.Name, ready.Skill, ready.Group = van.Van.StockID+" ready", schedule.None, schedule.None
	stuck := p.stuck(w)
	p.stuckOf = append(p.stuckOf, stuck)
	for _, j := range van.Jobs {
		a, open := taskOf[j.Code]
		if !open {
			ready.Release = max(ready.Release, onGrid(dryUntil(j, p.asOf)))
			continue
		}
		act, t := &p.problem.Tasks[a], &p.tasks[a]
		for before := range comesAfter(van.Jobs, j) {
			switch pred, ok := taskOf[before.Code]; {
			case ok && pred != a:
				act.After = append(act.After, schedule.Link{Pred: pred, Lag: onGrid(minutes(before.DryingHours))})
			case !ok:
				t.dryAt = max(t.dryAt, onGrid(dryUntil(before, p.asOf)))
			}
		}
		act.Release = max(t.partsAt, t.dryAt)
		// A job that no person here can do must not take the worth of a day from the
		// work that can be done.
		if stuck[j.Code] == "" {
			ready.After = append(ready.After, schedule.Link{Pred: a, Lag: onGrid(minutes(j.DryingHours))})
		}
	}
	ready.Weight = int(data.Pence(van.ValuePerDay).Shift(2).IntPart())
	if !van.Van.PromisedOn.IsZero() {
		ready.Due = max(0, van.Van.PromisedOn.DaysSince(p.asOf)+1) * minutesPerDay
		ready.LateWeight = PromiseWeight * max(ready.Weight, 1)
	}
	p.ready = append(p.ready, len(p.problem.Tasks))
	p.tasks = append(p.tasks, jobTask{van: w})
	p.problem.Tasks = append(p.problem.Tasks, ready)
}

// PromiseWeight is how much dearer a day is once a customer's promised day has
// passed. Common practice, no source.
const PromiseWeight = 5

// task makes the engine's task of a visit, and fills in what of it is spent on
// bringing the van in.
func (p *planModel) task(i int, worker map[string]int) schedule.Task {
	jobs := p.jobs(i)
	first := jobs[0]
	work := 0
	for _, j := range jobs {
		work += jobMinutes(j)
	}
	site := p.siteOf(p.tasks[i].van, first)
	a := schedule.Task{
		Name:   first.StockID + " " + first.Code,
		Skill:  p.floor.skill(first.Skill, site),
		Group:  p.tasks[i].van,
		Worker: schedule.None,
		Site:   p.beginsAt(p.tasks[i].van, first),
		Leaves: site,
	}
	if first.Code == transferJob {
		a.Leaves = p.sites[p.tasks[i].van]
	}
	if bay := p.floor.bay(first.Bay, site); bay >= 0 {
		a.Uses = []schedule.Demand{{Resource: bay, Amount: 1}}
		if first.State != data.JobStarted { // the van is there already
			p.tasks[i].bringIn = p.policy.MoveMinutes
		}
	}
	a.Duration = onGrid(work + p.tasks[i].bringIn)
	// Work that has begun stays with the person who began it.
	if first.State == data.JobStarted {
		if w, ok := worker[cmp.Or(first.Technician, p.begunBy[keyOf(first)])]; ok && slices.Contains(p.problem.Workers[w].Skills, a.Skill) {
			a.Pinned, a.Worker = true, w
		}
	}
	return a
}

// siteOf returns the site at which a job of a van is done: the drive begins at
// the van's own, and what has begun there ends there. Where nobody at the van's
// own can drive, somebody comes for it.
func (p *planModel) siteOf(van int, j *Job) int {
	home := p.floor.home(p.work[van].Van)
	if p.floor.beginsAtHome(p.work[van], j) || j.Code == transferJob && p.floor.lacks(j, home) == "" {
		return home
	}
	return p.sites[van]
}

// beginsAt returns the site at which somebody must be to begin a job: the drive to
// another site begins where the van stands, whoever comes for it.
func (p *planModel) beginsAt(van int, j *Job) int {
	if j.Code == transferJob {
		return p.floor.home(p.work[van].Van)
	}
	return p.siteOf(van, j)
}

// jobMinutes is what is left of a job, in minutes of work.
func jobMinutes(j *Job) int { return max(1, minutes(j.HoursLeft.InexactFloat64())) }

func minutes(hours float64) int { return int(math.Ceil(hours*60 - 1e-6)) }

// onGrid rounds minutes up to whole quarters of an hour.
func onGrid(minutes int) int { return (minutes + gridMinutes - 1) / gridMinutes * gridMinutes }

// dryUntil returns the minute until which a finished job still dries, counted
// from the end of the day on which it was done.
func dryUntil(j Job, asOf data.Date) int {
	if j.State != data.JobDone || j.DoneOn.IsZero() || j.DryingHours == 0 {
		return 0
	}
	return max(0, (j.DoneOn.DaysSince(asOf)+1)*minutesPerDay-8*60+minutes(j.DryingHours))
}

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
