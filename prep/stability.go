package prep

import (
	"cmp"
	"context"
	"slices"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// worthMoving is what a new plan must gain, in pounds over all vans, before it
// may move jobs that people have been told to begin today or on the next
// working day. Common practice, no source: about an hour and a half of a
// technician's time, which is what fetching another van and other parts costs.
const worthMoving = 50

// mostHolds bounds the jobs that are held; the soonest count.
const mostHolds = 300

// hold keeps a job to the technician and the turn that the last plan gave it.
type hold struct {
	activity int
	worker   int
	start    int // minute at which the last plan began it; below 0 for a day before asOf
}

// stand settles between the best plan found afresh and what the last plan told
// people to do.
//
// While the last plan can still be followed to the minute and a fresh one gains
// no more than worthMoving, it stands: a second run on the same yard changes
// nothing. Otherwise the jobs that were to begin between the last working day
// and the end of the next one keep technician and turn. Where even that costs
// more than worthMoving, they are held one by one, the soonest first, as far as
// all holds together cost no more; the rest may move.
func (p *planning) stand(ctx context.Context, fresh schedule.Plan, previous []Block, work []Work, shop Workshop, options schedule.Options, asOf data.Date) (schedule.Plan, error) {
	last := p.recall(previous, work, shop, asOf)
	if len(last) == 0 {
		return fresh, nil
	}
	limit := fresh.Value + worthMoving*100*minutesPerDay // values are pence a day × minutes
	settle := func(chosen schedule.Plan) schedule.Plan {
		chosen.LowerBound, chosen.Schedules = fresh.LowerBound, fresh.Schedules
		return chosen
	}
	same, ok, err := p.repeat(fresh, last)
	if err != nil {
		return fresh, err
	}
	if ok && same.Value <= limit {
		return settle(same), nil
	}
	from, to := shop.soon(asOf)
	holds, err := p.feasible(fresh, p.dueSoon(last, work, from.DaysSince(asOf), to.DaysSince(asOf)), to.DaysSince(asOf))
	if err != nil || respects(fresh, holds) {
		return fresh, err
	}
	held, err := p.holding(fresh, holds)
	if err != nil {
		return fresh, err
	}
	searched, err := schedule.Solve(ctx, p.pinned(holds), options)
	if err != nil {
		return fresh, err
	}
	if searched.Value < held.Value {
		held = searched
	}
	if held.Value <= limit {
		return settle(held), nil
	}
	held, err = p.holdSome(fresh, holds, limit)
	return settle(held), err
}

// placed is where the last plan put an activity.
type placed struct {
	hold
	finish int
}

// recall finds the activities that the last plan had, with somebody who is
// still here and has the skill, by start.
func (p *planning) recall(previous []Block, work []Work, shop Workshop, asOf data.Date) []placed {
	activity := map[jobKey]int{}
	for i, t := range p.tasks {
		if t.job >= 0 {
			activity[jobKey{work[t.work].Van.StockID, work[t.work].Jobs[t.job].Code}] = i
		}
	}
	midnight := asOf.Time()
	at := map[int]placed{}
	for _, b := range previous {
		i, ok := activity[jobKey{b.StockID, b.Job}]
		worker := slices.IndexFunc(shop.Team, func(t data.Technician) bool { return t.Name == b.Technician })
		if !ok || worker < 0 || !slices.Contains(p.problem.Workers[worker].Skills, p.problem.Activities[i].Skill) {
			continue
		}
		start, finish := int(b.Start.Sub(midnight)/time.Minute), int(b.Finish.Sub(midnight)/time.Minute)
		if was, ok := at[i]; ok {
			if was.start < start {
				worker, start = was.worker, was.start
			}
			finish = max(finish, was.finish)
		}
		at[i] = placed{hold{i, worker, start}, finish}
	}
	last := make([]placed, 0, len(at))
	for i := range p.tasks {
		if was, ok := at[i]; ok {
			last = append(last, was)
		}
	}
	slices.SortStableFunc(last, func(a, b placed) int { return cmp.Compare(a.start, b.start) })
	return last
}

// repeat follows the last plan to the minute. It reports whether that can be
// done, with nothing new to do besides.
func (p *planning) repeat(fresh schedule.Plan, last []placed) (schedule.Plan, bool, error) {
	problem := p.problem
	problem.Activities = slices.Clone(p.problem.Activities)
	at := map[int]placed{}
	for _, was := range last {
		a := &problem.Activities[was.activity]
		if was.start < a.Release || a.Pinned && a.Worker != schedule.None && a.Worker != was.worker {
			return schedule.Plan{}, false, nil
		}
		a.Pinned, a.Worker, a.Release = true, was.worker, was.start
		at[was.activity] = was
	}
	plan, err := schedule.Arrange(problem, schedule.WeightedCompletion, nil, nil)
	if err != nil {
		return schedule.Plan{}, false, err
	}
	for i, t := range p.tasks {
		if t.job < 0 {
			continue
		}
		got, was := plan.Assignments[i], at[i]
		_, known := at[i]
		if known != got.Placed() || known && (got.Start != was.start || got.Finish != was.finish) {
			return schedule.Plan{}, false, nil
		}
	}
	return plan, true, nil
}

// soon returns the last day before asOf and the next after it on which anybody
// works.
func (w Workshop) soon(asOf data.Date) (last, next data.Date) {
	last, next = asOf.AddDays(-1), asOf.AddDays(1)
	for n := 0; n < 14 && !w.open(last); n++ {
		last = last.AddDays(-1)
	}
	for n := 0; n < 14 && !w.open(next); n++ {
		next = next.AddDays(1)
	}
	return last, next
}

// dueSoon lists the jobs that people have been told to begin from one day to
// another, both inside and counted from asOf. It starts at the last working
// day, for what was not begun then; what an older plan says has lapsed. Work
// that has begun is held in any case where only the last plan knows by whom.
func (p *planning) dueSoon(last []placed, work []Work, from, to int) []hold {
	var holds []hold
	for _, was := range last {
		t := p.tasks[was.activity]
		if p.problem.Activities[was.activity].Pinned {
			continue // begun, by somebody we know
		}
		begun := work[t.work].Jobs[t.job].State == data.JobStarted
		if begun || from*minutesPerDay <= was.start && was.start < (to+1)*minutesPerDay {
			holds = append(holds, was.hold)
		}
	}
	return holds[:min(len(holds), mostHolds)]
}

// open reports whether anybody works on a day.
func (w Workshop) open(day data.Date) bool {
	if holidaysBetween(w.Region, day, day)[day] {
		return false
	}
	return slices.ContainsFunc(w.Team, func(t data.Technician) bool {
		return t.HoursOn(day.Weekday()) > 0 && !w.absent(t.Name, day)
	})
}

// pinned is the problem with jobs held. The engine places pins by release, so a
// minute of the small hours each, before anybody works, keeps them in turn.
func (p *planning) pinned(holds []hold) schedule.Problem {
	problem := p.problem
	problem.Activities = slices.Clone(p.problem.Activities)
	for turn, h := range holds {
		a := &problem.Activities[h.activity]
		a.Pinned, a.Worker = true, h.worker
		a.Release = max(a.Release, turn)
	}
	return problem
}

// holding is the fresh plan's order and people, with jobs held.
func (p *planning) holding(fresh schedule.Plan, holds []hold) (schedule.Plan, error) {
	order, workers := followed(fresh)
	for _, h := range holds {
		workers[h.activity] = h.worker
	}
	return schedule.Arrange(p.pinned(holds), schedule.WeightedCompletion, order, workers)
}

// feasible drops the holds that can't be kept: a job that would not begin by
// the end of the next working day, counted from asOf, waits for something, or
// for somebody who is away.
func (p *planning) feasible(fresh schedule.Plan, holds []hold, to int) ([]hold, error) {
	for {
		plan, err := p.holding(fresh, holds)
		if err != nil {
			return nil, err
		}
		kept := slices.DeleteFunc(slices.Clone(holds), func(h hold) bool {
			a := plan.Assignments[h.activity]
			return !a.Placed() || a.Start >= (to+1)*minutesPerDay
		})
		if len(kept) == len(holds) {
			return holds, nil
		}
		holds = kept
	}
}

// respects reports whether a plan already does what the holds ask.
func respects(plan schedule.Plan, holds []hold) bool {
	return !slices.ContainsFunc(holds, func(h hold) bool {
		a := plan.Assignments[h.activity]
		return a.Worker != h.worker || a.Start != h.start
	})
}

// holdSome adds one hold after another to the fresh plan, as long as the whole
// stays within the limit.
func (p *planning) holdSome(fresh schedule.Plan, holds []hold, limit int) (schedule.Plan, error) {
	// Each try is a whole plan.
	tries := min(len(holds), 1_000_000/max(len(p.tasks), 1))
	chosen := fresh
	var kept []hold
	for _, h := range holds[:tries] {
		with := append(slices.Clip(kept), h)
		plan, err := p.holding(fresh, with)
		if err != nil {
			return fresh, err
		}
		if plan.Value <= limit {
			kept, chosen = with, plan
		}
	}
	return chosen, nil
}

// followed returns the activities of a plan by start, and who does each.
func followed(plan schedule.Plan) (order, workers []int) {
	order, workers = make([]int, len(plan.Assignments)), make([]int, len(plan.Assignments))
	for i, a := range plan.Assignments {
		order[i], workers[i] = i, a.Worker
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(plan.Assignments[a].Start, plan.Assignments[b].Start), cmp.Compare(a, b))
	})
	return order, workers
}
