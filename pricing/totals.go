package pricing

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// Total is the sum of the margins of a group of vans.
type Total struct {
	By      string // "all", "body", "site" or "source"
	Name    string // of the body, site or source; blank where the rows say none
	Sold    bool   // vans sold; otherwise vans in hand, at what is expected of them
	Vans    int
	Counted int // of them, with price and cost known: what the sums are of
	Flagged int
	Sum     Reckoning
}

// Totals groups margins by site, by body and by source, and adds up each group.
// Vans in hand are kept apart from vans sold: the one is hoped for, the other
// was had. Sorted by what is grouped by, name, and in hand before sold.
func Totals(rows []*MarginRow) []Total {
	type group struct {
		by, name string
		sold     bool
	}
	members := map[group][]*MarginRow{}
	for _, row := range rows {
		sold := row.Van.Status == data.Sold
		for _, g := range []group{
			{"all", "", sold}, {"body", string(row.Van.Body), sold},
			{"site", row.Van.Site, sold}, {"source", string(row.Van.BoughtFrom), sold},
		} {
			members[g] = append(members[g], row)
		}
	}
	totals := make([]Total, 0, len(members))
	for g, rows := range members { // sorted below
		t := Total{By: g.by, Name: g.name, Sold: g.sold, Vans: len(rows), Sum: Sum(rows)}
		for _, row := range rows {
			if row.Known {
				t.Counted++
			}
			if len(row.Flags) > 0 {
				t.Flagged++
			}
		}
		totals = append(totals, t)
	}
	slices.SortFunc(totals, func(a, b Total) int {
		return cmp.Or(cmp.Compare(a.By, b.By), cmp.Compare(a.Name, b.Name), boolOrder(a.Sold, b.Sold))
	})
	return totals
}

// boolOrder puts false before true.
func boolOrder(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// Sum adds up the rounded amounts of the rows whose reckoning is complete.
func Sum(rows []*MarginRow) Reckoning {
	var s Reckoning
	for _, row := range rows {
		if !row.Known {
			continue
		}
		r := &row.Reckoning
		s.Price = s.Price.Add(r.Price)
		s.VAT = s.VAT.Add(r.VAT)
		s.Cost = s.Cost.Add(r.Cost)
		s.Prep = s.Prep.Add(r.Prep)
		s.Warranty = s.Warranty.Add(r.Warranty)
		s.Holding = s.Holding.Add(r.Holding)
		s.Selling = s.Selling.Add(r.Selling)
		s.Profit = s.Profit.Add(r.Profit)
		s.Target = s.Target.Add(r.Target)
	}
	s.ProfitPct = data.Percent(s.Profit, s.Price.Sub(s.VAT), 1)
	return s
}
