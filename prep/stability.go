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

// keepCommitments settles between the best plan found afresh and what the last plan told
// people to do.
//
// While the last plan can still be followed to the minute and a fresh one gains
// no more than worthMoving, it stands: a second run on the same yard changes
// nothing. Otherwise the jobs that were to begin between the last working day
// and the end of the next one keep technician and turn, and their parts. Where
// even that costs more than worthMoving, the soonest are held, as far as all holds
// together cost no more; the rest may move.
func (p *planModel) keepCommitments(ctx context.Context, fresh schedule.Plan, previous []Block, options schedule.Options) (schedule.Plan, error) {
	last := p.recall(previous)
	if len(last) == 0 {
		return fresh, nil
	}
	limit := p.value(fresh.Assignments) + worthMoving*100*minutesPerDay // values are pence a day × minutes
	chosen, err := p.choose(ctx, fresh, last, limit, options)
	chosen.LowerBound, chosen.Schedules = fresh.LowerBound, fresh.Schedules
	return chosen, err
}

func (p *planModel) choose(ctx context.Context, fresh schedule.Plan, last []placed, limit int, options schedule.Options) (schedule.Plan, error) {
	begin := map[jobKey]int{}
	for _, was := range last {
		begin[p.key(was.task)] = was.start
	}
	same, ok, err := p.buildProblem(begin).repeat(last)
	if err != nil || ok && p.value(same.Assignments) <= limit {
		return same, err
	}
	holds := p.dueSoon(last)
	clear(begin)
	for _, h := range holds {
		begin[p.key(h.task)] = h.start
	}
	held, err := p.buildProblem(begin).holdAll(ctx, fresh, holds, options)
	if err != nil || p.value(held.Assignments) <= limit {
		return held, err
	}
	return p.holdSome(fresh, holds, limit)
}

// holdAll finds the best plan with all holds that can be kept.
func (p *planModel) holdAll(ctx context.Context, fresh schedule.Plan, holds []hold, options schedule.Options) (schedule.Plan, error) {
	holds, err := p.feasible(fresh, holds)
	if err != nil || len(holds) == 0 {
		return fresh, err
	}
	trial, err := p.try(fresh, holds)
	if err != nil {
		return fresh, err
	}
	held, err := p.arrange(fresh, trial)
	if err != nil || respects(fresh, holds) && p.value(held.Assignments) == p.value(fresh.Assignments) {
		return fresh, err
	}
	// Half the search will do: most of what is soon is settled.
	options.Schedules = max(cmp.Or(options.Schedules, schedule.DefaultSchedules(p.problem))/2, 1)
	options.Bound = fresh.LowerBound // holds only take plans away
	searched, err := schedule.Solve(ctx, p.pinned(holds), options)
	if err == nil && p.value(searched.Assignments) < p.value(held.Assignments) {
		held = searched
	}
	return held, err
}

// holdSome adds holds to the fresh plan, the soonest first, as long as the whole
// stays within the limit. They are tried together; where that costs too much,
// the sooner half and then the other, and so on down to each by itself. Mostly a
// few are dear and the rest cost nothing, which this finds in a few tries.
func (p *planModel) holdSome(fresh schedule.Plan, holds []hold, limit int) (schedule.Plan, error) {
	tries := 1_000_000 / max(len(p.tasks), 1) // each is two whole plans
	var kept trial
	var add func(some []hold) error
	add = func(some []hold) error {
		if len(some) == 0 || tries == 0 {
			return nil
		}
		tries--
		with, err := p.try(fresh, append(slices.Clip(kept.holds), some...))
		if err != nil {
			return err
		}
		if with.value <= limit {
			kept = with
			return nil
		}
		if len(some) == 1 {
			return nil
		}
		half := len(some) / 2
		if err := add(some[:half]); err != nil {
			return err
		}
		return add(some[half:])
	}
	if err := add(holds); err != nil || len(kept.holds) == 0 {
		return fresh, err
	}
	return p.arrange(fresh, kept)
}

// placed is where the last plan put a task.
type placed struct {
	hold
	finish int
}

// recall finds the tasks that the last plan had, with somebody who is
// still here and has the skill, by start.
func (p *planModel) recall(previous []Block) []placed {
	task := map[jobKey]int{}
	for i, t := range p.tasks {
		if t.job >= 0 {
			task[p.key(i)] = i
		}
	}
	midnight := p.asOf.Time()
	at := map[int]placed{}
	for _, b := range previous {
		i, ok := task[jobKey{b.StockID, b.Job}]
		worker := slices.IndexFunc(p.shop.Team, func(t data.Technician) bool { return t.Name == b.Technician })
		if !ok || worker < 0 || !slices.Contains(p.problem.Workers[worker].Skills, p.problem.Tasks[i].Skill) {
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
func (p *planModel) repeat(last []placed) (schedule.Plan, bool, error) {
	problem := p.problem
	problem.Tasks = slices.Clone(p.problem.Tasks)
	at := map[int]placed{}
	for _, was := range last {
		a := &problem.Tasks[was.task]
		if was.start < a.Release || a.Pinned && a.Worker != schedule.None && a.Worker != was.worker {
			return schedule.Plan{}, false, nil
		}
		a.Pinned, a.Worker, a.Release = true, was.worker, was.start
		at[was.task] = was
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

// followed returns the tasks of a plan by start, and who does each.
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
