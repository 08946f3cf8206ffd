package schedule

import (
	"context"
	"fmt"
	"slices"
)

// Options steer Solve.
type Options struct {
	Objective Objective
	Schedules int    // how many to generate at most; 0: DefaultSchedules
	Seed      uint64 // of the search's random choices
	Bound     int    // a value that the caller knows no plan to go below; 0: none, Solve finds one

	// Told adds what changes cost to what the search looks for, the least value; the
	// plan's own Value does not count it.
	Told   []Told
	Starts []Start // to begin with, besides the engine's own
}

// Start is an order of all tasks and, for some of them, who does it. Workers may
// be nil.
type Start struct{ Order, Workers []int }

// DefaultSchedules is the count that Solve takes for a problem where none is
// given: as many as a second or two of one core allow, and at the least those of
// the first rules. What a schedule costs grows with the tasks and with the
// people who might do each.
func DefaultSchedules(p Problem) int {
	const places = 4_000_000 // looked at by all schedules together
	people := map[int]int{}  // by skill
	for _, w := range p.Workers {
		for _, skill := range w.Skills {
			people[skill]++
		}
	}
	each := 0 // places that one schedule looks at
	for _, a := range p.Tasks {
		each += max(people[a.Skill], 1)
	}
	return min(max(places/max(each, 1), rulesTried), 20_000)
}

// Solve searches for the best plan. It ends after Options.Schedules schedules,
// when the lower bound is met, or when ctx is done: then with the best plan so
// far and no error. The error is that of Problem.Check.
//
// A problem without calendars that is to end soonest is searched by the package
// project, everything else by annealing on orders of tasks; both count each
// complete schedule that they work out.
func Solve(ctx context.Context, p Problem, o Options) (Plan, error) {
	if err := p.Check(); err != nil {
		return Plan{}, fmt.Errorf("schedule: %w", err)
	}
	limit := o.Schedules
	if limit <= 0 {
		limit = DefaultSchedules(p)
	}
	m := compile(p)
	if c, ok := m.constant(o.Objective); ok {
		o.Schedules = limit
		return c.solve(ctx, o, m.bound(Makespan))
	}
	bound, keys := o.Bound, m.rules()
	switch {
	case bound > 0:
	case o.Objective == WeightedCompletion:
		var key []int
		bound, key = m.weightedBound(m.earliest())
		keys = append([][]int{key}, keys...)
	default:
		bound = m.bound(o.Objective)
	}
	s := newSearch(newDecoder(m, o.Objective), limit, o.Seed, bound)
	s.told = o.Told
	for _, start := range o.Starts {
		if err := s.startAt(start); err != nil {
			return Plan{}, fmt.Errorf("schedule: %w", err)
		}
	}
	for _, key := range keys {
		s.startFrom(m.topological(key), nil)
	}
	s.run(ctx)
	s.decode(s.best.order, s.best.force)
	return s.plan(s.lower, s.made), nil
}

// startAt adds an order to begin with.
func (s *search) startAt(start Start) error {
	key, err := s.rank(start.Order)
	if err == nil {
		err = s.checkForce(start.Workers)
	}
	if err != nil {
		return err
	}
	s.startFrom(s.topological(key), start.Workers)
	return nil
}

// Arrange plans the tasks in the order given, each where it can finish
// first without moving those before it. Pinned work still comes first, and
// work waits for what it depends on. Tasks that the order leaves out
// follow by number. workers may be nil or name, for each task, the only
// worker who may do it, or None; the worker must have the skill. The plan's
// LowerBound is 0: only Solve finds one.
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
	return d.plan(0, 1), nil
}

// rank returns each task's place in the order.
func (m *model) rank(order []int) ([]int, error) {
	key := make([]int, len(m.Tasks))
	for i := range key {
		key[i] = len(order)
	}
	for rank, i := range order {
		if i < 0 || i >= len(key) {
			return nil, fmt.Errorf("order: task %d of %d", i, len(key))
		}
		if key[i] != len(order) {
			return nil, fmt.Errorf("order: task %d comes twice", i)
		}
		key[i] = rank
	}
	return key, nil
}

func (m *model) checkForce(workers []int) error {
	if workers == nil {
		return nil
	}
	if len(workers) != len(m.Tasks) {
		return fmt.Errorf("workers: %d for %d tasks", len(workers), len(m.Tasks))
	}
	for i, w := range workers {
		if w != None && len(m.able[i]) > 0 && !slices.Contains(m.able[i], w) {
			return fmt.Errorf("workers: worker %d may not do task %s", w, label(m.Tasks[i].Name, i))
		}
	}
	return nil
}

// plan reads the decoder's last schedule out.
func (d *decoder) plan(lower, schedules int) Plan {
	p := Plan{
		Assignments: slices.Clone(d.place),
		Objective:   d.objective,
		Value:       d.value,
		LowerBound:  lower,
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
	for _, l := range d.Tasks[i].After {
		if !d.place[l.Pred].Placed() {
			return "waits for task " + label(d.Tasks[l.Pred].Name, l.Pred)
		}
	}
	return "no free working hours or places are left for it"
}
