package prep

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// Delay is a job that holds the queue up.
type Delay struct {
	Rank    int // 1 costs most
	StockID string
	Job     string
	Title   string
	Reason  string
	Pounds  data.Money // what the queue would save without it
}

// mostDelays is how many are named, and tryTasks how many tasks may be
// planned again to find them.
const (
	mostDelays = 5
	tryTasks   = 150_000
)

// relief is a job made easier: its hours at their lowest, or its parts at hand.
type relief struct {
	task    int     // the job
	shorter int     // the task whose minutes shrink: the job, or its wait
	minutes int     // to this
	promise float64 // what that might be worth; only the order counts
}

// delays names the jobs whose ease would save most: for each, the plan is kept
// in its order with the job at its lowest hours, or without its wait for parts,
// and its value compared. Which jobs are tried, where there are too many to try
// all, follows from the minutes they would win and the value of the vans whose
// work comes after on the same person or van.
func (p *planModel) delays(solved schedule.Plan) ([]Delay, error) {
	problem, plan, wait := p.withWaits(solved)
	replay, err := schedule.NewReplay(problem, plan)
	if err != nil {
		return nil, err
	}
	durations := make([]int, len(problem.Tasks))
	for i, a := range problem.Tasks {
		durations[i] = a.Duration
	}
	at, err := replay.Run(durations)
	if err != nil {
		return nil, err
	}
	base := p.value(at)
	reliefs := p.reliefs(solved, wait)
	worth := map[int]Delay{} // by job's task: the better of two reliefs
	for _, r := range reliefs[:min(len(reliefs), max(tryTasks/max(len(p.tasks), 1), 50))] {
		was := durations[r.shorter]
		durations[r.shorter] = r.minutes
		at, err := replay.Run(durations)
		durations[r.shorter] = was
		if err != nil {
			return nil, err
		}
		saved := poundsOf(base - p.value(at))
		if saved.IsPositive() && saved.GreaterThan(worth[r.task].Pounds) {
			j := p.longest(r.task)
			worth[r.task] = Delay{0, j.StockID, j.Code, j.Title, p.reason(r), saved}
		}
	}
	all := slices.SortedFunc(maps.Values(worth), func(a, b Delay) int {
		return cmp.Or(b.Pounds.Cmp(a.Pounds), cmp.Compare(a.StockID, b.StockID), cmp.Compare(a.Job, b.Job))
	})
	all = all[:min(len(all), mostDelays)]
	for i := range all {
		all[i].Rank = i + 1
	}
	return all, nil
}

// withWaits is the problem with each wait for parts a task of its own, on
// which no person works, so that it can be shortened as hours can. wait gives it by
// the job's task.
func (p *planModel) withWaits(solved schedule.Plan) (problem schedule.Problem, plan schedule.Plan, wait map[int]int) {
	problem, plan, wait = p.problem, solved, map[int]int{}
	problem.Tasks = slices.Clone(problem.Tasks)
	plan.Assignments = slices.Clone(plan.Assignments)
	for i, t := range p.tasks {
		if t.partsAt <= t.dryAt || !solved.Assignments[i].Placed() {
			continue
		}
		wait[i] = len(problem.Tasks)
		a := &problem.Tasks[i]
		a.Release = t.dryAt
		a.After = append(slices.Clip(a.After), schedule.Link{Pred: wait[i]})
		problem.Tasks = append(problem.Tasks, schedule.Task{
			Duration: t.partsAt, Skill: schedule.None, Group: schedule.None,
		})
		plan.Assignments = append(plan.Assignments, schedule.Assignment{Worker: schedule.None, Start: 0, Finish: t.partsAt})
	}
	return problem, plan, wait
}

// value is what the engine minimises. A van that can't be got ready within the
// calendars counts as ready at their end.
func (p *planModel) value(at []schedule.Assignment) int {
	sum := 0
	for _, i := range p.ready {
		a, finish := p.problem.Tasks[i], p.days*minutesPerDay
		if at[i].Placed() {
			finish = at[i].Finish
		}
		sum += a.Weight*finish + a.LateWeight*max(0, finish-a.Due)
	}
	return sum
}

// reliefs lists what may be eased, the most promising first.
func (p *planModel) reliefs(solved schedule.Plan, wait map[int]int) []relief {
	behind := p.behind(solved)
	var out []relief
	for i, t := range p.tasks {
		if len(t.jobs) == 0 || !solved.Assignments[i].Placed() {
			continue
		}
		duration := p.problem.Tasks[i].Duration
		j := p.longest(i)
		least := duration - jobMinutes(j) + max(1, minutes(j.left().Low))
		if least < duration {
			out = append(out, relief{i, i, least, float64(duration-least) * behind[i]})
		}
		if waits, ok := wait[i]; ok {
			// A wait is of elapsed time: a fifth of it is a week's working
			// hours. Work that begins long after has something else to wait for.
			promise := float64(t.partsAt-t.dryAt) / 5 * behind[i]
			if solved.Assignments[i].Start > t.partsAt+minutesPerDay {
				promise /= 4
			}
			out = append(out, relief{i, waits, 1, promise})
		}
	}
	slices.SortStableFunc(out, func(a, b relief) int { return cmp.Compare(b.promise, a.promise) })
	return out
}

// behind adds up, for each task, the weights of the vans that have work on
// the same person at or after it; its own van counts in any case.
func (p *planModel) behind(solved schedule.Plan) []float64 {
	order, workers := followed(solved)
	seen := map[[2]int]bool{} // worker and van
	sum := map[int]float64{}
	out := make([]float64, len(p.tasks))
	for _, i := range slices.Backward(order) {
		t, w := p.tasks[i], workers[i]
		if len(t.jobs) == 0 || w == schedule.None {
			continue
		}
		if key := [2]int{w, t.van}; !seen[key] {
			seen[key] = true
			ready := p.problem.Tasks[p.ready[t.van]]
			sum[w] += float64(ready.Weight + ready.LateWeight)
		}
		out[i] = sum[w]
	}
	return out
}

// reason says in words what a relief would take away.
func (p *planModel) reason(r relief) string {
	j := p.longest(r.task)
	if r.shorter == r.task {
		return fmt.Sprintf("likely %s h, best case %s h", data.FormatHours(j.HoursLeft), data.FormatHours(data.Hours(j.left().Low)))
	}
	parts := p.shortOf(r.task)
	if len(parts) == 0 {
		return "waiting for parts"
	}
	return "waiting for part " + joinWords(parts)
}

// shortOf lists the parts that a task waits for.
func (p *planModel) shortOf(task int) []string {
	var parts []string
	for _, j := range p.jobs(task) {
		parts = append(parts, p.short[keyOf(j)]...)
	}
	return parts
}

// joinWords writes a, b and c.
func joinWords(words []string) string {
	text := ""
	for i, w := range words {
		switch {
		case i == 0:
			text = w
		case i == len(words)-1:
			text += " and " + w
		default:
			text += ", " + w
		}
	}
	return text
}

// poundsOf turns a plan's value, in pence a day × minutes, into pounds.
func poundsOf(value int) data.Money {
	return data.Pence(data.Share(decimal.New(int64(value), -2), minutesPerDay))
}
