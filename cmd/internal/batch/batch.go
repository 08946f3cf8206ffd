// Package batch joins the packages of the pipeline: from a yard that was read
// to everything the reports show.
//
// In go a yard, the policy and a day; out comes a Result, one value that all
// reports and pages are written from. Vans are worked on in parallel, each in
// its own slot, so that the number of workers never changes a byte.
package batch

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// Result is everything a run found out.
type Result struct {
	AsOf     data.Date
	Policy   data.Policy
	Yard     *data.Yard
	Vans     []Van // by stock_id
	Market   *pricing.Market
	Workshop prep.Workshop
	Learnt   prep.Calibration // from jobs that are done
	Plan     prep.Plan
	Outcomes []pricing.Outcome       // vans sold beside what would have been said of them, by stock_id
	Months   []pricing.MonthRealised // the same by month
}

// Van is what a run found out about one van. Which of Quote, Bid and Margin
// are set follows from its status.
type Van struct {
	data.Van
	Assessment appraise.Assessment
	Jobs       []prep.Job
	Prep       prep.Cost
	ReadyOn    data.Date // from the workshop's plan; unknown for a van not in it
	Quote      *pricing.Quote
	Bid        *pricing.Bid
	Margin     *pricing.MarginRow
}

// Find returns the van of a stock_id.
func (r *Result) Find(stockID string) (*Van, bool) {
	i, ok := slices.BinarySearchFunc(r.Vans, stockID, func(v Van, id string) int { return cmp.Compare(v.StockID, id) })
	if !ok {
		return nil, false
	}
	return &r.Vans[i], true
}

// Work does the whole job for a yard that has no schedule yet. step, if not nil,
// is told as each van is done.
func Work(ctx context.Context, yard *data.Yard, policy data.Policy, asOf data.Date, workers int, step func()) (*Result, error) {
	return Continue(ctx, yard, policy, asOf, workers, nil, step)
}

// Continue is Work where people already work by a schedule, that of the reports
// which this run replaces.
func Continue(ctx context.Context, yard *data.Yard, policy data.Policy, asOf data.Date, workers int, previous []prep.Block, step func()) (*Result, error) {
	r := newResult(yard, policy, asOf, func(data.Van) bool { return true })
	err := each(ctx, workers, len(r.Vans), func(i int) {
		r.Vans[i].Assessment = r.appraise(r.Vans[i].Van)
	})
	if err != nil {
		return nil, err
	}
	if err := r.learn(ctx, workers); err != nil {
		return nil, err
	}
	err = each(ctx, workers, len(r.Vans), func(i int) {
		r.Vans[i].assess(r)
		if step != nil {
			step()
		}
	})
	if err != nil {
		return nil, err
	}
	work := r.work()
	if r.Plan, err = prep.PlanWorkshop(ctx, work, r.Workshop, yard.Books, policy, asOf, previous); err != nil {
		return nil, err
	}
	backlog := prep.NewBacklog(work)
	err = each(ctx, workers, len(r.Vans), func(i int) { r.Vans[i].conclude(r, backlog) })
	if err != nil {
		return nil, err
	}
	r.lookBack()
	return r, ctx.Err()
}

// newResult gathers the vans that keep accepts, by stock_id, and learns from
// the sales.
func newResult(yard *data.Yard, policy data.Policy, asOf data.Date, keep func(data.Van) bool) *Result {
	r := &Result{
		AsOf: asOf, Policy: policy, Yard: yard,
		Workshop: prep.NewWorkshop(yard, policy.Region),
		Market:   pricing.NewMarket(yard.Sales, asOf, policy),
	}
	for _, v := range yard.Vans {
		if keep(v) {
			r.Vans = append(r.Vans, Van{Van: v})
		}
	}
	slices.SortFunc(r.Vans, func(a, b Van) int { return cmp.Compare(a.StockID, b.StockID) })
	return r
}

