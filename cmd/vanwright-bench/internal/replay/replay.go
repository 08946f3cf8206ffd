package replay

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Outcome is what a way of working led to.
type Outcome struct {
	Pounds         float64 // what the days cost that vans were in hand and not ready
	LatePounds     float64 // what days past a promise cost besides
	Missed         int     // promises that were missed
	Promised       int     // of so many that fell due
	MeanDays       float64 // from the first day in hand to ready, or to the end
	Ready          int     // vans
	Told80, True80 int     // vans told to be ready four times in five by a day, the first time; and those that were
	Told, Kept     int     // jobs told in the evening for the next day and not yet begun, and those that kept day and person
}

// Plan is the way of working by the nightly plan; the others are what a foreman
// does without one.
const Plan = "the plan"

// Ways are all ways of working.
var Ways = append([]string{Plan}, prep.Rules...)

// Alone is no way of working: each van has the workshop to itself, and what it still
// costs are the work, parts, drying and closed days, which no order of vans saves.
const Alone = "each van alone"

// Knowing is the nightly plan by somebody who knows beforehand what each job of a van in
// hand takes, what is hidden in it, when parts truly arrive and who will be away: how
// much chance costs. Vans still come in unforeseen.
const Knowing = "the plan, knowing what is to come"

// Run replays one yard.
func Run(ctx context.Context, books *data.Books, policy data.Policy, kind Kind, way string, days int, seed uint64) (Outcome, error) {
	y := newYard(books, policy.Region, kind, days, seed)
	if way != Alone {
		return y.run(ctx, policy, way)
	}
	var all Outcome
	for i := range y.vans {
		own := *y
		own.vans = y.vans[i : i+1]
		out, err := own.run(ctx, policy, way)
		if err != nil {
			return out, err
		}
		all.add(out)
	}
	all.MeanDays /= float64(len(y.vans))
	return all, nil
}

// add sums what single vans led to; their days are to be divided by their number.
func (out *Outcome) add(van Outcome) {
	out.Pounds += van.Pounds
	out.LatePounds += van.LatePounds
	out.Missed += van.Missed
	out.Promised += van.Promised
	out.MeanDays += van.MeanDays
	out.Ready += van.Ready
}

// run replays the yard.
func (y *yard) run(ctx context.Context, policy data.Policy, way string) (Outcome, error) {
	s := newState(y, policy)
	s.knowing = way == Knowing
	var out Outcome
	var told []prep.Block
	for s.now = 0; s.now < s.days; s.now++ {
		if !s.open(s.now) {
			continue
		}
		work := s.work()
		s.order(work)
		next := s.byRule(work, way)
		if way == Plan || way == Knowing {
			shop := s.shop
			shop.Absences = s.absences()
			shop.Orders, shop.Arrivals = s.orders, s.arrivals()
			plan, err := prep.PlanWorkshop(ctx, work, shop, s.shelfBooks(), policy, s.today(), told)
			if err != nil {
				return out, err
			}
			out.keep(told, plan.Blocks, work, s.today())
			told = plan.Blocks
			s.remember(plan)
			next = byPlan(work, plan.Blocks)
		}
		s.workDay(work, next)
		for _, w := range s.work() {
			if !slices.ContainsFunc(w.Jobs, func(j prep.Job) bool { return j.Open() }) {
				s.ready[w.Van.StockID] = s.now
			}
		}
	}
	return s.count(out), nil
}

// arrivals is how many vans came in a day of late.
func (s *state) arrivals() float64 {
	var acquired []data.Date
	for i := range s.vans {
		acquired = append(acquired, s.vans[i].Acquired)
	}
	return prep.ArrivalRate(acquired, s.today())
}

// keep counts, of the jobs that the last plan told people to begin on a day and that
// are still to be begun, those that keep day and person in the next plan.
func (out *Outcome) keep(last, next []prep.Block, work []prep.VanJobs, day data.Date) {
	begins := func(blocks []prep.Block) map[string]prep.Block {
		first := map[string]prep.Block{}
		for _, b := range blocks { // by start
			if key := b.StockID + " " + b.Job; first[key].StockID == "" {
				first[key] = b
			}
		}
		return first
	}
	was, is := begins(last), begins(next)
	for _, w := range work {
		for _, j := range w.Jobs {
			key := j.StockID + " " + j.Code
			if told, ok := was[key]; ok && j.State == data.JobOpen && data.DateOf(told.Start) == day {
				out.Told++
				if now := is[key]; now.Technician == told.Technician && data.DateOf(now.Start) == day {
					out.Kept++
				}
			}
		}
	}
}

