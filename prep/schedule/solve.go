package schedule

import (
	"cmp"
	"context"
	"fmt"
	"slices"
)

// Options steer Solve.
type Options struct {
	Objective Objective
	Schedules int    // how many to generate at most; 0: DefaultSchedules
	Seed      uint64 // of the search's random choices
}

// DefaultSchedules is the count that Solve takes where none is given: fewer,
// the larger the problem.
func DefaultSchedules(activities int) int {
	return min(max(2_000_000/max(activities, 1), 200), 20_000)
}

// Solve searches for the best plan. It ends after Options.Schedules schedules,
// when the lower bound is met, or when ctx is done: then with the best plan so
// far and no error. The error is that of Problem.Check.
func Solve(ctx context.Context, p Problem, o Options) (Plan, error) {
	if err := p.Check(); err != nil {
		return Plan{}, fmt.Errorf("schedule: %w", err)
	}
	m := compile(p)
	d := newDecoder(m, o.Objective)
	d.decode(m.topological(m.urgency()), nil)
	return d.plan(1), nil
}

// Arrange plans the activities in the order given, each where it can finish
// first without moving those before it. Pinned work still comes first, and
// work waits for what it depends on. Activities that the order leaves out
// follow by number. workers may be nil or name, for each activity, the only
// worker who may do it, or None; the worker must have the skill.
func Arrange(p Problem, objective Objective, order, workers []int) (Plan, error) {
	if err := p.Check(); err != nil {
		return Plan{}, fmt.Errorf("schedule: %w", err)
	}
	m := compile(p)
	key, err := m.rank(order)
	if err != nil {
		return Plan{}, fmt.Errorf("schedule: %w", err)
	}
	if err := m.checkForce(workers); err != nil {
		return Plan{}, fmt.Errorf("schedule: %w", err)
	}
	d := newDecoder(m, objective)
	d.decode(m.topological(key), workers)
	return d.plan(1), nil
}

// rank returns each activity's place in the order.
func (m *model) rank(order []int) ([]int, error) {
	key := make([]int, len(m.Activities))
	for i := range key {
		key[i] = len(order)
	}
	for rank, i := range order {
		if i < 0 || i >= len(key) {
			return nil, fmt.Errorf("order: activity %d of %d", i, len(key))
		}
		if key[i] != len(order) {
			return nil, fmt.Errorf("order: activity %d comes twice", i)
		}
		key[i] = rank
	}
	return key, nil
}

func (m *model) checkForce(workers []int) error {
	if workers == nil {
		return nil
	}
	if len(workers) != len(m.Activities) {
		return fmt.Errorf("workers: %d for %d activities", len(workers), len(m.Activities))
	}
	for i, w := range workers {
		if w != None && len(m.able[i]) > 0 && !slices.Contains(m.able[i], w) {
			return fmt.Errorf("workers: worker %d may not do activity %s", w, label(m.Activities[i].Name, i))
		}
	}
	return nil
}

// plan reads the decoder's last schedule out.
func (d *decoder) plan(schedules int) Plan {
	p := Plan{
		Assignments: slices.Clone(d.place),
		Objective:   d.objective,
		Value:       d.value,
		LowerBound:  d.bound(d.objective),
		Schedules:   schedules,
	}
	for i, a := range d.place {
		if !a.Placed() {
			p.Unplaced = append(p.Unplaced, Unplaced{i, d.reason(i)})
		}
	}
	return p
}

func (d *decoder) reason(i int) string {
	if d.reasons[i] != "" {
		return d.reasons[i]
	}
	for _, l := range d.Activities[i].After {
		if !d.place[l.Pred].Placed() {
			return "waits for activity " + label(d.Activities[l.Pred].Name, l.Pred)
		}
	}
	return "no free working hours or places are left for it"
}

// urgency ranks activities for a first schedule: those that lead to the most
// weight for the work still before it come first, and among those the longest
// chains.
func (m *model) urgency() []int {
	ratio := make([]float64, len(m.Activities))
	seen := make([]int, len(m.Activities))
	for v, a := range m.Activities {
		weight := a.Weight + a.LateWeight
		if weight == 0 {
			continue
		}
		stack, before := []int{v}, []int(nil)
		work := 1
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if seen[i] == v+1 {
				continue
			}
			seen[i] = v + 1
			before = append(before, i)
			work += m.Activities[i].Duration
			for _, l := range m.Activities[i].After {
				stack = append(stack, l.Pred)
			}
		}
		for _, i := range before {
			ratio[i] = max(ratio[i], float64(weight)/float64(work))
		}
	}
	order := make([]int, len(m.Activities))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(ratio[b], ratio[a]), cmp.Compare(m.tail[b], m.tail[a]))
	})
	key, _ := m.rank(order)
	return key
}
