package tables

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var prices = csvout.New("prices.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(v *night.Van) string { return v.StockID }),
	csvout.OptMoney("market_value", func(v *night.Van) data.Opt[data.Money] { return v.Quote.Market }),
	csvout.OptMoney("market_low", func(v *night.Van) data.Opt[data.Money] { return v.Quote.Low }),
	csvout.OptMoney("market_high", func(v *night.Van) data.Opt[data.Money] { return v.Quote.High }),
	csvout.Int("comparables", func(v *night.Van) int { return v.Quote.SameModelSales }),
	csvout.Text("method", func(v *night.Van) string { return v.Quote.Method }),
	csvout.OptMoney("price", func(v *night.Van) data.Opt[data.Money] { return v.Quote.Price }),
	csvout.OptInt("days_to_sell", func(v *night.Van) data.Opt[int] { return v.Quote.DaysToSell }),
	csvout.OptDecimal("sell_within_60_pct", 1, func(v *night.Van) data.Opt[decimal.Decimal] { return v.Quote.SellWithin60 }),
	csvout.List("price_ladder", func(v *night.Van) []string {
		var steps []string
		for _, s := range v.Quote.Ladder {
			steps = append(steps, s.From.String()+":"+data.FormatMoney(s.Price))
		}
		return steps
	}),
	csvout.List("reasons", func(v *night.Van) []string { return v.Quote.Reasons }),
	csvout.OptMoney("ticket", func(v *night.Van) data.Opt[data.Money] { return v.Quote.AskingPrice }),
	csvout.OptMoney("plan_gain", func(v *night.Van) data.Opt[data.Money] { return v.Quote.Gain }),
	csvout.OptMoney("start_gain", func(v *night.Van) data.Opt[data.Money] { return v.Quote.StartGain }),
	csvout.OptMoney("steps_gain", func(v *night.Van) data.Opt[data.Money] { return v.Quote.StepsGain }),
	csvout.List("nearest_sales", func(v *night.Van) []string {
		var sales []string
		for _, c := range v.Quote.Comparables {
			sales = append(sales, c.Sale.SaleID+":"+data.FormatMoney(c.Adjusted))
		}
		return sales
	}),
)

var bids = csvout.New("bids.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(v *night.Van) string { return v.StockID }),
	csvout.OptMoney("price", func(v *night.Van) data.Opt[data.Money] { return v.Quote.Price }),
	csvout.Money("prep_p50", func(v *night.Van) data.Money { return v.Prep.P50 }),
	csvout.Money("prep_p80", func(v *night.Van) data.Money { return v.Prep.P80 }),
	bidMoney("warranty", func(b *pricing.Bid) data.Money { return b.Breakdown.Warranty }),
	bidMoney("holding", func(b *pricing.Bid) data.Money { return b.Breakdown.Holding }),
	bidMoney("selling", func(b *pricing.Bid) data.Money { return b.Breakdown.Selling }),
	bidMoney("vat", func(b *pricing.Bid) data.Money { return b.Breakdown.VAT }),
	bidMoney("target_profit", func(b *pricing.Bid) data.Money { return b.Breakdown.Target }),
	bidMoney("max_bid", func(b *pricing.Bid) data.Money { return b.MaxBid }),
	bidMoney("opening_bid", func(b *pricing.Bid) data.Money { return b.OpeningBid }),
	bidMoney("stand_in_value", func(b *pricing.Bid) data.Money { return b.StandIn }),
	csvout.OptDecimal("confidence_pct", 0, func(v *night.Van) data.Opt[decimal.Decimal] { return v.Bid.Confidence }),
	csvout.List("reasons", func(v *night.Van) []string { return v.Bid.Reasons }),
	bidMoney("cost", func(b *pricing.Bid) data.Money { return b.Breakdown.Cost }),
	bidMoney("profit", func(b *pricing.Bid) data.Money { return b.Breakdown.Profit }),
	csvout.Int("prep_days", func(v *night.Van) int { return v.Bid.PrepDays }),
	csvout.OptInt("days_to_sell", func(v *night.Van) data.Opt[int] { return v.Quote.DaysToSell }),
	csvout.Money("untested_risk", func(v *night.Van) data.Money { return v.Prep.Risk }),
	csvout.Int("ready_days_p50", func(v *night.Van) int { return v.Bid.ReadyP50 }),
	csvout.Int("ready_days_p80", func(v *night.Van) int { return v.Bid.ReadyP80 }),
)

