package night

import (
	"cmp"
	"context"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
	"github.com/vanwright/vanwright/pricing/attention"
)

// eachVan calls do for every van, side by side.
func (r *Result) eachVan(ctx context.Context, workers int, do func(*Van)) error {
	return parallel.Each(ctx, workers, len(r.Vans), func(i int) error { do(&r.Vans[i]); return nil })
}

// appraiseVans works out the condition of every van.
func (r *Result) appraiseVans(ctx context.Context, workers int) error {
	return r.eachVan(ctx, workers, func(v *Van) { v.Assessment = r.appraise(v.Van) })
}

// appraise works out one van's condition.
func (r *Result) appraise(v data.Van) appraise.Assessment {
	return appraise.Assess(v, r.Yard.Readings[v.StockID], r.Yard.Documents[v.StockID], r.Yard.Progress[v.StockID], r.Yard.Books, r.Policy, r.AsOf)
}

// learnPrices learns prices and times to sell from past sales, the level of our
// own from the vans that we sold, and what warranty and selling cost from their costs.
func (r *Result) learnPrices(context.Context, int) error {
	ours := map[string]bool{}
	for i := range r.Yard.Vans {
		ours[r.Yard.Vans[i].StockID] = r.Yard.Vans[i].Status == data.Sold
	}
	r.costing, r.Record.Warranty = pricing.LearnWarranty(r.Yard.Vans, r.Yard.Costs, r.Policy, r.AsOf)
	r.costing, r.Record.Selling = pricing.LearnSelling(r.Yard.Vans, r.Yard.Costs, r.costing, r.AsOf)
	r.Market = pricing.NewMarket(r.Yard.Sales, r.AsOf, r.costing)
	r.Market.LearnLevel(func(saleID string) bool { return ours[saleID] })
	r.Record.Market = r.Market
	return nil
}

// learnCondition finds how many faults are usual on the vans in hand.
func (r *Result) learnCondition(context.Context, int) error {
	var seen []pricing.Condition
	for i := range r.Yard.Vans {
		if v := &r.Yard.Vans[i]; v.Status.InHand() {
			if known, ok := r.Find(v.StockID); ok {
				seen = append(seen, pricing.ConditionOf(known.Assessment))
			}
		}
	}
	r.Market.LearnCondition(seen)
	return nil
}

// learnSupply corrects the parts book by the yard's orders.
func (r *Result) learnSupply(context.Context, int) error {
	r.Record.Supply = prep.LearnSupply(r.Yard.Orders, prep.PartsSpent(r.Yard), r.Yard.Books)
	yard := *r.Yard
	yard.Books = r.Record.Supply.Books(yard.Books)
	r.Yard = &yard
	return nil
}

// learnDefects finds out how often points that were not tested hide a defect,
// from the vans in hand that are ready and those sold last, and corrects the
// chances of those that are untested now.
func (r *Result) learnDefects(ctx context.Context, workers int) error {
	yard := r.Yard
	since := data.LatestSold(yard.Vans, prep.RecordVans)
	hidden := make([][]prep.HiddenJob, len(yard.Vans))
	err := parallel.Each(ctx, workers, len(yard.Vans), func(i int) error {
		v := yard.Vans[i]
		if v.Status != data.Sold || v.SoldOn >= since {
			hidden[i] = prep.HiddenJobs(v, yard.Readings[v.StockID], yard.Documents[v.StockID], yard.Progress[v.StockID], yard.Books, r.Policy)
		}
		return nil
	})
	r.Record.Defects = prep.LearnDefects(slices.Concat(hidden...))
	for i := range r.Vans {
		r.Vans[i].Assessment.Untested = r.Record.Defects.Adjust(r.Vans[i].Assessment.Untested)
	}
	return err
}

// learnHours finds out, from the jobs that are done on all vans of the yard, what
// to expect of the work to come. Vans that are not in the Result are appraised
// for it.
func (r *Result) learnHours(ctx context.Context, workers int) error {
	yard := r.Yard
	record := prep.NewRecord(yard.Books)
	finished := make([][]prep.Finished, len(yard.Vans))
	err := parallel.Each(ctx, workers, len(yard.Vans), func(i int) error {
		v := yard.Vans[i]
		progress := yard.Progress[v.StockID]
		if !slices.ContainsFunc(progress, func(p data.Progress) bool { return p.State == data.JobDone }) {
			return nil
		}
		known, ok := r.Find(v.StockID)
		var a appraise.Assessment
		switch {
		case v.Status == data.Sold:
			a.Van = v // its condition asks for nothing
		case ok:
			a = known.Assessment
		default:
			a = r.appraise(v)
		}
		finished[i] = record.Finished(a, progress)
		if ok {
			known.Finished = finished[i]
		}
		return nil
	})
	r.Learnt = prep.Calibrate(slices.Concat(finished...))
	r.Record.Hours = r.Learnt
	return err
}

// priceVans works out jobs, cost, price and margin of every van.
func (r *Result) priceVans(progress func()) task {
	return func(ctx context.Context, workers int) error {
		return r.eachVan(ctx, workers, func(v *Van) {
			v.listJobs(r)
			v.price(r)
			if progress != nil {
				progress()
			}
		})
	}
}

// listJobs works out the jobs of one van that was appraised.
func (v *Van) listJobs(r *Result) {
	v.Jobs = prep.Jobs(v.Assessment, r.Yard.Progress[v.StockID], r.Yard.Books, r.Policy, r.Learnt)
	if v.Status != data.Sold && v.Status != data.Offered {
		v.Jobs = r.Workshop.WithTransfer(v.Van, v.Jobs, r.Yard.Books, r.Policy, r.Learnt)
		v.Jobs = prep.WithDriveCaution(v.Jobs, v.Assessment.Stops())
	}
}

