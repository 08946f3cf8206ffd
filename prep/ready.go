package prep

import (
	"context"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep/schedule"
)

// readyP80 returns, for each van, the first day by which it is ready in four
// futures of five when people keep to an order of work and vans that come in
// later go before those that are worth less; the unknown day where it is ready in fewer.
// A promised van may be told the day by which the plan wants it, if that is later: other
// work can go before it until then.
func (o *outlook) readyP80(ctx context.Context, order []int) ([]data.Date, error) {
	later := o.newcomers(order)
	finish := make([][]int, len(o.futures)) // by future and van
	tasks := make([]func() error, len(o.futures))
	for k := range o.futures {
		tasks[k] = func() error {
			future, key := later.draw(k)
			ahead, err := schedule.NewAhead(future, schedule.WeightedCompletion)
			if err != nil {
				return err
			}
			_, at := ahead.Run(ahead.By(key))
			for _, r := range o.ready {
				finish[k] = append(finish[k], at[r].Finish)
			}
			return nil
		}
	}
	if err := parallel.Do(ctx, 0, tasks...); err != nil {
		return nil, err
	}
	late := make([]data.Date, len(o.work))
	for w := range late {
		var by []int
		for k := range finish {
			by = append(by, finish[k][w])
		}
		minute, ok := fourOfFive(by)
		if !ok {
			continue
		}
		late[w] = dayOf(minute, o.asOf)
		if due := o.problem.Tasks[o.ready[w]].Due; due > 0 {
			late[w] = max(late[w], dayOf(due, o.asOf))
		}
	}
	return late, nil
}

// fourOfFive returns the first minute by which something has happened in four futures
// of five, of its minute in each; below 0 it did not happen. There is none where it
// happened in fewer.
func fourOfFive(minutes []int) (int, bool) {
	n := (4*len(minutes) + 4) / 5
	happened := slices.DeleteFunc(slices.Clone(minutes), func(m int) bool { return m < 0 })
	if len(happened) < n || n == 0 {
		return 0, false
	}
	slices.Sort(happened)
	return happened[n-1], true
}

// alone is about when a van would be ready if nobody had anything else to do: its
// longest wait for parts, and then its work in days of eight hours.
func (p *planModel) alone(w int) int {
	wait, work := 0, 0
	for i := p.ready[w] - 1; i >= 0 && p.tasks[i].van == w; i-- {
		wait = max(wait, p.problem.Tasks[i].Release)
		work += p.problem.Tasks[i].Duration
	}
	return wait + work*minutesPerDay/(8*60)
}
