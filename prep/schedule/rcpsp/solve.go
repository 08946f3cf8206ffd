package rcpsp

import (
	"context"
	"fmt"
	"math/rand/v2"
)

// DefaultSchedules is the count that Solve takes where none is given.
const DefaultSchedules = 5_000

// Options steer Solve.
type Options struct {
	Schedules int    // passes to make at most; 0: DefaultSchedules
	Seed      uint64 // of the random choices
}

// Solve searches for a schedule with a small makespan. It ends after
// Options.Schedules passes, when the lower bound is met, or when ctx is done:
// then with the best schedule so far and no error. The error is that of
// Project.Check.
func Solve(ctx context.Context, p Project, o Options) (Schedule, error) {
	if err := p.Check(); err != nil {
		return Schedule{}, fmt.Errorf("rcpsp: %w", err)
	}
	net := newNetwork(p)
	limit := o.Schedules
	if limit <= 0 {
		limit = DefaultSchedules
	}
	s := newSearch(net, limit, lowerBound(net), rand.New(rand.NewPCG(o.Seed, streamOfSearch)))
	s.run(ctx)
	return s.result(p), nil
}

// streamOfSearch is the second word of the generator's seed, an arbitrary
// constant that only must never change.
const streamOfSearch = 0x9e3779b97f4a7c15

// result puts the best starts under the project's numbers, dummy ends
// included.
func (s *search) result(p Project) Schedule {
	out := Schedule{
		Starts:     make([]int, len(p.Durations)),
		Makespan:   int(s.best),
		LowerBound: int(s.bound),
		Schedules:  s.made,
	}
	for k, i := range s.activity {
		out.Starts[i] = int(s.bestStart[k])
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
