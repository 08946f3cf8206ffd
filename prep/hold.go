package prep

import (
	"context"
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep/schedule"
)

// mostHolds bounds the jobs that are held; the soonest count.
const mostHolds = 300

// hold keeps a job to the technician and the turn that the last plan gave it.
type hold struct {
	task   int
	worker int
	start  int // minute at which the last plan began it; below 0 for a day before asOf, until dueSoon
}

// soonDays is how many working days ahead people count on what they were told.
const soonDays = 3

// soon returns the last day before asOf on which anybody works, the first from
// asOf on, and the last of soonDays of them, in days from asOf.
func (in planInput) soon() (last, first, end int) {
	last = -1
	for last > -14 && !in.shop.open(in.asOf.AddDays(last)) {
		last--
	}
	days := 0
	for day := 0; day < 28 && days < soonDays; day++ {
		if in.shop.open(in.asOf.AddDays(day)) {
			if days == 0 {
				first = day
			}
			days++
			end = day
		}
	}
	return last, first, end
}

// dueSoon lists the jobs that people have been told to begin within soonDays. It
// starts at the last working day, for what was not begun then: that is due on the
// first. What an older plan says has lapsed. Work that has begun is held in any
// case where only the last plan knows by whom.
func (p *planModel) dueSoon(last []hold) []hold {
	from, first, to := p.soon()
	var holds []hold
	for _, was := range last {
		if p.problem.Tasks[was.task].Pinned {
			continue // begun, by somebody we know
		}
		begun := p.jobs(was.task)[0].State == data.JobStarted
		if begun || from*minutesPerDay <= was.start && was.start < (to+1)*minutesPerDay {
			if was.start < 0 {
				was.start = first*minutesPerDay + (was.start%minutesPerDay+minutesPerDay)%minutesPerDay
			}
			holds = append(holds, was)
		}
	}
	return holds[:min(len(holds), mostHolds)]
}

// open reports whether anybody works on a day.
func (w Workshop) open(day data.Date) bool {
	return slices.ContainsFunc(w.Team, func(t data.Technician) bool { return w.HoursOn(t, day) > 0 })
}

// pinned is the problem with jobs held. The engine places pins by release, so a
// minute of the small hours each, before anybody works, keeps them in turn.
func (p *planModel) pinned(holds []hold) schedule.Problem {
	problem := p.problem
	problem.Tasks = slices.Clone(p.problem.Tasks)
	for turn, h := range holds {
		a := &problem.Tasks[h.task]
		a.Pinned, a.Worker = true, h.worker
		a.Release = max(a.Release, turn)
	}
	return problem
}

// trial is what comes of the fresh plan's order with jobs held.
type trial struct {
	holds     []hold
	sameHands bool // the other work stays with the fresh plan's people
	value     int
	starts    []int // of the held jobs; below 0 where one can't be placed
}

// try works out the fresh plan's order with jobs held, and the other work done
// by its people or by those who can finish it first, whichever is better.
func (p *planModel) try(ctx context.Context, fresh schedule.Plan, holds []hold) (trial, error) {
	var plans [2]schedule.Plan
	err := parallel.Each(ctx, len(plans), len(plans), func(i int) (err error) {
		plans[i], err = p.arrange(fresh, trial{holds: holds, sameHands: i == 0})
		return err
	})
	best := trial{value: math.MaxInt}
	if err != nil {
		return best, err
	}
	for i, plan := range plans {
		if value := p.cost(plan.Assignments); value < best.value {
			best = trial{holds: holds, sameHands: i == 0, value: value}
			for _, h := range holds {
				best.starts = append(best.starts, plan.Assignments[h.task].Start)
			}
		}
	}
	return best, nil
}

// arrange makes a whole plan of a trial.
func (p *planModel) arrange(fresh schedule.Plan, t trial) (schedule.Plan, error) {
	order, workers := followed(fresh)
	for _, h := range t.holds {
		workers[h.task] = h.worker
	}
	if !t.sameHands {
		workers = nil
	}
	return schedule.Arrange(p.pinned(t.holds), schedule.WeightedCompletion, order, workers)
}

// otherTime is the share of a change's cost that counts where a job keeps day and
// person and moves to another time of that day. Common practice, no source.
const otherTime = 0.2

// changed reports whether a hold's job has another day or person in a plan, and
// whether it has another start.
func (h hold) changed(at []schedule.Assignment) (dayOrPerson, start bool) {
	a := at[h.task]
	return a.Worker != h.worker || a.Start/minutesPerDay != h.start/minutesPerDay, a.Start != h.start
}

// kept counts the jobs that people were told of and that keep day and person.
func (p *planModel) kept(plan schedule.Plan) int {
	n := 0
	for _, h := range p.told {
		if moved, _ := h.changed(plan.Assignments); !moved {
			n++
		}
	}
	return n
}

// cost is the value of a plan and what its changes cost the people who have been
// told otherwise.
func (p *planModel) cost(at []schedule.Assignment) int {
	changes := 0.0
	for _, h := range p.told {
		switch dayOrPerson, start := h.changed(at); {
		case dayOrPerson:
			changes++
		case start:
			changes += otherTime
		}
	}
	return p.value(at) + int(changes*p.policy.ChangeCost.InexactFloat64()*100*minutesPerDay) // values are pence a day × minutes
}

// feasible drops the holds that can't be kept: a job that would not begin by
// the end of the next working day waits for something, or for somebody who is
// away.
func (p *planModel) feasible(ctx context.Context, fresh schedule.Plan, holds []hold) ([]hold, error) {
	_, _, to := p.soon()
	for len(holds) > 0 {
		t, err := p.try(ctx, fresh, holds)
		if err != nil {
			return nil, err
		}
		var kept []hold
		for i, h := range holds {
			if start := t.starts[i]; 0 <= start && start < (to+1)*minutesPerDay {
				kept = append(kept, h)
			}
		}
		if len(kept) == len(holds) {
			break
		}
		holds = kept
	}
	return holds, nil
}

// respects reports whether a plan already does what the holds ask.
func respects(plan schedule.Plan, holds []hold) bool {
	return !slices.ContainsFunc(holds, func(h hold) bool {
		a := plan.Assignments[h.task]
		return a.Worker != h.worker || a.Start != h.start
	})
}
