package reports

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/table"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

type (
	percent = data.Opt[decimal.Decimal]
	month   = pricing.MonthRealised
	outcome = pricing.Outcome
)

var realised = table.New("realised.csv", []string{"month"},
	table.Text("month", func(m month) string { return m.Month.Time().Format("2006-01") }),
	table.Int("sold", func(m month) int { return m.Sold }),
	table.Int("priced", func(m month) int { return m.Value.Vans }),
	table.OptDecimal("value_bias_pct", 1, func(m month) percent { return m.Value.Bias }),
	table.OptDecimal("value_spread_pct", 1, func(m month) percent { return m.Value.Spread }),
	table.OptDecimal("within_90_pct", 0, func(m month) percent { return m.Within }),
	table.OptDecimal("advised_bias_pct", 1, func(m month) percent { return m.Advised.Bias }),
	table.OptDecimal("advised_spread_pct", 1, func(m month) percent { return m.Advised.Spread }),
	table.Int("timed", func(m month) int { return m.Hours.Vans }),
	table.OptDecimal("hours_bias_pct", 1, func(m month) percent { return m.Hours.Bias }),
	table.OptDecimal("hours_spread_pct", 1, func(m month) percent { return m.Hours.Spread }),
)

var realisedVans = table.New("realised-vans.csv", []string{"stock_id"},
	table.Text("stock_id", func(o outcome) string { return o.Van.StockID }),
	table.Date("sold_on", func(o outcome) data.Date { return o.Van.SoldOn }),
	table.OptMoney("fetched", func(o outcome) data.Opt[data.Money] { return data.OptPence(o.Van.SoldPrice) }),
	table.OptMoney("market_value", func(o outcome) data.Opt[data.Money] { return o.Value }),
	table.OptMoney("market_low", func(o outcome) data.Opt[data.Money] { return o.Low }),
	table.OptMoney("market_high", func(o outcome) data.Opt[data.Money] { return o.High }),
	table.OptMoney("advised", func(o outcome) data.Opt[data.Money] { return o.Advised }),
	table.OptDecimal("off_value_pct", 1, func(o outcome) percent { return o.OffValue }),
	table.OptDecimal("off_advised_pct", 1, func(o outcome) percent { return o.OffAdvised }),
	table.Text("method", func(o outcome) string { return o.Method }),
	table.Hours("hours_book", func(o outcome) float64 { return o.HoursBook }),
	table.Hours("hours_spent", func(o outcome) float64 { return o.HoursSpent }),
	table.OptDecimal("off_hours_pct", 1, func(o outcome) percent { return o.OffHours }),
)
