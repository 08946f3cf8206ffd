package schedule

import (
	"context"

	"github.com/vanwright/vanwright/prep/schedule/internal/project"
)

// constant is a problem without calendars in the terms of the package project:
// everybody who is needed is there all the time, and nothing is pinned. Lags and
// releases are tasks of their own there, numbered after the problem's, and so
// keep no worker and no place.
type constant struct {
	project.Project
	tasks int // of the problem: the first in the project
}

// constant returns the problem as a project, or false where it is none or where
// the search on orders and hours knows more ways to plan it.
func (m *model) constant(objective Objective) (constant, bool) {
	c := constant{tasks: len(m.Tasks)}
	if objective != Makespan || len(m.lead) > 0 || m.Travel != nil {
		return c, false
	}
	for i, t := range m.Tasks {
		if m.reasons[i] != "" {
			return c, false
		}
		for _, w := range m.able[i] {
			if h := m.Workers[w].Hours; len(h) != 1 || h[0].From != 0 || h[0].To < m.serial {
				return c, false
			}
		}
		c.add(t.Duration)
		c.Able = append(c.Able, m.able[i])
	}
	for _, r := range m.Resources {
		if len(r.Closed) > 0 {
			return c, false
		}
		c.Capacities = append(c.Capacities, r.Capacity)
	}
	for range m.groups {
		c.Capacities = append(c.Capacities, 1)
	}
	c.People = len(m.Workers)
	c.link(m.Tasks)
	for i := range c.Durations {
		c.Demands = append(c.Demands, make([]int, len(c.Capacities)))
		if i >= len(m.Tasks) || m.Tasks[i].Duration == 0 {
			continue
		}
		for _, u := range m.Tasks[i].Uses {
			c.Demands[i][u.Resource] = u.Amount
		}
		if g := m.Tasks[i].Group; g != None {
			c.Demands[i][len(m.Resources)+g] = 1
		}
	}
	return c, c.Check() == nil && c.Suits()
}

// add appends a task and returns its number.
func (c *constant) add(duration int) int {
	c.Durations = append(c.Durations, duration)
	c.Successors = append(c.Successors, nil)
	return len(c.Durations) - 1
}

// link adds what waits for what.
func (c *constant) link(tasks []Task) {
	after := func(pred, i, lag int) {
		if lag > 0 {
			wait := c.add(lag)
			c.Able = append(c.Able, nil)
			c.Successors[wait] = []int{i}
			i = wait
		}
		if pred >= 0 {
			c.Successors[pred] = append(c.Successors[pred], i)
		}
	}
	for i, t := range tasks {
		after(None, i, t.Release)
		for _, l := range t.After {
			after(l.Pred, i, l.Lag)
		}
	}
}

// solve searches for the plan that ends soonest.
func (c constant) solve(ctx context.Context, o Options, bound int) (Plan, error) {
	got, err := project.Solve(ctx, c.Project, project.Options{Schedules: o.Schedules, Seed: o.Seed, Bound: bound})
	if err != nil {
		return Plan{}, err
	}
	plan := Plan{
		Objective: Makespan, Value: got.Makespan, LowerBound: got.LowerBound, Schedules: got.Schedules,
		Assignments: make([]Assignment, c.tasks),
	}
	for i := range plan.Assignments {
		plan.Assignments[i] = Assignment{Worker: got.People[i], Start: got.Starts[i], Finish: got.Starts[i] + c.Durations[i]}
	}
	return plan, nil
}
