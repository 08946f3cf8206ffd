package prep

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep/schedule"
)

// What goes wrong in a workshop, beside hours and hidden defects, whose laws the
// books have. Common practice, no source.
const (
	sickChance = 0.03 // that a person is away on a working day
	sickDays   = 90   // days ahead within which it is drawn
	lateChance = 0.25 // that an order comes late
	latestDays = 7    // by how much at most; each day up to it is equally likely
)

// strata is the number of equally likely hours that stand for a job's estimate
// in a future.
const strata = 24

// How many futures are drawn. The search judges an order by a few; orders are
// compared, and days of readiness told, by others that the search has not seen.
var SearchFutures = 4

const (
	leastFutures = 12
	mostFutures  = 40
	futureTasks  = 15_000 // in all of those that the search has not seen
)

// mostHidden bounds the hidden jobs that may show on one van in one future; the
// longest count.
const mostHidden = 3

// hiddenWork is a job that a van may turn out to need.
type hiddenWork struct {
	system   string
	below    float64 // a standard normal below this: it is there
	skill    int
	uses     []schedule.Demand
	leadDays int // until its parts are in, from the day on which it shows
	minutes  []int
	drying   int // minutes before the van can be ready
}

// outlook is what may come of the open work: futures of it, the same for every
// order of work. In each, hours fall as the estimates say, orders come late, people
// fall sick, and vans turn out to need work that nobody knew of. Such work shows
// when the van's first open job is done, and its parts are ordered then.
type outlook struct {
	*planModel
	*drawn
	problem schedule.Problem // with room for hidden work, which is no work here
}

// drawn are futures, and what of an outlook is the same for all problems of the same
// tasks.
type drawn struct {
	hidden  [][]hiddenWork     // of each van
	shows   []int              // the task of each van that shows what is hidden; schedule.None: nothing has to be done first
	room    []int              // of each van: the first of its tasks for hidden work
	futures []schedule.Problem // to judge by
	ahead   []*schedule.Ahead  // of each future, once it is asked for
	as      *schedule.Ahead    // of the problem as is likely, once it is asked for
	sorter  *schedule.Orders   // of the problem, once it is asked for
}

// outlook draws the futures.
func (p *planModel) outlook() *outlook {
	o := &outlook{planModel: p, drawn: new(drawn), problem: p.problem}
	o.problem.Tasks = slices.Clone(p.problem.Tasks)
	for w := range p.work {
		o.hidden = append(o.hidden, p.hiddenWork(w))
		o.shows = append(o.shows, p.firstTask(w))
		o.room = append(o.room, len(o.problem.Tasks))
		for range min(len(o.hidden[w]), mostHidden) {
			o.addRoom(w)
		}
	}
	hours := p.likelyMinutes()
	for k := range min(max(futureTasks/max(len(p.tasks), 1), leastFutures), mostFutures) {
		o.futures = append(o.futures, o.draw(uint64(k), hours))
	}
	return o
}

// like is the outlook of another model with the same futures, where the two ask for
// the same tasks from the same moments on.
func (o *outlook) like(p *planModel) (other *outlook, ok bool) {
	same := len(o.tasks) == len(p.tasks)
	for i := 0; same && i < len(p.tasks); i++ {
		a, b := &o.planModel.problem.Tasks[i], &p.problem.Tasks[i]
		same = o.tasks[i].partsAt == p.tasks[i].partsAt && a.Release == b.Release && a.Pinned == b.Pinned && a.Worker == b.Worker
	}
	return &outlook{planModel: p, drawn: o.drawn, problem: o.problem}, same
}

// addRoom adds a task for hidden work of a van: no work, and it keeps nothing up.
func (o *outlook) addRoom(w int) {
	room := schedule.Task{Name: o.work[w].Van.StockID + " hidden", Skill: schedule.None, Group: w, Worker: schedule.None, Site: o.sites[w], Leaves: o.sites[w]}
	if o.shows[w] != schedule.None {
		room.After = []schedule.Link{{Pred: o.shows[w]}}
	}
	ready := &o.problem.Tasks[o.ready[w]]
	ready.After = append(slices.Clip(ready.After), schedule.Link{Pred: len(o.problem.Tasks)})
	o.problem.Tasks = append(o.problem.Tasks, room)
}

