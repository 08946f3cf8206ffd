package pricing

import (
	"fmt"

	"github.com/vanwright/vanwright/data"
)

// StockAge is a band of days in stock, both ends included.
type StockAge struct {
	From, To int // days; To is 0 for a band without end
}

// StockAges are the bands that stock is sorted into by its days held, the
// youngest first. Each day is in one of them. Common practice, no source.
var StockAges = []StockAge{{0, 30}, {31, 60}, {61, 90}, {91, 120}, {121, 0}}

// Holds reports whether a van held for some days is in the band.
func (a StockAge) Holds(days int) bool { return days >= a.From && (a.To == 0 || days <= a.To) }

// String writes the band as people say it: up to 30 days, over 120 days.
func (a StockAge) String() string {
	switch {
	case a.To == 0:
		return fmt.Sprintf("over %d days", a.From-1)
	case a.From == 0:
		return fmt.Sprintf("up to %d days", a.To)
	}
	return fmt.Sprintf("%d to %d days", a.From, a.To)
}

// AgedStock is the vans of one band and what was paid for them.
type AgedStock struct {
	StockAge
	Vans int
	Paid data.Money
}

// StockByAge sorts vans in hand into the bands, in their order.
func StockByAge(rows []*MarginRow) []AgedStock {
	out := make([]AgedStock, len(StockAges))
	for i, age := range StockAges {
		out[i].StockAge = age
		for _, row := range rows {
			if age.Holds(row.DaysHeld) {
				out[i].Vans++
				out[i].Paid = out[i].Paid.Add(row.Van.Cost.Value)
			}
		}
	}
	return out
}
