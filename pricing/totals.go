package pricing

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// Total is the sum of the margins of a group of vans.
type Total struct {
	By      string // "all", "body", "site", "source" or "period"
	Name    string // of the body, site or source; blank where the rows say none
	Sold    bool   // vans sold; otherwise vans in hand, at what is expected of them
	Vans    int
	Counted int // of them, with price and cost known: what the sums are of
	Flagged int
	Sum     ProfitBreakdown
}

// Totals groups margins by site, by body and by source, and adds up each group.
// Vans in hand are kept apart from vans sold: the one is hoped for, the other
// was had. Sorted by what is grouped by, name, and in hand before sold.
func Totals(rows []*MarginRow) []Total {
	type kind struct {
		body   data.Body
		site   string
		source data.PurchaseSource
		sold   bool
	}
	members := map[kind][]*MarginRow{}
	for _, row := range rows {
		k := kind{row.Van.Body, row.Van.Site, row.Van.PurchaseSource, row.Van.Status == data.Sold}
		members[k] = append(members[k], row)
	}
	type group struct {
		by, name string
		sold     bool
	}
	parts := map[group][]Total{} // each van is added up once, not for every group that it is in
	for k, rows := range members {
		t := totalOf(rows)
		for _, g := range []group{
			{"all", "", k.sold}, {"body", string(k.body), k.sold}, {"site", k.site, k.sold}, {"source", string(k.source), k.sold},
		} {
			parts[g] = append(parts[g], t)
		}
	}
	totals := make([]Total, 0, len(parts))
	for g, parts := range parts { // sorted below
		t := Total{By: g.by, Name: g.name, Sold: g.sold}
		var sums []*MarginRow
		for _, part := range parts {
			t.Vans, t.Counted, t.Flagged = t.Vans+part.Vans, t.Counted+part.Counted, t.Flagged+part.Flagged
			sums = append(sums, &MarginRow{Known: true, Breakdown: part.Sum})
		}
		t.Sum = Sum(sums)
		totals = append(totals, t)
	}
	slices.SortFunc(totals, func(a, b Total) int {
		return cmp.Or(cmp.Compare(a.By, b.By), cmp.Compare(a.Name, b.Name), data.FalseFirst(a.Sold, b.Sold))
	})
	return totals
}

// SoldBetween adds up the margins of the vans sold from one day to another, both
// included.
func SoldBetween(rows []*MarginRow, from, to data.Date) Total {
	var sold []*MarginRow
	for _, row := range rows {
		if on := row.Van.SoldOn; row.Van.Status == data.Sold && from <= on && on <= to {
			sold = append(sold, row)
		}
	}
	t := totalOf(sold)
	t.By, t.Sold = "period", true
	return t
}

func totalOf(rows []*MarginRow) Total {
	t := Total{Vans: len(rows), Sum: Sum(rows)}
	for _, row := range rows {
		if row.Known {
			t.Counted++
		}
		if len(row.Flags) > 0 {
			t.Flagged++
		}
	}
	return t
}

// Sum adds up the rounded amounts of the rows whose breakdown is complete.
func Sum(rows []*MarginRow) ProfitBreakdown {
	var price, vat, cost, prep, warranty, holding, selling, profit, target data.Sum
	for _, row := range rows {
		if !row.Known {
			continue
		}
		r := &row.Breakdown
		price.Add(r.Price)
		vat.Add(r.VAT)
		cost.Add(r.Cost)
		prep.Add(r.Prep)
		warranty.Add(r.Warranty)
		holding.Add(r.Holding)
		selling.Add(r.Selling)
		profit.Add(r.Profit)
		target.Add(r.Target)
	}
	s := ProfitBreakdown{
		Price: price.Money(), VAT: vat.Money(), Cost: cost.Money(), Prep: prep.Money(), Warranty: warranty.Money(),
		Holding: holding.Money(), Selling: selling.Money(), Profit: profit.Money(), Target: target.Money(),
	}
	s.ProfitPct = data.Percent(s.Profit, s.Price.Sub(s.VAT), 1)
	return s
}
