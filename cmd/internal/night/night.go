// Package night joins the packages of the pipeline: from a yard that was read
// to everything the reports show.
//
// In go a yard, the policy and a day; out comes a Result, one value that all
// reports and pages are written from. Vans are worked on in parallel, each in
// its own slot, so that the number of workers never changes a byte.
package night

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
	Outcomes []pricing.PriceCheck    // vans sold beside what would have been said of them, by stock_id
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

// Along is what a run on a whole yard goes by, and whom it tells on its way.
type Along struct {
	Workers  int
	Previous []prep.Block // by which people already work: that of the reports to be replaced
	Step     func()       // told as each van is done; may be nil

	// Pass is shown all vans, a stretch of them at a time, when their findings and
	// jobs are known; prices, plan and bids are not. Stretches are numbered 0, 1,
	// 2, … in the order of the vans. They come in any order and from several
	// goroutines, and their vans are not to be changed. It may be nil.
	Pass func(stretch int, vans []Van) error
	// Forget says that what is long of a sold van, its findings and closed jobs, is
	// needed by nobody after Pass: a large yard has a million of them.
	Forget bool
}

// Work does the whole job for a yard that has no schedule yet.
func Work(ctx context.Context, yard *data.Yard, policy data.Policy, asOf data.Date, workers int) (*Result, error) {
	return Continue(ctx, yard, policy, asOf, Along{Workers: workers})
}

// Continue does the whole job for a yard. Sold vans, which wait for nothing and
// nothing waits for, are worked on beside the prices and the plan of the others.
func Continue(ctx context.Context, yard *data.Yard, policy data.Policy, asOf data.Date, by Along) (*Result, error) {
	r := newResult(yard, policy, asOf, func(*data.Van) bool { return true })
	unsold := r.unsold()
	ofUnsold := func(do func(*Van)) error {
		return each(ctx, by.Workers, len(unsold), func(i int) { do(unsold[i]) })
	}
	if err := ofUnsold(func(v *Van) { v.Assessment = r.appraise(v.Van) }); err != nil {
		return nil, err
	}
	if err := r.learn(ctx, by.Workers); err != nil {
		return nil, err
	}
	if err := ofUnsold(func(v *Van) { v.findWork(r) }); err != nil {
		return nil, err
	}
	var work []prep.VanJobs
	sold := r.passSold(by)
	tasks := []func() error{
		func() (err error) {
			r.studySales()
			err = ofUnsold(func(v *Van) {
				v.price(r)
				by.step()
			})
			if err != nil {
				return err
			}
			work = r.work()
			r.Plan, err = prep.PlanWorkshop(ctx, work, r.Workshop, r.Yard.Books, policy, asOf, by.Previous)
			sold.work(ctx)
			return err
		},
		func() error {
			r.lookBack()
			sold.work(ctx)
			return nil
		},
	}
	for range by.Workers - 1 { // the plan is waited for longest, and most of it is one search
		tasks = append(tasks, func() error { sold.work(ctx); return nil })
	}
	if err := cmp.Or(together(by.Workers, tasks...), sold.err(ctx)); err != nil {
		return nil, err
	}
	r.Yard = withoutReadings(yard)
	r.AddUp()
	backlog := prep.NewBacklog(work)
	if err := ofUnsold(func(v *Van) { v.conclude(r, backlog) }); err != nil {
		return nil, err
	}
	return r, ctx.Err()
}

func (by Along) step() {
	if by.Step != nil {
		by.Step()
	}
}

// stretch is how many vans are handed on at once: their findings are some
// hundred kilobytes of text.
const stretch = 16

// Stretches are the vans in the stretches in which they are handed on.
func (r *Result) Stretches() [][]Van { return slices.Collect(slices.Chunk(r.Vans, stretch)) }

// passSold is the work on the sold vans, which passes them on with those around
// them.
func (r *Result) passSold(by Along) *turns {
	stretches := r.Stretches()
	return newTurns(len(stretches), func(n int) error {
		vans := stretches[n]
		for i := range vans {
			v := &vans[i]
			if v.Status != data.Sold {
				continue
			}
			v.workOnSold(r)
			by.step()
		}
		if by.Pass != nil {
			if err := by.Pass(n, vans); err != nil {
				return err
			}
		}
		if by.Forget {
			for i := range vans {
				vans[i].forget()
			}
		}
		return nil
	})
}

// workOnSold appraises a sold van and lists the jobs that its progress names.
func (v *Van) workOnSold(r *Result) {
	yard, id := r.Yard, v.StockID
	v.Assessment = appraise.Assess(v.Van, yard.Readings[id], yard.Documents[id], yard.Books, r.Policy, r.AsOf)
	v.Jobs = prep.Jobs(v.Assessment, yard.Progress[id], yard.Books, r.Policy, r.Learnt)
	v.price(r)
}

// forget lets go of what is long of a sold van. An open job stays: it may stand
// in the schedule that people work by.
func (v *Van) forget() {
	if v.Status != data.Sold {
		return
	}
	a := &v.Assessment
	a.Findings, a.Untested, a.Damp, a.Requests = nil, nil, nil, nil
	var open []prep.Job
	for _, j := range v.Jobs {
		if j.Open() {
			open = append(open, j)
		}
	}
	v.Jobs = open
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

// unsold lists the vans that are not sold.
func (r *Result) unsold() []*Van {
	var unsold []*Van
	for i := range r.Vans {
		if v := &r.Vans[i]; v.Status != data.Sold {
			unsold = append(unsold, v)
		}
	}
	return unsold
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
		a := appraise.Assessment{Van: v} // of a sold van: its condition asks for nothing
		known, ok := r.Find(v.StockID)
		switch {
		case v.Status == data.Sold:
		case ok:
			a = known.Assessment
		default:
			a = r.appraise(v)
		}
		finished[i] = record.Finished(a, progress)
		if ok {
			known.finished = finished[i]
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

// assess works out jobs, cost, price and margin of one van that was appraised.
func (v *Van) assess(r *Result) {
	v.findWork(r)
	v.price(r)
}

// price works out cost, price and margin of one van whose jobs are known. What a
// sold van's work might still cost is of no use to anybody.
func (v *Van) price(r *Result) {
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
func (r *Result) work() []prep.VanJobs {
	var work []prep.VanJobs
	for i := range r.Vans {
		v := &r.Vans[i]
		if !v.Status.InHand() {
			continue
		}
		open := slices.ContainsFunc(v.Jobs, prep.Job.Open)
		if v.Status == data.Ready && !open {
			continue
		}
		work = append(work, prep.VanJobs{Van: v.Van, Jobs: v.Jobs, ValuePerDay: pricing.DayValue(*v.Margin, r.Policy)})
	}
	return work
}
