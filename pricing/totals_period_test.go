package pricing_test

import (
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// A period holds both its ends, and vans that are not sold are in none.
func TestAPeriodHoldsItsEnds(t *testing.T) {
	from, to := data.NewDate(2026, 2, 1), data.NewDate(2026, 2, 28)
	row := func(status data.Status, on data.Date) *pricing.MarginRow {
		return &pricing.MarginRow{
			Van: data.Van{Status: status, SoldOn: on}, Known: true,
			Breakdown: pricing.ProfitBreakdown{Price: decimal.NewFromInt(100), Profit: decimal.NewFromInt(7)},
		}
	}
	got := pricing.SoldBetween([]*pricing.MarginRow{
		row(data.Sold, from.AddDays(-1)), row(data.Sold, from), row(data.Sold, to), row(data.Sold, to.AddDays(1)), row(data.Ready, 0),
	}, from, to)
	if got.Vans != 2 || got.Counted != 2 || !got.Sum.Profit.Equal(decimal.NewFromInt(14)) {
		t.Errorf("got %d vans with a profit of %s, want 2 with 14", got.Vans, got.Sum.Profit)
	}
}
