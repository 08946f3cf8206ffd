package reports

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/batch"
	"github.com/vanwright/vanwright/cmd/internal/table"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var prices = table.New("prices.csv", []string{"stock_id"},
	table.Text("stock_id", func(v *batch.Van) string { return v.StockID }),
	table.OptMoney("market_value", func(v *batch.Van) data.Opt[data.Money] { return v.Quote.Market }),
	table.OptMoney("market_low", func(v *batch.Van) data.Opt[data.Money] { return v.Quote.Low }),
	table.OptMoney("market_high", func(v *batch.Van) data.Opt[data.Money] { return v.Quote.High }),
	table.Int("comparables", func(v *batch.Van) int { return v.Quote.Alike }),
	table.Text("method", func(v *batch.Van) string { return v.Quote.Method }),
	table.OptMoney("price", func(v *batch.Van) data.Opt[data.Money] { return v.Quote.Price }),
	table.OptInt("days_to_sell", func(v *batch.Van) data.Opt[int] { return v.Quote.DaysToSell }),
	table.OptDecimal("sell_within_60_pct", 1, func(v *batch.Van) data.Opt[decimal.Decimal] { return v.Quote.SellWithin60 }),
	table.List("price_ladder", func(v *batch.Van) []string {
		var steps []string
		for _, s := range v.Quote.Ladder {
			steps = append(steps, s.From.String()+":"+data.FormatMoney(s.Price))
		}
		return steps
	}),
	table.List("reasons", func(v *batch.Van) []string { return v.Quote.Reasons }),
	table.OptMoney("ticket", func(v *batch.Van) data.Opt[data.Money] { return v.Quote.Ticket }),
	table.OptMoney("plan_gain", func(v *batch.Van) data.Opt[data.Money] { return v.Quote.Gain }),
	table.List("nearest_sales", func(v *batch.Van) []string {
		var sales []string
		for _, c := range v.Quote.Comparables {
			sales = append(sales, c.Sale.SaleID+":"+data.FormatMoney(c.Adjusted))
		}
		return sales
	}),
)

var bids = table.New("bids.csv", []string{"stock_id"},
	table.Text("stock_id", func(v *batch.Van) string { return v.StockID }),
	table.OptMoney("price", func(v *batch.Van) data.Opt[data.Money] { return v.Quote.Price }),
	table.Money("prep_p50", func(v *batch.Van) data.Money { return v.Prep.P50 }),
	table.Money("prep_p80", func(v *batch.Van) data.Money { return v.Prep.P80 }),
	bidMoney("warranty", func(b *pricing.Bid) data.Money { return b.Reckoning.Warranty }),
	bidMoney("holding", func(b *pricing.Bid) data.Money { return b.Reckoning.Holding }),
	bidMoney("selling", func(b *pricing.Bid) data.Money { return b.Reckoning.Selling }),
	bidMoney("vat", func(b *pricing.Bid) data.Money { return b.Reckoning.VAT }),
	bidMoney("target_profit", func(b *pricing.Bid) data.Money { return b.Reckoning.Target }),
	bidMoney("max_bid", func(b *pricing.Bid) data.Money { return b.MaxBid }),
	bidMoney("opening_bid", func(b *pricing.Bid) data.Money { return b.OpeningBid }),
	bidMoney("stand_in_value", func(b *pricing.Bid) data.Money { return b.StandIn }),
	table.OptDecimal("confidence_pct", 0, func(v *batch.Van) data.Opt[decimal.Decimal] { return v.Bid.Confidence }),
	table.List("reasons", func(v *batch.Van) []string { return v.Bid.Reasons }),
	bidMoney("cost", func(b *pricing.Bid) data.Money { return b.Reckoning.Cost }),
	bidMoney("profit", func(b *pricing.Bid) data.Money { return b.Reckoning.Profit }),
	table.Int("prep_days", func(v *batch.Van) int { return v.Bid.PrepDays }),
	table.OptInt("days_to_sell", func(v *batch.Van) data.Opt[int] { return v.Quote.DaysToSell }),
	table.Money("untested_risk", func(v *batch.Van) data.Money { return v.Prep.Risk }),
)

// bidMoney is a column of a bid, blank where no bid can be given.
func bidMoney(name string, of func(*pricing.Bid) data.Money) table.Column[*batch.Van] {
	return table.OptMoney(name, func(v *batch.Van) data.Opt[data.Money] {
		if !v.Bid.Known {
			return data.Opt[data.Money]{}
		}
		return data.Some(of(v.Bid))
	})
}

var margins = table.New("margin.csv", []string{"stock_id"},
	table.Text("stock_id", func(v *batch.Van) string { return v.StockID }),
	table.Text("status", func(v *batch.Van) string { return string(v.Status) }),
	table.Int("days_held", func(v *batch.Van) int { return v.Margin.DaysHeld }),
	table.OptMoney("price", func(v *batch.Van) data.Opt[data.Money] { return v.Margin.Price }),
	table.Text("price_basis", func(v *batch.Van) string { return string(v.Margin.Basis) }),
	table.OptMoney("cost", func(v *batch.Van) data.Opt[data.Money] { return v.Margin.Cost }),
	marginMoney("vat", func(k pricing.Reckoning) data.Money { return k.VAT }),
	table.Money("prep", func(v *batch.Van) data.Money { return v.Margin.Reckoning.Prep }),
	table.Money("warranty", func(v *batch.Van) data.Money { return v.Margin.Reckoning.Warranty }),
	marginMoney("holding", func(k pricing.Reckoning) data.Money { return k.Holding }),
	table.Money("selling", func(v *batch.Van) data.Money { return v.Margin.Reckoning.Selling }),
	marginMoney("profit", func(k pricing.Reckoning) data.Money { return k.Profit }),
	table.OptDecimal("profit_pct", 1, func(v *batch.Van) data.Opt[decimal.Decimal] {
		if !v.Margin.Known {
			return data.Opt[decimal.Decimal]{}
		}
		return v.Margin.Reckoning.ProfitPct
	}),
	marginMoney("target_profit", func(k pricing.Reckoning) data.Money { return k.Target }),
	table.List("flags", func(v *batch.Van) []string {
		var words []string
		for _, f := range v.Margin.Flags {
			words = append(words, string(f))
		}
		return words
	}),
	table.Int("days_to_sell", func(v *batch.Van) int { return v.Margin.DaysToSell }),
	table.Text("site", func(v *batch.Van) string { return v.Site }),
	table.Text("vat_scheme", func(v *batch.Van) string { return string(v.VAT) }),
)

// marginMoney is a column of a reckoning, blank where price or cost is unknown.
func marginMoney(name string, of func(pricing.Reckoning) data.Money) table.Column[*batch.Van] {
	return table.OptMoney(name, func(v *batch.Van) data.Opt[data.Money] {
		if !v.Margin.Known {
			return data.Opt[data.Money]{}
		}
		return data.Some(of(v.Margin.Reckoning))
	})
}
