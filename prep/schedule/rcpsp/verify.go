package rcpsp

import "fmt"

// Verify checks a schedule from first principles, period by period, sharing
// no code with the search. It returns nil, or what is wrong first.
func Verify(p Project, s Schedule) error {
	if len(s.Starts) != len(p.Durations) {
		return fmt.Errorf("%d starts for %d activities", len(s.Starts), len(p.Durations))
	}
	last := 0
	for i, start := range s.Starts {
		if start < 0 {
			return fmt.Errorf("activity %d starts at %d", i, start)
		}
		finish := start + p.Durations[i]
		last = max(last, finish)
		for _, j := range p.Successors[i] {
			if s.Starts[j] < finish {
				return fmt.Errorf("activity %d starts at %d, before %d finishes at %d", j, s.Starts[j], i, finish)
			}
		}
	}
	if last != s.Makespan {
		return fmt.Errorf("makespan is %d, not %d", last, s.Makespan)
	}
	if s.LowerBound > s.Makespan {
		return fmt.Errorf("makespan %d is below the lower bound %d", s.Makespan, s.LowerBound)
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
