// Package night joins the packages of the pipeline: from a yard that was read
// to everything the reports show.
//
// In go a yard, the policy and a day; out comes a Result, one value that all
// reports and pages are written from. Vans are worked on in parallel, each in
// its own slot, so that the number of workers never changes a byte.
//
//	result, err := night.Run(ctx, yard, policy, asOf, night.RunOptions{})
package night

import (
	"context"
	"fmt"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep"
)

// RunOptions are what a run needs besides the yard. The zero value is a run on a
// yard that has no schedule yet, on all processors.
type RunOptions struct {
	Workers  int          // vans worked on at once; 0 or less: one for each processor
	Previous []prep.Block // the schedule that people work by, of the reports to be replaced
	Progress func()       // called as each van is priced, from several goroutines; may be nil
}

// Run does the whole job for a yard: the steps below, one after another, and
// within a step all vans, or all of its tasks, side by side. An error is that of
// ctx, or says which step failed.
func Run(ctx context.Context, yard *data.Yard, policy data.Policy, asOf data.Date, o RunOptions) (*Result, error) {
	r := newResult(yard, policy, asOf, func(*data.Van) bool { return true })
	if err := take(ctx, o.Workers, r.learning()); err != nil {
		return nil, err
	}
	r.Yard = withoutReadings(r.Yard)
	steps := []step{
		{"list the jobs and price the vans", []task{r.priceVans(o.Progress)}},
		{"plan the workshop and look back on sales", []task{r.planWorkshop(o.Previous), r.lookBack}},
		{"bid, and price from the day a van is ready", []task{r.bid}},
		{"add up, list what there is to do and what to buy", []task{r.addUp, r.listToDo, r.whatToBuy}},
	}
	if err := take(ctx, o.Workers, steps); err != nil {
		return nil, err
	}
	return r, nil
}

// learning are the steps before any van is priced, of a run as of a single bid:
// what the yard's own record teaches counts in both.
func (r *Result) learning() []step {
	return []step{
		{"learn what parts cost and when they come", []task{r.learnSupply}},
		{"appraise the vans and learn prices", []task{r.appraiseVans, r.learnPrices}},
		{"learn hours from finished jobs, and how many faults are usual", []task{r.learnHours, r.learnCondition}},
		{"learn how often defects hide", []task{r.learnDefects}},
	}
}

// step is a part of a run: tasks that need nothing of each other.
type step struct {
	name  string
	tasks []task
}

// task may itself work on several vans at once.
type task func(ctx context.Context, workers int) error

// take takes steps one after another, the tasks of each side by side.
func take(ctx context.Context, workers int, steps []step) error {
	for _, s := range steps {
		bound := make([]func() error, len(s.tasks))
		for i, do := range s.tasks {
			bound[i] = func() error { return do(ctx, workers) }
		}
		if err := parallel.Do(ctx, workers, bound...); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
	}
	return nil
}

// withoutReadings is the yard that goes with the findings, which say all that
// the readings say. A yard of 20,000 vans has a million readings.
func withoutReadings(yard *data.Yard) *data.Yard {
	rest := *yard
	rest.Readings = nil
	return &rest
}
