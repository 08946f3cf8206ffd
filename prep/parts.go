package prep

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// Work is one van in hand with its jobs, and what a day of it is worth.
type Work struct {
	Van         data.Van
	Jobs        []Job
	ValuePerDay data.Money // what a day's delay costs, pounds
}

// PartNeed is one part to order for the work in hand.
type PartNeed struct {
	Part     data.Part
	Needed   int
	ToOrder  int
	Total    data.Money // ToOrder × unit cost, ex VAT
	OrderBy  data.Date  // so that the plan keeps its dates
	StockIDs []string   // vans that wait for it, sorted
}

// byNeed orders vans by who should get the last part on the shelf: a van
// promised to a customer first, then the van whose delay costs most.
func byNeed(a, b Work) int {
	return cmp.Or(
		cmp.Compare(promised(a), promised(b)),
		b.ValuePerDay.Cmp(a.ValuePerDay),
		cmp.Compare(a.Van.StockID, b.Van.StockID),
	)
}

func promised(w Work) data.Date {
	if w.Van.PromisedOn.IsZero() {
		return data.NewDate(9999, 1, 1)
	}
	return w.Van.PromisedOn
}

// jobKey names a job of a van.
type jobKey struct{ stockID, code string }

// unlistedLeadDays is how long a job waits that is said to await parts when the
// labour book lists none for it. Common practice, no source.
const unlistedLeadDays = 7

// shareStock hands the shelf out by need. It returns, for each job that must
// wait, the days until its last part is in, and what must be ordered. A job
// that is said to await parts waits for them whatever the shelf holds: whoever
// wrote so has looked. work must be sorted by need.
func shareStock(work []Work, books *data.Books) (wait map[jobKey]int, orders map[string]*PartNeed, waitingParts map[jobKey][]string) {
	shelf := map[string]int{}
	for _, p := range books.Parts {
		shelf[p.Code] = p.InStock
	}
	wait, orders, waitingParts = map[jobKey]int{}, map[string]*PartNeed{}, map[jobKey][]string{}
	for _, w := range work {
		for _, j := range w.Jobs {
			// Parts of a job that has begun are already with the van.
			if j.State == data.JobStarted || !j.Open() {
				continue
			}
			if j.State == data.JobAwaitingParts {
				wait[jobKey{w.Van.StockID, j.Code}] = longestLead(j, books)
			}
			for _, use := range j.Parts {
				part, ok := books.Part(use.Part)
				if !ok || use.Qty == 0 {
					continue
				}
				need := orders[part.Code]
				if need == nil {
					need = &PartNeed{Part: part}
					orders[part.Code] = need
				}
				need.Needed += use.Qty
				fromShelf := min(use.Qty, shelf[part.Code])
				shelf[part.Code] -= fromShelf
				if short := use.Qty - fromShelf; short > 0 {
					need.ToOrder += short
					if !slices.Contains(need.StockIDs, w.Van.StockID) {
						need.StockIDs = append(need.StockIDs, w.Van.StockID)
					}
					key := jobKey{w.Van.StockID, j.Code}
					wait[key] = max(wait[key], part.LeadDays)
					waitingParts[key] = append(waitingParts[key], part.Code)
				}
			}
		}
	}
	return wait, orders, waitingParts
}

// longestLead returns the days that the slowest of a job's parts takes.
func longestLead(j Job, books *data.Books) int {
	if len(j.Parts) == 0 {
		return unlistedLeadDays
	}
	days := 0
	for _, use := range j.Parts {
		if part, ok := books.Part(use.Part); ok {
			days = max(days, part.LeadDays)
		}
	}
	return days
}

// toOrder lists the parts that the shelf does not cover, by code. start gives
// the first day on which a job that waits for the part is planned.
func toOrder(orders map[string]*PartNeed, start map[string]data.Date, asOf data.Date) []PartNeed {
	var needs []PartNeed
	for _, n := range orders {
		if n.ToOrder == 0 {
			continue
		}
		n.Total = data.Pence(n.Part.UnitCost.Mul(decimal.NewFromInt(int64(n.ToOrder))))
		n.OrderBy = asOf
		if day, ok := start[n.Part.Code]; ok {
			n.OrderBy = max(asOf, day.AddDays(-n.Part.LeadDays))
		}
		slices.Sort(n.StockIDs)
		needs = append(needs, *n)
	}
	slices.SortFunc(needs, func(a, b PartNeed) int { return cmp.Compare(a.Part.Code, b.Part.Code) })
	return needs
}
