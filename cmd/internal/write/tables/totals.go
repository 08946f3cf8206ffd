package tables

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var marginTotals = csvout.New("margin-totals.csv", []string{"by", "name", "state"},
	csvout.Text("by", func(t pricing.Total) string { return t.By }),
	csvout.Text("name", func(t pricing.Total) string { return t.Name }),
	csvout.Text("state", func(t pricing.Total) string {
		if t.Sold {
			return "sold"
		}
		return "in-hand"
	}),
	csvout.Int("vans", func(t pricing.Total) int { return t.Vans }),
	csvout.Int("counted", func(t pricing.Total) int { return t.Counted }),
	csvout.Money("price", func(t pricing.Total) data.Money { return t.Sum.Price }),
	csvout.Money("cost", func(t pricing.Total) data.Money { return t.Sum.Cost }),
	csvout.Money("vat", func(t pricing.Total) data.Money { return t.Sum.VAT }),
	csvout.Money("prep", func(t pricing.Total) data.Money { return t.Sum.Prep }),
	csvout.Money("warranty", func(t pricing.Total) data.Money { return t.Sum.Warranty }),
	csvout.Money("holding", func(t pricing.Total) data.Money { return t.Sum.Holding }),
	csvout.Money("selling", func(t pricing.Total) data.Money { return t.Sum.Selling }),
	csvout.Money("profit", func(t pricing.Total) data.Money { return t.Sum.Profit }),
	csvout.OptDecimal("profit_pct", 1, func(t pricing.Total) data.Opt[decimal.Decimal] { return t.Sum.ProfitPct }),
	csvout.Money("target_profit", func(t pricing.Total) data.Money { return t.Sum.Target }),
	csvout.Int("flagged", func(t pricing.Total) int { return t.Flagged }),
)
