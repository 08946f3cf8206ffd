package prep

import (
	"math"
	"math/rand/v2"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// How many vans may come in in one future. Common practice, no source.
const (
	newcomerDays  = 180 // from now on
	newcomerShare = 2   // at most so many tasks for each that is in hand
)

// newcomers draws vans that come in after today: as often as of late, each like one
// in hand as it came in. They take people's time from those in hand that they go before.
type newcomers struct {
	*outlook
	turn  []int     // of each van in hand, in the order of work
	worth []float64 // of each van in hand, pounds a day per hour left
	like  [][]schedule.Task
	fresh []float64 // what a van like it is worth as it comes in, pounds a day per hour
}

// newcomers gets ready to draw for an order of work.
func (o *outlook) newcomers(order []int) *newcomers {
	n := &newcomers{outlook: o, turn: make([]int, len(o.work))}
	isReady := make([]int, len(o.problem.Tasks))
	for w, i := range o.ready {
		isReady[i] = w + 1
	}
	turn := 0
	for _, i := range order {
		if w := isReady[i] - 1; w >= 0 {
			n.turn[w] = turn
			turn++
		}
	}
	for w, v := range o.work {
		pounds := v.ValuePerDay.InexactFloat64()
		n.worth = append(n.worth, pounds/o.hoursLeft(w))
		tasks, hours := o.asItCame(w)
		n.like, n.fresh = append(n.like, tasks), append(n.fresh, pounds/hours)
	}
	return n
}

// asItCame is the work of a van in hand before any of it was done, at the hours to be
// expected; hours are those of all its jobs.
func (o *outlook) asItCame(w int) (tasks []schedule.Task, hours float64) {
	hours = 0.1
	van, site := o.work[w], o.sites[w]
	at := map[string]int{} // by job code
	var done []*Job
	for i := range van.Jobs {
		if j := &van.Jobs[i]; j.State != data.JobDropped && o.floor.lacks(j, site) == "" {
			at[j.Code] = len(done)
			done = append(done, j)
			hours += j.HoursP50.InexactFloat64()
		}
	}
	for _, j := range done {
		t := schedule.Task{
			Name: j.Code, Skill: o.floor.skill(j.Skill, site), Worker: schedule.None, Site: site, Leaves: site,
			Release: o.longestLead(j) * minutesPerDay,
		}
		bringIn := 0
		if bay := o.floor.bay(j.Bay, site); bay >= 0 {
			t.Uses = []schedule.Demand{{Resource: bay, Amount: 1}}
			if j.HoursP50.InexactFloat64() > smallHours {
				bringIn = o.policy.MoveMinutes
			}
		}
		t.Duration = onGrid(max(1, minutes(j.Book.Mean())) + bringIn)
		for _, code := range j.After {
			if before, ok := at[code]; ok {
				t.After = append(t.After, schedule.Link{Pred: before, Lag: onGrid(minutes(done[before].DryingHours))})
			}
		}
		tasks = append(tasks, t)
	}
	return tasks, hours
}

// longestLead is how many days a job of a van that comes in waits for its parts.
func (p *planModel) longestLead(j *Job) int {
	days := 0
	for _, use := range j.Parts {
		if part, ok := p.books.Part(use.Part); ok && use.Qty > part.InStock {
			days = max(days, part.LeadDays)
		}
	}
	return days
}

// draw adds newcomers to the future of a number, and the key of each task by which
// work is taken.
func (n *newcomers) draw(number int) (future schedule.Problem, key []int) {
	rng := rand.New(rand.NewPCG(uint64(n.policy.Seed), 0xa1150+uint64(number)))
	future = n.futures[number]
	future.Tasks = slices.Clone(future.Tasks)
	for i := range future.Tasks {
		key = append(key, 2*n.turn[n.vanOf(i)]+1)
	}
	room := (1 + newcomerShare) * len(n.tasks)
	group := len(n.work)
	for day := rng.ExpFloat64() / n.shop.Arrivals; day < newcomerDays && len(future.Tasks) < room; day += rng.ExpFloat64() / n.shop.Arrivals {
		w := rng.IntN(len(n.work))
		worth := n.fresh[w] // a promised one goes before all that are not, in the end
		if !n.work[w].Van.PromisedOn.IsZero() {
			worth = math.Inf(1)
		}
		before := 2 * n.ahead(worth)
		first := len(future.Tasks)
		for _, t := range n.like[w] {
			t.Release += (int(day) + 1) * minutesPerDay
			t.Group = group
			t.After = slices.Clone(t.After)
			for l := range t.After {
				t.After[l].Pred += first
			}
			future.Tasks = append(future.Tasks, t)
			key = append(key, before)
		}
		group++
	}
	return future, key
}

// ahead counts the vans in hand that go before a newcomer: those that are promised, and
// those that are worth as much a day for their hours.
func (n *newcomers) ahead(worth float64) int {
	count := 0
	for w := range n.work {
		if n.worth[w] >= worth || !n.work[w].Van.PromisedOn.IsZero() {
			count++
		}
	}
	return count
}
