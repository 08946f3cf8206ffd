package prep

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// VanJobs is one van in hand with its jobs, and what a day of it is worth.
type VanJobs struct {
	Van         data.Van
	Jobs        []Job
	ValuePerDay data.Money         // what a day's delay costs, pounds
	Stops       []appraise.Finding // unsafe points that nothing has lifted: the van is not ready, whatever its status says
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
func byNeed(a, b VanJobs) int {
	return cmp.Or(
		cmp.Compare(promised(a), promised(b)),
		b.ValuePerDay.Cmp(a.ValuePerDay),
		cmp.Compare(a.Van.StockID, b.Van.StockID),
	)
}

func promised(w VanJobs) data.Date {
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

// shares says who gets which parts off the shelf, and what that leaves.
type shares struct {
	wait   map[jobKey]int      // days until a job's last part is in, where it must wait
	short  map[jobKey][]string // the parts it waits for
	orders map[string]*PartNeed
}

// shareStock hands the shelf out by need. begin is the minute, from asOf on, at
// which a job has been told to begin, if it has: where no order could be in by
// then, the part on the shelf is its own. The rest goes by the order of work,
// which must be sorted by need. A job that is said to await parts waits for them
// whatever the shelf holds: whoever wrote so has looked.
func shareStock(work []VanJobs, books *data.Books, begin map[jobKey]int) shares {
	s := shares{map[jobKey]int{}, map[jobKey][]string{}, map[string]*PartNeed{}}
	shelf := map[string]int{}
	for _, p := range books.Parts {
		shelf[p.Code] = p.InStock
	}
	claims := func(key jobKey, part data.Part) bool {
		at, told := begin[key]
		return told && at < part.LeadDays*minutesPerDay
	}
	claimed := map[jobKey]map[string]int{}
	eachNeed(work, books, func(key jobKey, part data.Part, qty int) {
		if claims(key, part) {
			n := min(qty, shelf[part.Code])
			shelf[part.Code] -= n
			if claimed[key] == nil {
				claimed[key] = map[string]int{}
			}
			claimed[key][part.Code] += n
		}
	})
	for _, w := range work {
		for _, j := range w.Jobs {
			if j.State == data.JobAwaitingParts {
				s.wait[jobKey{w.Van.StockID, j.Code}] = longestLead(j, books)
			}
		}
	}
	eachNeed(work, books, func(key jobKey, part data.Part, qty int) {
		need := s.orders[part.Code]
		if need == nil {
			need = &PartNeed{Part: part}
			s.orders[part.Code] = need
		}
		need.Needed += qty
		var got int
		if claims(key, part) {
			got = min(qty, claimed[key][part.Code])
			claimed[key][part.Code] -= got
		} else {
			got = min(qty, shelf[part.Code])
			shelf[part.Code] -= got
		}
		if short := qty - got; short > 0 {
			need.ToOrder += short
			if !slices.Contains(need.StockIDs, key.stockID) {
				need.StockIDs = append(need.StockIDs, key.stockID)
			}
			s.wait[key] = max(s.wait[key], part.LeadDays)
			s.short[key] = append(s.short[key], part.Code)
		}
	})
	return s
}

// eachNeed calls do for each part that a job has still to be given, in the
// order of work. Parts of a job that has begun are already with the van.
func eachNeed(work []VanJobs, books *data.Books, do func(key jobKey, part data.Part, qty int)) {
	for _, w := range work {
		for _, j := range w.Jobs {
			if j.State == data.JobStarted || !j.Open() {
				continue
			}
			for _, use := range j.Parts {
				if part, ok := books.Part(use.Part); ok && use.Qty > 0 {
					do(jobKey{w.Van.StockID, j.Code}, part, use.Qty)
				}
			}
		}
	}
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
