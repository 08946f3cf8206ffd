package project

import (
	"fmt"
	"slices"
)

// Verify checks a schedule from first principles, period by period, sharing
// no code with the search. It returns nil, or what is wrong first.
func Verify(p Project, s Schedule) error {
	if len(s.Starts) != len(p.Durations) {
		return fmt.Errorf("%d starts for %d tasks", len(s.Starts), len(p.Durations))
	}
	last := 0
	for i, start := range s.Starts {
		if start < 0 {
			return fmt.Errorf("task %d starts at %d", i, start)
		}
		finish := start + p.Durations[i]
		last = max(last, finish)
		for _, j := range p.Successors[i] {
			if s.Starts[j] < finish {
				return fmt.Errorf("task %d starts at %d, before %d finishes at %d", j, s.Starts[j], i, finish)
			}
		}
	}
	if last != s.Makespan {
		return fmt.Errorf("makespan is %d, not %d", last, s.Makespan)
	}
	if s.LowerBound > s.Makespan {
		return fmt.Errorf("makespan %d is below the lower bound %d", s.Makespan, s.LowerBound)
	}
	for i, w := range s.People {
		if able := p.able(i); len(able) == 0 && w != -1 || len(able) > 0 && !slices.Contains(able, w) {
			return fmt.Errorf("task %d is done by %d", i, w)
		}
		for j, v := range s.People[:i] {
			if w == v && w >= 0 && s.Starts[i] < s.Starts[j]+p.Durations[j] && s.Starts[j] < s.Starts[i]+p.Durations[i] {
				return fmt.Errorf("person %d does tasks %d and %d at once", w, j, i)
			}
		}
	}
	for r, capacity := range p.Capacities {
		held := make([]int, last)
		for i, start := range s.Starts {
			for t := start; t < start+p.Durations[i]; t++ {
				if held[t] += p.Demands[i][r]; held[t] > capacity {
					return fmt.Errorf("resource %d: %d of %d in period %d", r, held[t], capacity, t)
				}
			}
		}
	}
	return nil
}
