package reports

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/table"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var marginTotals = table.New("margin-totals.csv", []string{"by", "name", "state"},
	table.Text("by", func(t pricing.Total) string { return t.By }),
	table.Text("name", func(t pricing.Total) string { return t.Name }),
	table.Text("state", func(t pricing.Total) string {
		if t.Sold {
			return "sold"
		}
		return "in-hand"
	}),
	table.Int("vans", func(t pricing.Total) int { return t.Vans }),
	table.Int("counted", func(t pricing.Total) int { return t.Counted }),
	table.Money("price", func(t pricing.Total) data.Money { return t.Sum.Price }),
	table.Money("cost", func(t pricing.Total) data.Money { return t.Sum.Cost }),
	table.Money("vat", func(t pricing.Total) data.Money { return t.Sum.VAT }),
	table.Money("prep", func(t pricing.Total) data.Money { return t.Sum.Prep }),
	table.Money("warranty", func(t pricing.Total) data.Money { return t.Sum.Warranty }),
	table.Money("holding", func(t pricing.Total) data.Money { return t.Sum.Holding }),
	table.Money("selling", func(t pricing.Total) data.Money { return t.Sum.Selling }),
	table.Money("profit", func(t pricing.Total) data.Money { return t.Sum.Profit }),
	table.OptDecimal("profit_pct", 1, func(t pricing.Total) data.Opt[decimal.Decimal] { return t.Sum.ProfitPct }),
	table.Money("target_profit", func(t pricing.Total) data.Money { return t.Sum.Target }),
	table.Int("flagged", func(t pricing.Total) int { return t.Flagged }),
)
