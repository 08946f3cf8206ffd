package night

import (
	"cmp"
	"slices"
	"sort"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
	"github.com/vanwright/vanwright/pricing/attention"
)

// Result is everything a run found out.
type Result struct {
	AsOf     data.Date
	Policy   data.Policy
	Yard     *data.Yard // of Run without its readings
	Vans     []Van      // by stock_id
	Market   *pricing.Market
	Workshop prep.Workshop
	Learnt   prep.Calibration // from jobs that are done
	Record   pricing.Record   // all that the yard's own record taught
	Plan     prep.Plan
	Outcomes []pricing.PriceCheck    // vans sold beside what would have been advised for them, by stock_id
	Months   []pricing.MonthRealised // the same by month
	Totals   []pricing.Total         // of the margins, by body, site and source
	ToDo     []attention.Thing       // what somebody should do today, by rank
	Buying   pricing.Buying          // what to buy, and what a pitch is worth
	costing  data.Policy             // Policy with what the record taught of its costs
}

// Van is what a run found out about one van. Which of Quote, Bid and Margin
// are set follows from its status.
type Van struct {
	data.Van
	Assessment appraise.Assessment
	Jobs       []prep.Job
	Finished   []prep.Finished // jobs that are done, with hours on record
	Prep       prep.Cost
	ReadyOn    data.Date // from the workshop's plan; unknown for a van not in it
	Quote      *pricing.Quote
	Bid        *pricing.Bid
	Margin     *pricing.MarginRow
	Photos     []Photo // that came in slips, in their order, once they are drawn
}

// Photo is a photo of a van with where the reports show it.
type Photo struct {
	data.Photo
	Shown string // the small copy, below the reports folder
}

// Serious lists what stops a purchase or a sale until somebody has answered it:
// what its condition and papers say, then amounts that are likely slips.
func (v *Van) Serious() []string {
	var out []string
	for _, n := range v.Assessment.Serious() {
		out = append(out, n.Text)
	}
	var quote pricing.Quote
	if v.Quote != nil {
		quote = *v.Quote
	}
	for _, d := range pricing.Doubts(v.Van, quote) {
		out = append(out, data.Capital(d.Says))
	}
	return out
}

// nextLooks is how many points a bid names to look at next.
const nextLooks = 10

// LookNext returns the untested points of a van with a bid that are worth most for
// each minute of looking: by what the bid is to be expected to move.
func (r *Result) LookNext(v *Van) []prep.Look {
	looks := prep.LookNext(v.Prep, v.Jobs, v.Assessment.Untested, v.Body, r.Yard.Books, r.Policy, r.Market.PerPoundOfPrep(*v.Bid))
	return looks[:min(nextLooks, len(looks))]
}

// Find returns the van of a stock_id.
func (r *Result) Find(stockID string) (*Van, bool) {
	i := sort.Search(len(r.Vans), func(i int) bool { return r.Vans[i].StockID >= stockID })
	if i == len(r.Vans) || r.Vans[i].StockID != stockID {
		return nil, false
	}
	return &r.Vans[i], true
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
		r.Vans[i].VATDoubt = pricing.VATDoubt(*v, yard.Documents[v.StockID], asOf)
	}
	return r
}

// AddUp fills in Totals.
func (r *Result) AddUp() {
	var rows []*pricing.MarginRow
	for i := range r.Vans {
		if m := r.Vans[i].Margin; m != nil {
			rows = append(rows, m)
		}
	}
	r.Totals = pricing.Totals(rows)
}