// firstTask returns the task of a van that can be done first: begun, or with the
// shortest wait for parts and drying, or the shortest.
func (p *planModel) firstTask(w int) int {
	best := schedule.None
	before := func(a, b int) bool {
		s, t := &p.problem.Tasks[a], &p.problem.Tasks[b]
		return cmp.Or(data.FalseFirst(!s.Pinned, !t.Pinned), cmp.Compare(s.Release, t.Release), cmp.Compare(s.Duration, t.Duration)) < 0
	}
	for i := p.ready[w] - 1; i >= 0 && p.tasks[i].van == w; i-- {
		if len(p.problem.Tasks[i].After) == 0 && p.stuckOf[w][p.jobs(i)[0].Code] == "" && (best == schedule.None || !before(best, i)) {
			best = i
		}
	}
	return best
}

// hiddenWork lists what a van may turn out to need and this workshop can do.
func (p *planModel) hiddenWork(w int) []hiddenWork {
	van := p.work[w]
	if known, ok := p.hiddenOf[van.Van.StockID]; ok {
		return known
	}
	var out []hiddenWork
	for _, h := range hiddenJobs(van.Untested, func(code string) bool { return jobOf(van.Jobs, code).Code != "" }) {
		book, ok := p.books.Job(h.code)
		if !ok {
			continue
		}
		draft := jobDraft{book: book}
		draft.reach("", 1)
		j := draft.job(van.Van, p.books, p.policy, Calibration{})
		site := p.sites[w]
		if p.floor.lacks(&j, site) != "" {
			continue
		}
		hidden := hiddenWork{
			drying: onGrid(minutes(j.DryingHours)), system: h.System, skill: p.floor.skill(j.Skill, site),
			below: distuv.UnitNormal.Quantile(min(h.Chance, likeliestDefect)), minutes: make([]int, strata),
		}
		bringIn := 0
		if bay := p.floor.bay(j.Bay, site); bay >= 0 {
			hidden.uses, bringIn = []schedule.Demand{{Resource: bay, Amount: 1}}, p.policy.MoveMinutes
		}
		hidden.leadDays = p.longestLead(&j)
		for k, hours := range p.quantiles(j.Book) {
			hidden.minutes[k] = onGrid(max(1, minutes(hours)) + bringIn)
		}
		out = append(out, hidden)
	}
	p.hiddenOf[van.Van.StockID] = out
	return out
}

// draw draws the future of a number.
func (o *outlook) draw(number uint64, hours [][]int) schedule.Problem {
	rng := rand.New(rand.NewPCG(uint64(o.policy.Seed), 0xf07+number))
	future := o.problem
	future.Tasks = slices.Clone(o.problem.Tasks)
	common := make([]float64, len(data.Skills))
	stratum := func(skill int) int {
		z := rng.NormFloat64() * math.Sqrt(1-betweenHours)
		if skill >= 0 {
			z += common[skill%len(common)]
		}
		return min(int(distuv.UnitNormal.CDF(z)*strata), strata-1)
	}
	late := func() int {
		if rng.Float64() < lateChance {
			return (1 + rng.IntN(latestDays)) * minutesPerDay
		}
		return 0
	}
	for w := range o.work {
		for s := range common {
			common[s] = rng.NormFloat64() * math.Sqrt(betweenHours)
		}
		begin := o.ready[w]
		for begin > 0 && o.tasks[begin-1].van == w {
			begin--
		}
		for i := begin; i < o.ready[w]; i++ {
			t := &future.Tasks[i]
			t.Duration = hours[i][stratum(t.Skill)]
			if o.tasks[i].partsAt > 0 {
				t.Release = max(t.Release, o.tasks[i].partsAt+late())
			}
		}
		o.show(rng, w, future.Tasks, stratum, late)
	}
	future.Workers = slices.Clone(future.Workers)
	for k := range future.Workers {
		future.Workers[k].Hours = fallSick(rng, future.Workers[k].Hours)
	}
	return future
}

// show draws what turns out to be hidden in a van.
func (o *outlook) show(rng *rand.Rand, w int, tasks []schedule.Task, stratum func(skill int) int, late func() int) {
	var shown []hiddenWork
	neglect := map[string]float64{} // by system
	for _, h := range o.hidden[w] {
		if _, drawn := neglect[h.system]; !drawn {
			neglect[h.system] = rng.NormFloat64() * math.Sqrt(betweenHidden)
		}
		if neglect[h.system]+rng.NormFloat64()*math.Sqrt(1-betweenHidden) < h.below {
			shown = append(shown, h)
		}
	}
	slices.SortStableFunc(shown, func(a, b hiddenWork) int { return cmp.Compare(b.minutes[strata/2], a.minutes[strata/2]) })
	for k, h := range shown[:min(len(shown), mostHidden)] {
		i := o.room[w] + k
		t := &tasks[i]
		t.Skill, t.Uses, t.Duration = h.skill, h.uses, h.minutes[stratum(h.skill)]
		wait := 0
		if h.leadDays > 0 {
			wait = h.leadDays*minutesPerDay + late()
		}
		if len(t.After) > 0 {
			t.After = []schedule.Link{{Pred: t.After[0].Pred, Lag: wait}}
		} else {
			t.Release = wait
		}
		if dry := h.drying; dry > 0 {
			ready := &tasks[o.ready[w]]
			ready.After = slices.Clone(ready.After)
			for l := range ready.After {
				if ready.After[l].Pred == i {
					ready.After[l].Lag = dry
				}
			}
		}
	}
}

