package prep

import (
	"cmp"
	"maps"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// More is what one more of something the workshop has would be worth to the plan.
type More struct {
	Kind   string     // "skill": extraHours of a person who has it; "bay": one for as long as the plan runs
	Name   string     // of the skill or kind of bay
	Site   string     // of the bay; blank: any
	Saved  data.Money // by the vans that are ready sooner; never negative
	Hours  float64    // of open work that asks for it
	Weekly float64    // hours a week that the workshop has of it; a bay is open openWeek
}

// extraHours is how long one more day of a skill is; openWeek is how many hours a
// week a bay can be worked in. Common practice, no source.
const (
	extraHours = 8
	openWeek   = 40.0
)

// moreTasks is how many tasks may be planned again to find what one more day of one
// skill is worth, and fewestTries how many of its tasks are tried in any case.
const (
	moreTasks   = 8_000
	fewestTries = 8
)

// more works out what one more day of each skill and one more bay of each kind would
// save at the least: the plan's order is kept, and a few ways to use the one more are
// tried. A plan made anew would save as much or more.
func (p *planModel) more(solved schedule.Plan) ([]More, error) {
	base, err := p.replayed(p.problem, solved)
	if err != nil {
		return nil, err
	}
	load := NewLoad(p.work, p.shop)
	var out []More
	for _, skill := range data.Skills {
		saved, err := p.oneMoreDay(skill, solved, base)
		if err != nil {
			return nil, err
		}
		need := Need{Skill: skill}
		out = append(out, More{Kind: "skill", Name: skill, Saved: poundsOf(saved), Hours: load.waiting[need], Weekly: load.weekly(need)})
	}
	for k, place := range p.floor.places {
		hours := 0.0
		var tasks []int
		for i, t := range p.problem.Tasks {
			if len(t.Uses) > 0 && t.Uses[0].Resource == k {
				hours += float64(t.Duration) / 60
				tasks = append(tasks, i)
			}
		}
		if len(place.names) == 0 && hours == 0 {
			continue // bays of its kind are at sites
		}
		problem := p.problem
		problem.Resources = slices.Clone(problem.Resources)
		problem.Resources[k].Capacity++
		kept, err := p.replayed(problem, solved)
		if err != nil {
			return nil, err
		}
		free, err := p.anybody(problem, tasks, solved)
		if err != nil {
			return nil, err
		}
		out = append(out, More{
			Kind: "bay", Name: place.kind, Site: place.site, Saved: poundsOf(max(0, base-min(kept, free))),
			Hours: hours, Weekly: openWeek * float64(len(place.names)),
		})
	}
	return out, nil
}

// replayed is the value of a plan kept to in a problem of the same tasks.
func (p *planModel) replayed(problem schedule.Problem, plan schedule.Plan) (int, error) {
	replay, err := schedule.NewReplay(problem, plan)
	if err != nil {
		return 0, err
	}
	durations := make([]int, len(problem.Tasks))
	for i, t := range problem.Tasks {
		durations[i] = t.Duration
	}
	at, err := replay.Run(durations)
	if err != nil {
		return 0, err
	}
	return p.value(at), nil
}

// oneMoreDay is what a day of one more person with a skill takes off a plan's value:
// the most of a few ways to use it.
func (p *planModel) oneMoreDay(skill string, solved schedule.Plan, base int) (saved int, err error) {
	tasks := p.tasksOf(skill, solved)
	if len(tasks) == 0 {
		return 0, nil
	}
	first, _, end := p.soon()
	first = max(first, 0)
	for day := first; day <= end; day++ {
		problem := p.problem
		begin := day*minutesPerDay + startOfDay
		problem.Workers = append(slices.Clip(problem.Workers), schedule.Worker{
			Name:   oneMore,
			Skills: p.floor.skills(data.Technician{Skills: []string{skill}}),
			Hours:  schedule.Calendar{{From: begin, To: begin + extraHours*60}},
		})
		value, err := p.anybody(problem, tasks, solved)
		if err != nil {
			return 0, err
		}
		saved = max(saved, base-value)
	}
	value, err := p.handedOver(skill, tasks, solved, base)
	return max(saved, base-value), err
}

// anybody is a plan's value, in a problem of the same tasks, where some of them, in the
// plan's order, go to the one who finishes first; the others stay with their person.
func (p *planModel) anybody(problem schedule.Problem, tasks []int, solved schedule.Plan) (int, error) {
	order, _ := followed(solved)
	workers := make([]int, len(solved.Assignments))
	for i, a := range solved.Assignments {
		workers[i] = a.Worker
	}
	for _, i := range tasks {
		workers[i] = schedule.None
	}
	plan, err := schedule.Arrange(problem, solved.Objective, order, workers)
	if err != nil {
		return 0, err
	}
	return p.value(plan.Assignments), nil
}

const oneMore = "one more"

// handedOver is a plan's value where a person who comes for extraHours in all, on the
// days on which that is of use, takes tasks of a skill from others, one by one, where
// that delays nothing.
func (p *planModel) handedOver(skill string, tasks []int, solved schedule.Plan, value int) (int, error) {
	extra := data.Technician{Name: oneMore, Skills: []string{skill}}
	for day := range extra.Hours {
		extra.Hours[day] = extraHours
	}
	problem, plan := p.problem, solved
	problem.Workers = append(slices.Clip(problem.Workers), schedule.Worker{
		Name: extra.Name, Skills: p.floor.skills(extra), Hours: p.shop.hours(extra, p.asOf, p.days, p.policy.BreakMinutes),
	})
	plan.Assignments = slices.Clone(plan.Assignments)
	left, tries := extraHours*60, max(moreTasks/len(p.tasks), fewestTries)
	for _, i := range tasks {
		if problem.Tasks[i].Duration > left {
			continue
		}
		if tries--; tries < 0 {
			break
		}
		was := plan.Assignments[i].Worker
		plan.Assignments[i].Worker = len(problem.Workers) - 1
		with, err := p.replayed(problem, plan)
		if err != nil {
			return 0, err
		}
		if with > value {
			plan.Assignments[i].Worker = was
			continue
		}
		left -= problem.Tasks[i].Duration
		value = with
	}
	return value, nil
}

// tasksOf lists the tasks of a skill that may go to somebody else, those first whose
// person has most worth waiting behind them.
func (p *planModel) tasksOf(skill string, solved schedule.Plan) []int {
	behind := p.behind(solved)
	var tasks []int
	for i, t := range p.tasks {
		if len(t.jobs) > 0 && solved.Assignments[i].Placed() && !p.problem.Tasks[i].Pinned && p.jobs(i)[0].Skill == skill {
			tasks = append(tasks, i)
		}
	}
	slices.SortStableFunc(tasks, func(a, b int) int {
		return cmp.Or(cmp.Compare(behind[b], behind[a]), cmp.Compare(solved.Assignments[a].Start, solved.Assignments[b].Start))
	})
	return tasks
}

// Need is what work asks of the workshop: a skill, or a kind of bay.
type Need struct{ Skill, Bay string }

// String names it for a reader.
func (n Need) String() string {
	if n.Bay != "" {
		return "bay " + n.Bay
	}
	return "skill " + n.Skill
}

// Load is the open work of a workshop by what it asks for.
type Load struct {
	shop    Workshop
	waiting map[Need]float64 // hours
}

// NewLoad adds up the open jobs of some vans.
func NewLoad(work []VanJobs, shop Workshop) Load {
	l := Load{shop, map[Need]float64{}}
	for _, w := range work {
		for i := range w.Jobs {
			if j := &w.Jobs[i]; j.Open() {
				l.eachNeed(j, func(n Need) { l.waiting[n] += j.HoursLeft.InexactFloat64() })
			}
		}
	}
	return l
}

func (Load) eachNeed(j *Job, yield func(Need)) {
	yield(Need{Skill: j.Skill})
	if j.Bay != "" {
		yield(Need{Bay: j.Bay})
	}
}

// weekly is the hours a week that the workshop has of something.
func (l Load) weekly(n Need) float64 {
	if n.Bay == "" {
		return l.shop.WeeklyHours(n.Skill)
	}
	bays := 0
	for _, b := range l.shop.Bays {
		if b.Kind == n.Bay {
			bays += b.Count
		}
	}
	return openWeek * float64(bays)
}

// Bottleneck is what one more van with the work of some like it would wait for
// longest: the skill or kind of bay in which the work that waits, and the van's own,
// fills most weeks; what the workshop lacks comes before all others. No work leaves no
// bottleneck.
func (l Load) Bottleneck(like []VanJobs) (worst Need, ok bool) {
	own := map[Need]float64{}
	for _, w := range like {
		for i := range w.Jobs {
			if j := &w.Jobs[i]; j.State != data.JobDropped {
				l.eachNeed(j, func(n Need) { own[n] += j.Book.Likely / float64(len(like)) })
			}
		}
	}
	weeks := map[Need]float64{}
	for n, hours := range own {
		weeks[n] = (l.waiting[n] + hours) / l.weekly(n) // infinite where there is none
	}
	needs := slices.SortedFunc(maps.Keys(own), func(a, b Need) int {
		return cmp.Or(cmp.Compare(weeks[b], weeks[a]), cmp.Compare(a.String(), b.String()))
	})
	if len(needs) == 0 {
		return Need{}, false
	}
	return needs[0], true
}
