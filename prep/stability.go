package prep

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// keepCommitments settles between the best plan found afresh and what the last plan told
// people to do: a job of the next working days that moves to another day or
// person costs the policy's ChangeCost.
//
// While the last plan can still be followed to the minute and no other costs
// less, changes included, it stands: a second run on the same yard changes
// nothing. Otherwise the jobs of these days keep technician and turn, and their
// parts. Where even that costs more than it saves, the soonest are held as far as
// that saves more than it costs; the rest may move.
func (p *planModel) keepCommitments(ctx context.Context, fresh schedule.Plan, previous []Block, options schedule.Options) (schedule.Plan, error) {
	last := p.recall(previous)
	if len(last) == 0 {
		return fresh, nil
	}
	p.told = p.dueSoon(last)
	chosen, err := p.choose(ctx, fresh, last, previous, options)
	chosen.LowerBound, chosen.Schedules = fresh.LowerBound, fresh.Schedules
	return chosen, err
}

func (p *planModel) choose(ctx context.Context, fresh schedule.Plan, last []hold, previous []Block, options schedule.Options) (schedule.Plan, error) {
	same, ok, err := p.beginning(last).repeat(previous)
	limit := p.cost(fresh.Assignments)
	if err != nil || ok && p.cost(same.Assignments) <= limit {
		return same, err
	}
	held, err := p.beginning(p.told).holdAll(ctx, fresh, p.told, options)
	if err != nil || p.cost(held.Assignments) <= limit {
		return held, err
	}
	return p.holdSome(ctx, fresh, p.told, limit)
}

// beginning is the same problem where jobs have been told when to begin, which
// decides who gets the parts on the shelf.
func (p *planModel) beginning(holds []hold) *planModel {
	begin := map[jobKey]int{}
	for _, h := range holds {
		for _, j := range p.jobs(h.task) {
			begin[keyOf(j)] = h.start
		}
	}
	other := p.planInput.buildProblem(begin)
	other.told = p.told
	return other
}

// holdAll finds the best plan with all holds that can be kept.
func (p *planModel) holdAll(ctx context.Context, fresh schedule.Plan, holds []hold, options schedule.Options) (schedule.Plan, error) {
	holds, err := p.feasible(ctx, fresh, holds)
	if err != nil || len(holds) == 0 {
		return fresh, err
	}
	trial, err := p.try(ctx, fresh, holds)
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
	if err == nil && p.cost(searched.Assignments) < p.cost(held.Assignments) {
		held = searched
	}
	return held, err
}

// holdSome adds holds to the fresh plan, the soonest first, as long as each makes
// the whole cost no more. They are tried together; where that costs too much,
// the sooner half and then the other, and so on down to each by itself. Mostly a
// few are dear and the rest cost nothing, which this finds in a few tries.
func (p *planModel) holdSome(ctx context.Context, fresh schedule.Plan, holds []hold, limit int) (schedule.Plan, error) {
	tries := 1_000_000 / max(len(p.tasks), 1) // each is two whole plans
	var kept trial
	var add func(some []hold) error
	add = func(some []hold) error {
		if len(some) == 0 || tries == 0 {
			return nil
		}
		tries--
		with, err := p.try(ctx, fresh, append(slices.Clip(kept.holds), some...))
		if err != nil {
			return err
		}
		if with.value <= limit {
			kept, limit = with, with.value
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

// instruction is what people were told of a job.
type instruction struct {
	technician    string
	start, finish int // minutes from asOf
}

// toldOf gathers the blocks of each job.
func (p *planModel) toldOf(blocks []Block) map[jobKey]instruction {
	midnight := p.asOf.Time()
	all := map[jobKey]instruction{}
	for _, b := range blocks {
		key := jobKey{b.StockID, b.Job}
		start, finish := int(b.Start.Sub(midnight)/time.Minute), int(b.Finish.Sub(midnight)/time.Minute)
		if was, ok := all[key]; ok {
			if was.start < start {
				b.Technician, start = was.technician, was.start
			}
			finish = max(finish, was.finish)
		}
		all[key] = instruction{b.Technician, start, finish}
	}
	return all
}

// recall finds the tasks that the last plan had, with somebody who is still here
// and has the skill, by start. The first job of a visit speaks for it.
func (p *planModel) recall(previous []Block) []hold {
	blocks := p.toldOf(previous)
	var last []hold
	for i, t := range p.tasks {
		first, found := instruction{start: math.MaxInt}, false
		for _, j := range p.jobs(i) {
			if was, ok := blocks[keyOf(j)]; ok && was.start < first.start {
				first, found = was, true
			}
		}
		if !found {
			continue
		}
		worker := slices.IndexFunc(p.shop.Team, func(t data.Technician) bool { return t.Name == first.technician })
		if worker < 0 || !slices.Contains(p.problem.Workers[worker].Skills, p.problem.Tasks[i].Skill) {
			continue
		}
		start := workedBefore(p.problem.Workers[worker].Hours, first.start, t.bringIn)
		last = append(last, hold{i, worker, start})
	}
	slices.SortStableFunc(last, func(a, b hold) int { return cmp.Compare(a.start, b.start) })
	return last
}

// workedBefore returns the time from which on somebody works some minutes until
// a time; before the first of the hours time runs on.
func workedBefore(hours schedule.Calendar, at, minutes int) int {
	for _, v := range slices.Backward(hours) {
		if minutes == 0 || v.From >= at {
			continue
		}
		at = min(at, v.To)
		step := min(minutes, at-v.From)
		at, minutes = at-step, minutes-step
	}
	return at - minutes
}

// repeat follows the last plan to the minute. It reports whether that can be
// done, with nothing new to do besides.
func (p *planModel) repeat(previous []Block) (schedule.Plan, bool, error) {
	problem := p.problem
	problem.Tasks = slices.Clone(p.problem.Tasks)
	for _, was := range p.recall(previous) {
		a := &problem.Tasks[was.task]
		if was.start < a.Release || a.Pinned && a.Worker != schedule.None && a.Worker != was.worker {
			return schedule.Plan{}, false, nil
		}
		a.Pinned, a.Worker, a.Release = true, was.worker, was.start
	}
	plan, err := schedule.Arrange(problem, schedule.WeightedCompletion, nil, nil)
	if err != nil {
		return schedule.Plan{}, false, err
	}
	was, now := p.toldOf(previous), p.toldOf(p.blocks(plan))
	for i := range p.tasks {
		for _, j := range p.jobs(i) {
			if key := keyOf(j); was[key] != now[key] {
				return schedule.Plan{}, false, nil
			}
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
