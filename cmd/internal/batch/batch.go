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
	"sort"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// Result is everything a run found out.
type Result struct {
	AsOf     data.Date
	Policy   data.Policy
	Yard     *data.Yard // of Continue and Work without its readings
	Vans     []Van      // by stock_id
	Market   *pricing.Market
	Workshop prep.Workshop
	Learnt   prep.Calibration // from jobs that are done
	Plan     prep.Plan
	Outcomes []pricing.Outcome       // vans sold beside what would have been said of them, by stock_id
	Months   []pricing.MonthRealised // the same by month
	totals   []pricing.Total
}

// Van is what a run found out about one van. Which of Quote, Bid and Margin
// are set follows from its status.
type Van struct {
	data.Van
	Assessment appraise.Assessment
	Jobs       []prep.Job
	finished   []prep.Finished
	Prep       prep.Cost
	ReadyOn    data.Date // from the workshop's plan; unknown for a van not in it
	Quote      *pricing.Quote
	Bid        *pricing.Bid
	Margin     *pricing.MarginRow
}

// Find returns the van of a stock_id.
func (r *Result) Find(stockID string) (*Van, bool) {
	i := sort.Search(len(r.Vans), func(i int) bool { return r.Vans[i].StockID >= stockID })
	if i == len(r.Vans) || r.Vans[i].StockID != stockID {
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
	r := newResult(yard, policy, asOf, func(*data.Van) bool { return true })
	err := together(workers,
		func() error { r.studySales(); return nil },
		func() error {
			return each(ctx, workers, len(r.Vans), func(i int) { r.Vans[i].Assessment = r.appraise(r.Vans[i].Van) })
		},
	)
	if err != nil {
		return nil, err
	}
	if err := r.learn(ctx, workers); err != nil {
		return nil, err
	}
	r.Yard = withoutReadings(yard)
	sold, unsold := r.sold()
	if err := r.assess(ctx, workers, unsold, step); err != nil {
		return nil, err
	}
	work := r.work()
	err = together(workers,
		func() (err error) {
			r.Plan, err = prep.PlanWorkshop(ctx, work, r.Workshop, r.Yard.Books, policy, asOf, previous)
			return err
		},
		func() error { // what the plan need not wait for
			if err := r.assess(ctx, workers, sold, step); err != nil {
				return err
			}
			r.lookBack()
			return nil
		},
	)
	if err != nil {
		return nil, err
	}
	backlog := prep.NewBacklog(work)
	err = each(ctx, workers, len(r.Vans), func(i int) { r.Vans[i].conclude(r, backlog) })
	if err != nil {
		return nil, err
	}
	return r, ctx.Err()
}

// newResult gathers the vans that keep accepts, by stock_id.
func newResult(yard *data.Yard, policy data.Policy, asOf data.Date, keep func(*data.Van) bool) *Result {
	var kept []*data.Van
	for i := range yard.Vans {
		if v := &yard.Vans[i]; keep(v) {
			kept = append(kept, v)
		}
	}
	slices.SortFunc(kept, func(a, b *data.Van) int { return cmp.Compare(a.StockID, b.StockID) })
	r := &Result{
		AsOf: asOf, Policy: policy, Yard: yard,
		Vans:     make([]Van, len(kept)),
		Workshop: prep.NewWorkshop(yard, policy.Region),
	}
	for i, v := range kept {
		r.Vans[i].Van = *v
	}
	return r
}

// sold lists which vans are sold and which are not.
func (r *Result) sold() (sold, unsold []int) {
	for i := range r.Vans {
		if r.Vans[i].Status == data.Sold {
			sold = append(sold, i)
		} else {
			unsold = append(unsold, i)
		}
	}
	return sold, unsold
}

// withoutReadings is the yard that goes with the findings, which say all that
// the readings say: a million readings that nobody else holds can be forgotten.
func withoutReadings(yard *data.Yard) *data.Yard {
	rest := *yard
	rest.Readings = nil
	return &rest
}

// studySales learns prices and times to sell.
func (r *Result) studySales() { r.Market = pricing.NewMarket(r.Yard.Sales, r.AsOf, r.Policy) }

// learn finds out, from the work that is done on all vans of the yard, what to
// expect of the work to come.
func (r *Result) learn(ctx context.Context, workers int) error {
	yard := r.Yard
	record := prep.NewRecord(yard.Books)
	finished := make([][]prep.Finished, len(yard.Vans))
	err := each(ctx, workers, len(yard.Vans), func(i int) {
		v := yard.Vans[i]
		progress := yard.Progress[v.StockID]
		if !slices.ContainsFunc(progress, func(p data.Progress) bool { return p.State == data.JobDone }) {
			return
		}
		known, ok := r.Find(v.StockID)
		switch {
		case ok:
			known.finished = record.Finished(known.Assessment, progress)
			finished[i] = known.finished
		case v.Status == data.Sold: // its condition asks for nothing
			finished[i] = record.Finished(appraise.Assessment{Van: v}, progress)
		default:
			finished[i] = record.Finished(r.appraise(v), progress)
		}
	})
	r.Learnt = prep.Calibrate(slices.Concat(finished...))
	return err
}

// appraise works out one van's condition.
func (r *Result) appraise(v data.Van) appraise.Assessment {
	return appraise.Assess(v, r.Yard.Readings[v.StockID], r.Yard.Documents[v.StockID], r.Yard.Books, r.Policy, r.AsOf)
}

// findWork works out the jobs of one van that was appraised.
func (v *Van) findWork(r *Result) {
	v.Jobs = prep.Jobs(v.Assessment, r.Yard.Progress[v.StockID], r.Yard.Books, r.Policy, r.Learnt)
}

// assess works out jobs, cost, price and margin of some vans.
func (r *Result) assess(ctx context.Context, workers int, vans []int, step func()) error {
	return each(ctx, workers, len(vans), func(i int) {
		r.Vans[vans[i]].assess(r)
		if step != nil {
			step()
		}
	})
}

// assess works out jobs, cost, price and margin of one van that was appraised.
// What a sold van's work might still cost is of no use to anybody.
func (v *Van) assess(r *Result) {
	v.findWork(r)
	var quote pricing.Quote
	if v.Status != data.Sold {
		v.Prep = prep.CostOf(v.Jobs, v.Assessment.Untested, v.Body, r.Yard.Books, r.Policy)
		quote = r.Market.Quote(v.Van)
		v.Quote = new(quote)
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
