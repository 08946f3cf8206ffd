package project

import (
	"context"
	"fmt"
	"math/rand/v2"
)

// DefaultSchedules is the count that Solve takes where none is given.
const DefaultSchedules = 5_000

// Options steer Solve.
type Options struct {
	Schedules int    // to build at most; 0: DefaultSchedules
	Seed      uint64 // of the random choices
	Bound     int    // a makespan that the caller knows no schedule to go below
}

// Solve searches for a schedule with a small makespan. It ends after
// Options.Schedules, when the lower bound is met, or when ctx is done: then with
// the best schedule so far and no error. A forward or a backward pass counts as
// one schedule, and so does a computation of all starts from the orders on
// machines; the estimate of a move, which gives no starts, does not count. The
// error is that of Project.Check, or ErrPeople where Project.Suits says no.
func Solve(ctx context.Context, p Project, o Options) (Schedule, error) {
	if err := p.Check(); err != nil {
		return Schedule{}, fmt.Errorf("project: %w", err)
	}
	net := newNetwork(p)
	limit := o.Schedules
	if limit <= 0 {
		limit = DefaultSchedules
	}
	goal := newProgress(net, limit, o.Bound)
	rng := rand.New(rand.NewPCG(o.Seed, streamOfSearch))
	if disjunctive(net) {
		t := newTabuSearch(net, goal, rng)
		t.run(ctx)
		return t.result(p, net), nil
	}
	if len(net.able.to) > 0 {
		return Schedule{}, fmt.Errorf("project: %w", ErrPeople)
	}
	s := newSearch(net, goal, rng)
	s.run(ctx)
	return s.result(p, net), nil
}

// streamOfSearch is the second word of the generator's seed, an arbitrary
// constant that only must never change.
const streamOfSearch = 0x9e3779b97f4a7c15

// result puts the best starts under the project's numbers, dummy ends
// included.
func (s *progress) result(p Project, net *network) Schedule {
	out := Schedule{
		Starts:     make([]int, len(p.Durations)),
		People:     make([]int, len(p.Durations)),
		Makespan:   int(s.best),
		LowerBound: int(s.bound),
		Schedules:  s.made,
	}
	for i := range out.People {
		out.People[i] = -1
	}
	for k, i := range net.task {
		out.Starts[i], out.People[i] = int(s.bestStart[k]), int(s.bestPerson[k])
	}
	for i, successors := range p.Successors {
		for _, j := range successors {
			if p.Durations[j] == 0 && len(p.Successors[j]) == 0 {
				out.Starts[j] = max(out.Starts[j], out.Starts[i]+p.Durations[i])
			}
		}
	}
	return out
}
