package schedule

import (
	"cmp"
	"fmt"
	"slices"
)

// Replay runs a plan again and again with other durations, as when the hours
// that work takes are drawn at random: the same people do the same work,
// offered in the order of the plan's starts. It keeps its memory between runs
// and must not be shared between goroutines.
type Replay struct {
	d     *decoder
	order []int
	force []int
}

// NewReplay prepares a plan of the problem. Verify says whether it is one.
func NewReplay(p Problem, plan Plan) (*Replay, error) {
	if err := p.Check(); err != nil {
		return nil, fmt.Errorf("schedule: %w", err)
	}
	if len(plan.Assignments) != len(p.Tasks) {
		return nil, fmt.Errorf("schedule: %d assignments for %d tasks", len(plan.Assignments), len(p.Tasks))
	}
	m := compile(p)
	r := &Replay{d: newDecoder(m, plan.Objective), order: m.topological(nil), force: make([]int, len(p.Tasks))}
	start := make([]int, len(p.Tasks))
	for i, a := range plan.Assignments {
		r.force[i], start[i] = a.Worker, a.Start
		if !a.Placed() {
			r.force[i], start[i] = None, m.horizon
		}
	}
	if err := m.checkForce(r.force); err != nil {
		return nil, fmt.Errorf("schedule: %w", err)
	}
	slices.SortStableFunc(r.order, func(a, b int) int { return cmp.Compare(start[a], start[b]) })
	return r, nil
}

// Run returns where each task falls with the given durations, in minutes
// of work, one for each task. A milestone stays one, whatever is given;
// other work takes at least a minute. The slice is overwritten by the next
// run.
func (r *Replay) Run(durations []int) ([]Assignment, error) {
	if len(durations) != len(r.d.durations) {
		return nil, fmt.Errorf("schedule: %d durations for %d tasks", len(durations), len(r.d.durations))
	}
	for i, v := range durations {
		if r.d.Tasks[i].Duration > 0 {
			r.d.durations[i] = max(v, 1)
		}
	}
	r.d.measure()
	r.d.decode(r.order, r.force)
	return r.d.place, nil
}