// price works out cost, price and margin of one van whose jobs are known. A sold
// van has no cost to come and no price to set.
func (v *Van) price(r *Result) {
	var quote pricing.Quote
	if v.Status != data.Sold {
		v.Prep = prep.CostOf(v.Jobs, v.Assessment.Untested, v.Body, r.Yard.Books, r.Policy)
		quote = r.Market.Quote(v.Van, pricing.ConditionOf(v.Assessment))
		v.Quote = new(quote)
	}
	if v.Status != data.Offered {
		v.Margin = new(pricing.Margin(v.Assessment, v.Jobs, r.Yard.Costs[v.StockID], quote, r.costingOf(v), r.AsOf))
	}
}

// costingOf is the policy that a van's margin is worked out by: what warranty is
// learnt to cost counts where it is still to come.
func (r *Result) costingOf(v *Van) data.Policy {
	if v.Status == data.Sold {
		return r.Policy
	}
	return r.costing
}

// planWorkshop plans the open jobs of the vans in hand. It keeps to the schedule
// that people work by where little is gained by leaving it.
func (r *Result) planWorkshop(previous []prep.Block) task {
	return func(ctx context.Context, _ int) (err error) {
		var acquired []data.Date
		for i := range r.Vans {
			acquired = append(acquired, r.Vans[i].Acquired)
		}
		shop := r.Workshop
		shop.Arrivals = prep.ArrivalRate(acquired, r.AsOf)
		for i := range r.Vans {
			if v := &r.Vans[i]; !v.inWorkshop() {
				shop.Fitted = append(shop.Fitted, prep.FittedParts(v.Jobs)...)
			}
		}
		r.Plan, err = prep.PlanWorkshop(ctx, r.workshopVans(), shop, r.Yard.Books, r.Policy, r.AsOf, previous)
		return err
	}
}

// inWorkshop reports whether a van is in hand and has open jobs, is being prepared or
// is stopped as unsafe.
func (v *Van) inWorkshop() bool {
	return v.Status.InHand() && (v.Status != data.Ready || len(v.Assessment.Stops()) > 0 || slices.ContainsFunc(v.Jobs, prep.Job.Open))
}

// workshopVans lists the vans of the workshop.
func (r *Result) workshopVans() []prep.VanJobs {
	var vans []prep.VanJobs
	for i := range r.Vans {
		if v := &r.Vans[i]; v.inWorkshop() {
			vans = append(vans, prep.VanJobs{Van: v.Van, Jobs: v.Jobs, ValuePerDay: pricing.DayValue(*v.Margin, r.Policy), Untested: v.Assessment.Untested, Stops: v.Assessment.Stops()})
		}
	}
	return vans
}

// lookBack sets the vans that were sold beside what would have been advised of
// their price and hours, and how soon they were to go.
func (r *Result) lookBack(context.Context, int) error {
	sold := make([]pricing.SoldVan, 0, len(r.Vans))
	listed := make([]data.Van, 0, len(r.Vans))
	for i := range r.Vans {
		v := &r.Vans[i]
		if !v.Listed.IsZero() {
			listed = append(listed, v.Van)
		}
		if v.Status != data.Sold {
			continue
		}
		s := pricing.SoldVan{Van: v.Van}
		for _, j := range v.Finished {
			s.HoursBook += j.Book
			s.HoursSpent += j.Spent
		}
		sold = append(sold, s)
	}
	r.Outcomes, r.Months, r.Record.Soon = pricing.CheckPrices(sold, listed, r.Yard.Sales, r.Policy, r.AsOf)
	slices.SortFunc(r.Outcomes, func(a, b pricing.PriceCheck) int { return cmp.Compare(a.Van.StockID, b.Van.StockID) })
	return nil
}

// bid adds what follows from the workshop's plan: the day each van is ready, the
// day its price plan starts, and the bids.
func (r *Result) bid(ctx context.Context, workers int) error {
	backlog := prep.NewBacklog(r.workshopVans())
	return r.eachVan(ctx, workers, func(v *Van) { v.bid(r, backlog) })
}

func (v *Van) bid(r *Result, backlog prep.Backlog) {
	v.ReadyOn = r.Plan.Ready[v.StockID]
	switch {
	case v.Status == data.Offered:
		days := backlog.Days(v.Jobs, r.Workshop, r.Yard.Books)
		v.Quote = new(v.Quote.Starting(r.AsOf.AddDays(days), r.AsOf))
		v.Bid = new(r.Market.Bid(*v.Quote, v.Prep, days))
	case v.Quote != nil && v.Status != data.Ready:
		v.Quote = new(v.Quote.Starting(v.ReadyOn, r.AsOf))
	}
}

// listToDo ranks what somebody should do today.
func (r *Result) listToDo(context.Context, int) error {
	vans := make([]attention.Van, 0, len(r.Vans))
	for i := range r.Vans {
		v := &r.Vans[i]
		vans = append(vans, attention.Van{
			Van: v.Van, Assessment: &v.Assessment, Jobs: v.Jobs, Quote: v.Quote, Bid: v.Bid, Margin: v.Margin,
			Progress: slices.Concat(r.Yard.ProgressHistory[v.StockID], r.Yard.Progress[v.StockID]),
		})
	}
	r.ToDo = attention.List(vans, r.Plan, r.Yard.Rejects, r.Policy, r.AsOf)
	return nil
}

func (r *Result) addUp(context.Context, int) error {
	r.AddUp()
	return nil
}
