package schedule

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// ErrCycle is wrapped by the error for tasks that wait for one another.
var ErrCycle = errors.New("tasks wait for one another")

// Check reports the first thing that makes no sense in a problem: a number
// out of range, a negative amount, unsorted hours, or a cycle. Work that
// no worker can do is no error; Solve lists it as unplaced.
func (p Problem) Check() error {
	for i, w := range p.Workers {
		if err := w.Hours.check(); err != nil {
			return fmt.Errorf("worker %s: %w", label(w.Name, i), err)
		}
	}
	for i, r := range p.Resources {
		if r.Capacity < 0 {
			return fmt.Errorf("resource %s: capacity %d is negative", label(r.Name, i), r.Capacity)
		}
		for _, c := range r.Closed {
			if c.From < 0 || c.From >= c.To || c.Amount < 0 {
				return fmt.Errorf("resource %s: closure of %d during [%d, %d)", label(r.Name, i), c.Amount, c.From, c.To)
			}
		}
	}
	for a, row := range p.Travel {
		if len(row) != len(p.Travel) {
			return fmt.Errorf("travel from site %d: to %d sites of %d", a, len(row), len(p.Travel))
		}
		for b, minutes := range row {
			if minutes < 0 || a == b && minutes != 0 {
				return fmt.Errorf("travel from site %d to %d: %d minutes", a, b, minutes)
			}
		}
	}
	for i, a := range p.Tasks {
		if err := p.checkTask(a); err != nil {
			return fmt.Errorf("task %s: %w", label(a.Name, i), err)
		}
	}
	return p.checkCycle()
}

func (p Problem) checkTask(a Task) error {
	switch {
	case a.Duration < 0:
		return fmt.Errorf("duration %d is negative", a.Duration)
	case a.Release < 0:
		return fmt.Errorf("release %d is before the origin", a.Release)
	case a.Weight < 0 || a.LateWeight < 0:
		return fmt.Errorf("weights %d and %d: negative", a.Weight, a.LateWeight)
	case a.Group < None:
		return fmt.Errorf("group %d", a.Group)
	case a.Skill < None:
		return fmt.Errorf("skill %d", a.Skill)
	case a.Pinned && (a.Worker < None || a.Worker >= len(p.Workers)):
		return fmt.Errorf("worker %d: there are %d", a.Worker, len(p.Workers))
	case p.Travel != nil && (min(a.Site, a.Leaves) < 0 || max(a.Site, a.Leaves) >= len(p.Travel)):
		return fmt.Errorf("sites %d and %d: there are %d", a.Site, a.Leaves, len(p.Travel))
	}
	seen := make(map[int]bool)
	for _, u := range a.Uses {
		switch {
		case u.Resource < 0 || u.Resource >= len(p.Resources):
			return fmt.Errorf("resource %d: there are %d", u.Resource, len(p.Resources))
		case u.Amount <= 0:
			return fmt.Errorf("amount %d of resource %d", u.Amount, u.Resource)
		case seen[u.Resource]:
			return fmt.Errorf("resource %d is asked for twice", u.Resource)
		}
		seen[u.Resource] = true
	}
	for _, l := range a.After {
		if l.Pred < 0 || l.Pred >= len(p.Tasks) {
			return fmt.Errorf("predecessor %d: there are %d tasks", l.Pred, len(p.Tasks))
		}
		if l.Lag < 0 {
			return fmt.Errorf("lag %d after task %d", l.Lag, l.Pred)
		}
	}
	return nil
}

// checkCycle walks the predecessors depth first and names the first cycle.
func (p Problem) checkCycle() error {
	const (
		unseen = iota
		onPath
		done
	)
	state := make([]int, len(p.Tasks))
	var path []int
	var walk func(i int) error
	walk = func(i int) error {
		state[i] = onPath
		path = append(path, i)
		for _, l := range p.Tasks[i].After {
			switch state[l.Pred] {
			case unseen:
				if err := walk(l.Pred); err != nil {
					return err
				}
			case onPath:
				return p.cycleError(path[slices.Index(path, l.Pred):])
			}
		}
		path = path[:len(path)-1]
		state[i] = done
		return nil
	}
	for i := range p.Tasks {
		if state[i] == unseen {
			if err := walk(i); err != nil {
				return err
			}
		}
	}
	return nil
}

func (p Problem) cycleError(cycle []int) error {
	names := make([]string, 0, len(cycle)+1)
	for _, i := range cycle {
		names = append(names, label(p.Tasks[i].Name, i))
	}
	return fmt.Errorf("%w: %s", ErrCycle, strings.Join(append(names, names[0]), " after "))
}

func label(name string, number int) string {
	if name == "" {
		return fmt.Sprint(number)
	}
	return fmt.Sprintf("%d (%s)", number, name)
}