// fallSick takes days out of somebody's hours.
func fallSick(rng *rand.Rand, hours schedule.Calendar) schedule.Calendar {
	var away [sickDays]bool
	sick := false
	for day := range away {
		away[day] = rng.Float64() < sickChance
		sick = sick || away[day]
	}
	if !sick {
		return hours
	}
	return slices.DeleteFunc(slices.Clone(hours), func(v schedule.Interval) bool {
		day := v.From / minutesPerDay
		return day < sickDays && away[day]
	})
}

// turns is the order in which work is taken that keeps to a plan, whatever happens:
// the van that is to be ready first goes before others.
func (o *outlook) turns(at []schedule.Assignment) []int {
	key := make([]int, len(o.problem.Tasks))
	for i := range key {
		ready := at[o.ready[o.vanOf(i)]]
		if key[i] = ready.Finish; !ready.Placed() {
			key[i] = o.days * minutesPerDay
		}
	}
	return o.byKey(key)
}

// foresee tries orders of work in the futures. It returns what each leads to: the mean
// of the value, in the engine's units.
func (o *outlook) foresee(ctx context.Context, orders ...[]int) ([]int, error) {
	got := make([][]int, len(o.futures)) // by future and order
	if o.ahead == nil {
		o.ahead = make([]*schedule.Ahead, len(o.futures))
	}
	tasks := make([]func() error, len(o.futures))
	for k := range o.futures {
		tasks[k] = func() error {
			if o.ahead[k] == nil {
				ahead, err := schedule.NewAhead(o.futures[k], schedule.WeightedCompletion)
				if err != nil {
					return err
				}
				o.ahead[k] = ahead
			}
			for _, order := range orders {
				_, at := o.ahead[k].Run(order)
				got[k] = append(got[k], o.value(at))
			}
			return nil
		}
	}
	if err := parallel.Do(ctx, 0, tasks...); err != nil {
		return nil, err
	}
	mean := make([]int, len(orders))
	for n := range mean {
		for k := range got {
			mean[n] += got[k][n]
		}
		mean[n] /= max(len(got), 1)
	}
	return mean, nil
}

// likely is what comes of an order of work where all goes as is likely. The next call
// overwrites it.
func (o *outlook) likely(order []int) ([]schedule.Assignment, error) {
	if o.as == nil {
		as, err := schedule.NewAhead(o.problem, schedule.WeightedCompletion)
		if err != nil {
			return nil, err
		}
		o.as = as
	}
	_, at := o.as.Run(order)
	return at, nil
}

// likelyMinutes returns, for each task that has jobs, its minutes in strata of
// equal chance, the shortest first. Jobs of one visit run long together.
func (p *planModel) likelyMinutes() [][]int {
	all := make([][]int, len(p.tasks))
	for i, t := range p.tasks {
		if len(t.jobs) == 0 {
			continue
		}
		all[i] = make([]int, strata)
		for _, j := range p.jobs(i) {
			for k, hours := range p.quantiles(j.left()) {
				all[i][k] += max(1, minutes(hours))
			}
		}
		for k := range all[i] {
			all[i][k] = onGrid(all[i][k] + t.bringIn)
		}
	}
	return all
}

// quantiles returns the hours of an estimate in strata of equal chance.
func (p *planModel) quantiles(e Estimate) []float64 {
	if known, ok := p.known[e]; ok {
		return known
	}
	hours := make([]float64, strata)
	for k := range hours {
		hours[k] = e.Quantile((float64(k) + 0.5) / strata)
	}
	p.known[e] = hours
	return hours
}

// byKey is the order of work by a key of each task, each after what it waits for.
func (o *outlook) byKey(key []int) []int {
	if o.sorter == nil {
		o.sorter = schedule.NewOrders(o.problem)
	}
	return o.sorter.By(key)
}

// vanOf returns the van of a task, hidden work included.
func (o *outlook) vanOf(i int) int {
	if i < len(o.tasks) {
		return o.tasks[i].van
	}
	return sort.Search(len(o.room), func(w int) bool { return o.room[w] > i }) - 1
}
