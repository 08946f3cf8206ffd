package tables

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

type (
	percent = data.Opt[decimal.Decimal]
	month   = pricing.MonthRealised
	outcome = pricing.PriceCheck
)

var realised = csvout.New("realised.csv", []string{"month"},
	csvout.Text("month", func(m month) string { return m.Month.Time().Format("2006-01") }),
	csvout.Int("sold", func(m month) int { return m.Sold }),
	csvout.Int("priced", func(m month) int { return m.Value.Vans }),
	csvout.OptDecimal("value_bias_pct", 1, func(m month) percent { return m.Value.Bias }),
	csvout.OptDecimal("value_spread_pct", 1, func(m month) percent { return m.Value.Spread }),
	csvout.OptDecimal("within_90_pct", 0, func(m month) percent { return m.Within }),
	csvout.OptDecimal("advised_bias_pct", 1, func(m month) percent { return m.Advised.Bias }),
	csvout.OptDecimal("advised_spread_pct", 1, func(m month) percent { return m.Advised.Spread }),
	csvout.Int("timed", func(m month) int { return m.Hours.Vans }),
	csvout.OptDecimal("hours_bias_pct", 1, func(m month) percent { return m.Hours.Bias }),
	csvout.OptDecimal("hours_spread_pct", 1, func(m month) percent { return m.Hours.Spread }),
)

var realisedVans = csvout.New("realised-vans.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(o outcome) string { return o.Van.StockID }),
	csvout.Date("sold_on", func(o outcome) data.Date { return o.Van.SoldOn }),
	csvout.OptMoney("fetched", func(o outcome) data.Opt[data.Money] { return data.OptPence(o.Van.SoldPrice) }),
	csvout.OptMoney("market_value", func(o outcome) data.Opt[data.Money] { return o.Value }),
	csvout.OptMoney("market_low", func(o outcome) data.Opt[data.Money] { return o.Low }),
	csvout.OptMoney("market_high", func(o outcome) data.Opt[data.Money] { return o.High }),
	csvout.OptMoney("advised", func(o outcome) data.Opt[data.Money] { return o.Advised }),
	csvout.OptDecimal("off_value_pct", 1, func(o outcome) percent { return o.OffValue }),
	csvout.OptDecimal("off_advised_pct", 1, func(o outcome) percent { return o.OffAdvised }),
	csvout.Text("method", func(o outcome) string { return o.Method }),
	csvout.Hours("hours_book", func(o outcome) float64 { return o.HoursBook }),
	csvout.Hours("hours_spent", func(o outcome) float64 { return o.HoursSpent }),
	csvout.OptDecimal("off_hours_pct", 1, func(o outcome) percent { return o.OffHours }),
)
