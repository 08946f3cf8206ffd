package night

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// lookBack sets the vans that were sold beside what would have been said of their
// price and hours.
func (r *Result) lookBack() {
	done := make([]pricing.SoldVan, 0, len(r.Vans)) // nearly all are sold where that matters
	for i := range r.Vans {
		v := &r.Vans[i]
		if v.Status != data.Sold {
			continue
		}
		d := pricing.SoldVan{Van: v.Van}
		for _, j := range v.finished {
			d.HoursBook += j.Book
			d.HoursSpent += j.Spent
		}
		done = append(done, d)
	}
	r.Outcomes, r.Months = pricing.Realise(done, r.Yard.Sales, r.Policy)
	slices.SortFunc(r.Outcomes, func(a, b pricing.PriceCheck) int { return cmp.Compare(a.Van.StockID, b.Van.StockID) })
}

// Totals are the margins of the vans added up by body, site and source.
func (r *Result) Totals() []pricing.Total { return r.totals }

// AddUp works the totals out. A run does it once, because several reports show
// them; whoever changes vans afterwards does it again.
func (r *Result) AddUp() {
	var rows []*pricing.MarginRow
	for i := range r.Vans {
		if m := r.Vans[i].Margin; m != nil {
			rows = append(rows, m)
		}
	}
	r.totals = pricing.Totals(rows)
}
