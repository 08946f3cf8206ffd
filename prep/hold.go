package prep

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// mostHolds bounds the jobs that are held; the soonest count.
const mostHolds = 300

// hold keeps a job to the technician and the turn that the last plan gave it.
type hold struct {
	activity int
	worker   int
	start    int // minute at which the last plan began it; below 0 for a day before asOf
}

// soon returns the last day before asOf and the next after it on which anybody
// works, in days from asOf.
func (in planInput) soon() (last, next int) {
	last, next = -1, 1
	for last > -14 && !in.shop.open(in.asOf.AddDays(last)) {
		last--
	}
	for next < 14 && !in.shop.open(in.asOf.AddDays(next)) {
		next++
	}
	return last, next
}

// dueSoon lists the jobs that people have been told to begin by the end of the
// next working day. It starts at the last working day, for what was not begun
// then; what an older plan says has lapsed. Work that has begun is held in any
// case where only the last plan knows by whom.
func (p *planModel) dueSoon(last []placed) []hold {
	from, to := p.soon()
	var holds []hold
	for _, was := range last {
		if p.problem.Activities[was.activity].Pinned {
			continue // begun, by somebody we know
		}
		begun := p.job(was.activity).State == data.JobStarted
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
func (p *planModel) pinned(holds []hold) schedule.Problem {
	problem := p.problem
	problem.Activities = slices.Clone(p.problem.Activities)
	for turn, h := range holds {
		a := &problem.Activities[h.activity]
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
// by its people or by whoever can finish it first, whichever is better.
func (p *planModel) try(fresh schedule.Plan, holds []hold) (trial, error) {
	var at [2][]schedule.Assignment
	var errs [2]error
	var wg sync.WaitGroup
	for i := range at {
		wg.Go(func() { at[i], errs[i] = p.replay(fresh, holds, i == 0) })
	}
	wg.Wait()
	best := trial{value: math.MaxInt}
	if err := cmp.Or(errs[:]...); err != nil {
		return best, err
	}
	for i, at := range at {
		if value := p.value(at); value < best.value {
			best = trial{holds: holds, sameHands: i == 0, value: value}
			for _, h := range holds {
				best.starts = append(best.starts, at[h.activity].Start)
			}
		}
	}
	return best, nil
}

// replay is arrange without its bound, which costs more than the plan does.
func (p *planModel) replay(fresh schedule.Plan, holds []hold, sameHands bool) ([]schedule.Assignment, error) {
	problem := p.pinned(holds)
	// Replay goes by start, and in the engine's own order where starts are
	// equal: pins first, after what they wait for.
	plan := schedule.Plan{Assignments: slices.Clone(fresh.Assignments), Objective: schedule.WeightedCompletion}
	for i := range plan.Assignments {
		if a := &plan.Assignments[i]; a.Placed() {
			a.Start++
			if !sameHands {
				a.Worker = schedule.None
			}
		}
	}
	var first func(i int)
	first = func(i int) {
		if a := &plan.Assignments[i]; a.Start != 0 {
			a.Start = 0
			for _, l := range problem.Activities[i].After {
				first(l.Pred)
			}
		}
	}
	durations := make([]int, len(problem.Activities))
	for i, a := range problem.Activities {
		durations[i] = a.Duration
		if a.Pinned {
			first(i)
			plan.Assignments[i].Worker = a.Worker
		}
	}
	replay, err := schedule.NewReplay(problem, plan)
	if err != nil {
		return nil, err
	}
	return replay.Run(durations)
}

// arrange makes a whole plan of a trial.
func (p *planModel) arrange(fresh schedule.Plan, t trial) (schedule.Plan, error) {
	order, workers := followed(fresh)
	for _, h := range t.holds {
		workers[h.activity] = h.worker
	}
	if !t.sameHands {
		workers = nil
	}
	return schedule.Arrange(p.pinned(t.holds), schedule.WeightedCompletion, order, workers)
}

// feasible drops the holds that can't be kept: a job that would not begin by
// the end of the next working day waits for something, or for somebody who is
// away.
func (p *planModel) feasible(fresh schedule.Plan, holds []hold) ([]hold, error) {
	_, to := p.soon()
	for len(holds) > 0 {
		t, err := p.try(fresh, holds)
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
		a := plan.Assignments[h.activity]
		return a.Worker != h.worker || a.Start != h.start
	})
}