// bidMoney is a column of a bid, blank where no bid can be given.
func bidMoney(name string, of func(*pricing.Bid) data.Money) csvout.Column[*night.Van] {
	return csvout.OptMoney(name, func(v *night.Van) data.Opt[data.Money] {
		if !v.Bid.Known {
			return data.Opt[data.Money]{}
		}
		return data.Some(of(v.Bid))
	})
}

var margins = csvout.New("margin.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(v *night.Van) string { return v.StockID }),
	csvout.Text("status", func(v *night.Van) string { return string(v.Status) }),
	csvout.Int("days_held", func(v *night.Van) int { return v.Margin.DaysHeld }),
	csvout.OptMoney("price", func(v *night.Van) data.Opt[data.Money] { return v.Margin.Price }),
	csvout.Text("price_basis", func(v *night.Van) string { return string(v.Margin.Basis) }),
	csvout.OptMoney("asking", func(v *night.Van) data.Opt[data.Money] { return v.Margin.Asking }),
	csvout.OptMoney("cost", func(v *night.Van) data.Opt[data.Money] { return v.Margin.Cost }),
	marginMoney("vat", func(k pricing.ProfitBreakdown) data.Money { return k.VAT }),
	csvout.Money("prep", func(v *night.Van) data.Money { return v.Margin.Breakdown.Prep }),
	csvout.Money("warranty", func(v *night.Van) data.Money { return v.Margin.Breakdown.Warranty }),
	marginMoney("holding", func(k pricing.ProfitBreakdown) data.Money { return k.Holding }),
	csvout.Money("selling", func(v *night.Van) data.Money { return v.Margin.Breakdown.Selling }),
	marginMoney("profit", func(k pricing.ProfitBreakdown) data.Money { return k.Profit }),
	csvout.OptDecimal("profit_pct", 1, func(v *night.Van) data.Opt[decimal.Decimal] {
		if !v.Margin.Known {
			return data.Opt[decimal.Decimal]{}
		}
		return v.Margin.Breakdown.ProfitPct
	}),
	marginMoney("target_profit", func(k pricing.ProfitBreakdown) data.Money { return k.Target }),
	csvout.List("flags", func(v *night.Van) []string {
		var words []string
		for _, f := range v.Margin.Flags {
			words = append(words, string(f))
		}
		return words
	}),
	csvout.Int("days_to_sell", func(v *night.Van) int { return v.Margin.DaysToSell }),
	rangeEnd("profit_low", func(r pricing.ProfitRange) data.Money { return r.Low }),
	rangeEnd("profit_high", func(r pricing.ProfitRange) data.Money { return r.High }),
	csvout.Text("site", func(v *night.Van) string { return v.Site }),
	csvout.Text("vat_scheme", func(v *night.Van) string { return string(v.VAT) }),
)

// rangeEnd is an end of what a van not sold may leave.
func rangeEnd(name string, of func(pricing.ProfitRange) data.Money) csvout.Column[*night.Van] {
	return csvout.OptMoney(name, func(v *night.Van) data.Opt[data.Money] {
		if !v.Margin.Range.Known {
			return data.Opt[data.Money]{}
		}
		return data.Some(of(v.Margin.Range.Value))
	})
}

// marginMoney is a column of a reckoning, blank where price or cost is unknown.
func marginMoney(name string, of func(pricing.ProfitBreakdown) data.Money) csvout.Column[*night.Van] {
	return csvout.OptMoney(name, func(v *night.Van) data.Opt[data.Money] {
		if !v.Margin.Known {
			return data.Opt[data.Money]{}
		}
		return data.Some(of(v.Margin.Breakdown))
	})
}
