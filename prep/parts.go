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
	ValuePerDay data.Money          // what a day's delay costs, pounds
	Untested    []appraise.Untested // points that may hide work, with their chances
	Stops       []appraise.Finding  // unsafe points that nothing has lifted: the van is not ready, whatever its status says
}

// PartNeed is one part to order for the work in hand.
type PartNeed struct {
	Part     data.Part
	Needed   int
	InStock  int // in the house for this work, less what was fitted since it was counted
	OnOrder  int // of these, on their way for this work
	ToOrder  int
	Total    data.Money // ToOrder × unit cost, ex VAT
	OrderBy  data.Date  // so that the plan keeps its dates
	StockIDs []string   // vans that wait for it, sorted
}

// SupplierOrder is the parts to order from one supplier, by the day to order.
type SupplierOrder struct {
	Supplier string // blank: the book names none
	Parts    []PartNeed
	Total    data.Money // ex VAT
}

// BySupplier sorts parts into orders, by supplier, and adds up what all cost.
func BySupplier(parts []PartNeed) (orders []SupplierOrder, all data.Money) {
	parts = slices.Clone(parts)
	slices.SortStableFunc(parts, func(a, b PartNeed) int {
		return cmp.Or(cmp.Compare(a.Part.Supplier, b.Part.Supplier), cmp.Compare(a.OrderBy, b.OrderBy), cmp.Compare(a.Part.Code, b.Part.Code))
	})
	for _, n := range parts {
		if len(orders) == 0 || orders[len(orders)-1].Supplier != n.Part.Supplier {
			orders = append(orders, SupplierOrder{Supplier: n.Part.Supplier})
		}
		o := &orders[len(orders)-1]
		o.Parts, o.Total, all = append(o.Parts, n), o.Total.Add(n.Total), all.Add(n.Total)
	}
	return orders, all
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

// shareStock hands out by need the parts that are there and coming. A job is given, in this order, what was
// ordered for its van and has arrived, what is on the shelf, what was ordered for
// its van, and what was ordered for stock, by the day on which that is due; the
// rest is to be ordered. begin is the minute, from asOf on, at which a job has
// been told to begin, if it has: where no new order could be in by then, the part
// on the shelf is its own. The rest is given out in the order of work, which must be
// sorted by need.
//
// A job that is said to await parts has them on order, whatever the shelf holds:
// the person who wrote so has looked. It waits until its orders are due or, where
// orders.csv has none, for the book's days from the day on which that was said.
func shareStock(work []VanJobs, there *stock, books *data.Books, begin map[jobKey]int, asOf data.Date) shares {
	s := shares{map[jobKey]int{}, map[jobKey][]string{}, map[string]*PartNeed{}}
	stock := there.clone()
	claims := func(key jobKey, part data.Part) bool {
		at, told := begin[key]
		return told && at < part.LeadDays*minutesPerDay
	}
	inStock := stock.there(work) // before any is handed out
	claimed := map[jobKey]map[string]int{}
	eachNeed(work, books, func(j *Job, part data.Part, qty int) {
		key := keyOf(j)
		if own := stock.arrived[vanPart{key.stockID, part.Code}]; claims(key, part) && qty > own {
			if claimed[key] == nil {
				claimed[key] = map[string]int{}
			}
			claimed[key][part.Code] += stock.take(part.Code, qty-own)
		}
	})
	eachNeed(work, books, func(j *Job, part data.Part, qty int) {
		need := s.orders[part.Code]
		if need == nil {
			need = &PartNeed{Part: part, InStock: inStock[part.Code]}
			s.orders[part.Code] = need
		}
		need.Needed += qty
		key := keyOf(j)
		left := qty - stock.takeArrived(vanPart{key.stockID, part.Code}, qty)
		awaited := j.State == data.JobAwaitingParts && left > 0
		switch {
		case awaited:
		case claims(key, part):
			if got := min(left, claimed[key][part.Code]); got > 0 {
				claimed[key][part.Code] -= got
				left -= got
			}
		default:
			left -= stock.take(part.Code, left)
		}
		if left == 0 {
			return
		}
		s.short[key] = append(s.short[key], part.Code)
		onOrder, due := stock.takeComing(key.stockID, part.Code, left)
		need.OnOrder += onOrder
		if onOrder > 0 {
			s.wait[key] = max(s.wait[key], due.DaysSince(asOf), 1)
		}
		switch left -= onOrder; {
		case left == 0:
		case awaited:
			need.OnOrder += left
			s.wait[key] = max(s.wait[key], awaitedDays(j, part.LeadDays, asOf))
		default:
			need.ToOrder += left
			if !slices.Contains(need.StockIDs, key.stockID) {
				need.StockIDs = append(need.StockIDs, key.stockID)
			}
			s.wait[key] = max(s.wait[key], part.LeadDays)
		}
	})
	for _, w := range work {
		for i := range w.Jobs {
			if j := &w.Jobs[i]; j.State == data.JobAwaitingParts && len(j.Parts) == 0 {
				s.wait[keyOf(j)] = awaitedDays(j, unlistedLeadDays, asOf)
			}
		}
	}
	return s
}

// awaitedDays returns the days left of a wait that began when a job was said to
// await parts, at least one; all of them where the day is not known.
func awaitedDays(j *Job, lead int, asOf data.Date) int {
	if j.Since.IsZero() {
		return lead
	}
	return max(lead-asOf.DaysSince(j.Since), 1)
}

// eachNeed calls do for each part that a job has still to be given, in the
// order of work. Parts of a job that has begun are already with the van.
func eachNeed(work []VanJobs, books *data.Books, do func(j *Job, part data.Part, qty int)) {
	for _, w := range work {
		for i := range w.Jobs {
			j := &w.Jobs[i]
			if j.State == data.JobStarted || !j.Open() {
				continue
			}
			for _, use := range j.Parts {
				if part, ok := books.Part(use.Part); ok && use.Qty > 0 {
					do(j, part, use.Qty)
				}
			}
		}
	}
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
