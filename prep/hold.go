package prep

import (
	"slices"

	"github.com/vanwright/vanwright/data"
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

// SoonUntil returns the last of the working days from a day on for which people count
// on what they were told.
func (w Workshop) SoonUntil(day data.Date) data.Date {
	_, _, end := planInput{shop: w, asOf: day}.soon()
	return day.AddDays(end)
}

// dueSoon lists the jobs that people have been told to begin within soonDays. It
// starts at the last working day, for what was not begun then: that is due on the
// first. What an older plan says has lapsed, but for work that has begun by nobody
// known.
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

// pinned is the outlook with jobs held to day, person and turn. The engine places
// pins by release, so a minute each of the small hours of its day, before anybody
// works, keeps them in turn.
func (o *outlook) pinned(holds []hold) *outlook {
	pin := func(p schedule.Problem) schedule.Problem {
		p.Tasks = slices.Clone(p.Tasks)
		for turn, h := range holds {
			t := &p.Tasks[h.task]
			t.Pinned, t.Worker = true, h.worker
			t.Release = max(t.Release, h.start/minutesPerDay*minutesPerDay+turn)
		}
		return p
	}
	model, held := *o.planModel, *o
	model.problem = pin(model.problem)
	held.planModel, held.problem = &model, pin(o.problem)
	return &held
}

// feasible drops the holds that can't be kept: a job that would not begin on its
// day waits for something, or for somebody who is away.
func (o *outlook) feasible(start schedule.Start) ([]hold, error) {
	holds := o.told
	for len(holds) > 0 {
		plan, err := o.pinned(holds).arrange(start.Order)
		if err != nil {
			return nil, err
		}
		kept := slices.DeleteFunc(slices.Clone(holds), func(h hold) bool {
			moved, _ := h.changed(plan.Assignments)
			return moved
		})
		if len(kept) == len(holds) {
			break
		}
		holds = kept
	}
	return holds, nil
}

// holdTries bounds the tasks that holdSome plans in all.
const holdTries = 40_000

// holdSome adds holds to an order of work, the soonest first, as long as that makes
// the plan and its changes cost no more. They are tried together; where that costs
// too much, the sooner half and then the other, and so on down to each by itself.
// Mostly a few are dear and the rest cost nothing, which this finds in a few tries.
func (o *outlook) holdSome(order []int, holds []hold) (schedule.Plan, error) {
	best, err := o.arrange(order)
	least := o.value(best.Assignments) + o.changes(best.Assignments)
	var kept []hold
	tries := max(holdTries/max(len(o.tasks), 1), 8)
	var add func(some []hold)
	add = func(some []hold) {
		if len(some) == 0 || tries == 0 || err != nil {
			return
		}
		tries--
		with := append(slices.Clip(kept), some...)
		var plan schedule.Plan
		if plan, err = o.pinned(with).arrange(order); err != nil {
			return
		}
		plan = plan.In(o.planModel.problem)
		if cost := o.value(plan.Assignments) + o.changes(plan.Assignments); cost <= least {
			best, least, kept = plan, cost, with
			return
		}
		if half := len(some) / 2; half > 0 {
			add(some[:half])
			add(some[half:])
		}
	}
	add(holds)
	return best, err
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

// changes is what leaving what people have been told costs, in the engine's units.
func (p *planModel) changes(at []schedule.Assignment) int {
	sum := 0
	for _, h := range p.told {
		switch dayOrPerson, start := h.changed(at); {
		case dayOrPerson:
			sum += p.changeCost(1)
		case start:
			sum += p.changeCost(otherTime)
		}
	}
	return sum
}

// changeCost is what some changes cost, in pence a day × minutes.
func (p *planModel) changeCost(changes float64) int {
	return int(changes * p.policy.ChangeCost.InexactFloat64() * 100 * minutesPerDay)
}

// toldTasks is what people have been told, in the engine's terms.
func (p *planModel) toldTasks() []schedule.Told {
	var told []schedule.Told
	for _, h := range p.told {
		day := h.start / minutesPerDay * minutesPerDay
		told = append(told, schedule.Told{
			Task: h.task, Worker: h.worker, Day: schedule.Interval{From: day, To: day + minutesPerDay}, Start: h.start,
			Move: p.changeCost(1), Retime: p.changeCost(otherTime),
		})
	}
	return told
}