// learn finds out, from the work that is done on all vans of the yard, what to
// expect of the work to come.
func (r *Result) learn(ctx context.Context, workers int) error {
	yard := r.Yard
	finished := make([][]prep.Finished, len(yard.Vans))
	err := each(ctx, workers, len(yard.Vans), func(i int) {
		v := yard.Vans[i]
		progress := yard.Progress[v.StockID]
		if !slices.ContainsFunc(progress, func(p data.Progress) bool { return p.State == data.JobDone }) {
			return
		}
		var a appraise.Assessment
		if known, ok := r.Find(v.StockID); ok {
			a = known.Assessment
		} else {
			a = r.appraise(v)
		}
		finished[i] = prep.FinishedJobs(a, progress, yard.Books)
	})
	r.Learnt = prep.Calibrate(slices.Concat(finished...))
	return err
}

// appraise works out one van's condition. What a sold van was never tested for
// is dropped: it is hundreds of points a van, and nobody will test them now.
func (r *Result) appraise(v data.Van) appraise.Assessment {
	a := appraise.Assess(v, r.Yard.Readings[v.StockID], r.Yard.Documents[v.StockID], r.Yard.Books, r.Policy, r.AsOf)
	if v.Status == data.Sold {
		a.Untested = nil
	}
	return a
}

// findWork works out the jobs of one van that was appraised.
func (v *Van) findWork(r *Result) {
	v.Jobs = prep.Jobs(v.Assessment, r.Yard.Progress[v.StockID], r.Yard.Books, r.Policy, r.Learnt)
}

// assess works out jobs, cost, price and margin of one van that was appraised.
// What a sold van's work might still cost is of no use to anybody.
func (v *Van) assess(r *Result) {
	v.findWork(r)
	var quote pricing.Quote
	if v.Status != data.Sold {
		v.Prep = prep.CostOf(v.Jobs, v.Assessment.Untested, v.Body, r.Yard.Books, r.Policy)
		quote = r.Market.Quote(v.Van)
		v.Quote = &quote
	}
	if v.Status != data.Offered {
		row := pricing.Margin(v.Assessment, r.Yard.Documents[v.StockID], v.Jobs, quote, r.Policy, r.AsOf)
		v.Margin = &row
	}
}

// conclude adds what hangs on the workshop: the day a van is ready, the day its
// price plan starts, and the bid.
func (v *Van) conclude(r *Result, backlog prep.Backlog) {
	v.ReadyOn = r.Plan.Ready[v.StockID]
	if v.Status == data.Offered {
		days := backlog.Days(v.Jobs, r.Workshop, r.Yard.Books)
		quote := v.Quote.Starting(r.AsOf.AddDays(days), r.AsOf)
		v.Quote = &quote
		bid := r.Market.Bid(quote, v.Prep, days)
		v.Bid = &bid
	} else if v.Quote != nil && v.Status != data.Ready {
		quote := v.Quote.Starting(v.ReadyOn, r.AsOf)
		v.Quote = &quote
	}
}

// work lists the vans in hand with open jobs, or in preparation, for the plan.
func (r *Result) work() []prep.Work {
	var work []prep.Work
	for i := range r.Vans {
		v := &r.Vans[i]
		if !v.Status.InHand() {
			continue
		}
		open := slices.ContainsFunc(v.Jobs, prep.Job.Open)
		if v.Status == data.Ready && !open {
			continue
		}
		work = append(work, prep.Work{Van: v.Van, Jobs: v.Jobs, ValuePerDay: pricing.DayValue(*v.Margin, r.Policy)})
	}
	return work
}

// each calls do for 0 … n−1 on several goroutines, and stops early when ctx is
// done.
func each(ctx context.Context, workers, n int, do func(i int)) error {
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(max(workers, 1), max(n, 1)) {
		wg.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	defer wg.Wait()
	defer close(next)
	for i := range n {
		select {
		case next <- i:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}
