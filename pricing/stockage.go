package pricing

import "fmt"

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