// remember keeps by when a van is told to be ready four times in five, the first
// time that it is told.
func (s *state) remember(plan prep.Plan) {
	for _, row := range plan.Queue {
		if _, ok := s.told80[row.Van.StockID]; !ok && !row.ReadyP80.IsZero() {
			s.told80[row.Van.StockID] = row.ReadyP80.DaysSince(day0)
		}
	}
}

func (s *state) count(out Outcome) Outcome {
	vans := 0
	for _, v := range s.vans {
		came := max(v.Acquired.DaysSince(day0), 0)
		ready, done := s.ready[v.StockID]
		end := s.days
		if done {
			end = ready + 1
			out.Ready++
		}
		out.Pounds += v.worth.InexactFloat64() * float64(end-came)
		out.MeanDays += float64(end - came)
		vans++
		if by, ok := s.told80[v.StockID]; ok && by < s.days {
			out.Told80++
			if done && ready <= by {
				out.True80++
			}
		}
		if due := v.PromisedOn.DaysSince(day0); !v.PromisedOn.IsZero() && due < s.days {
			out.Promised++
			if !done || ready > due {
				out.LatePounds += prep.PromiseWeight * v.worth.InexactFloat64() * float64(end-due-1)
				out.Missed++
			}
		}
	}
	out.MeanDays /= float64(vans)
	return out
}

// byPlan lets people do what the plan tells them, in its order; where nothing of
// that can be done now, they help with what others are to do later.
func byPlan(work []prep.VanJobs, blocks []prep.Block) wishes {
	type turn struct {
		technician string
		at         float64
	}
	turns := map[string]turn{}
	for i, b := range blocks {
		key := b.StockID + " " + b.Job
		if _, ok := turns[key]; !ok {
			turns[key] = turn{b.Technician, float64(i)}
		}
	}
	return listed(work, func(technician string, _ prep.VanJobs, j *prep.Job) float64 {
		t, ok := turns[j.StockID+" "+j.Code]
		switch {
		case !ok:
			return math.Inf(1)
		case t.technician == technician:
			return t.at
		}
		return t.at + float64(len(blocks))
	})
}

// byRule ranks the vans as a foreman's rule does.
func (s *state) byRule(work []prep.VanJobs, way string) wishes {
	return listed(work, func(_ string, w prep.VanJobs, j *prep.Job) float64 {
		if j.State == data.JobStarted {
			return math.Inf(-1)
		}
		hours := 0.0
		for _, o := range w.Jobs {
			hours += o.HoursLeft.InexactFloat64()
		}
		came := float64(w.Van.Acquired)
		switch way {
		case Ways[2]:
			return -w.ValuePerDay.InexactFloat64() / max(hours, 0.1)
		case Ways[3]:
			return hours
		case Ways[4]:
			if w.Van.PromisedOn.IsZero() {
				return came + 1e6
			}
			return float64(w.Van.PromisedOn)
		}
		return came
	})
}

// listed makes wishes of a rank, lowest first; equal ranks go by van and job.
func listed(work []prep.VanJobs, rank func(technician string, w prep.VanJobs, j *prep.Job) float64) wishes {
	lists := map[string][]wish{}
	return func(technician string) []wish {
		if list, ok := lists[technician]; ok {
			return list
		}
		var list []wish
		for _, w := range work {
			for i := range w.Jobs {
				if j := &w.Jobs[i]; j.Open() {
					list = append(list, wish{j, rank(technician, w, j)})
				}
			}
		}
		slices.SortStableFunc(list, func(a, b wish) int {
			return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.job.StockID, b.job.StockID), cmp.Compare(a.job.Code, b.job.Code))
		})
		lists[technician] = list
		return list
	}
}
