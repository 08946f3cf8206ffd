package workbook

import (
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// priceColumns are the columns of prices.csv, with the first step of the price
// ladder as a day and an amount of its own.
func priceColumns() []column[*night.Van] {
	type van = *night.Van
	amount := func(title string, of func(q *pricing.Quote) data.Opt[data.Money]) column[van] {
		return column[van]{title, 13, money, func(v van, _ int) any { return optMoney(of(v.Quote)) }}
	}
	return []column[van]{
		{"stock_id", 12, words, func(v van, _ int) any { return v.StockID }},
		amount("market_value", func(q *pricing.Quote) data.Opt[data.Money] { return q.Market }),
		amount("market_low", func(q *pricing.Quote) data.Opt[data.Money] { return q.Low }),
		amount("market_high", func(q *pricing.Quote) data.Opt[data.Money] { return q.High }),
		{"comparables", 12, whole, func(v van, _ int) any { return v.Quote.SameModelSales }},
		{"method", 9, words, func(v van, _ int) any { return data.Title(v.Quote.Method) }},
		amount("price", func(q *pricing.Quote) data.Opt[data.Money] { return q.Price }),
		{"days_to_sell", 8, whole, func(v van, _ int) any { return optInt(v.Quote.DaysToSell) }},
		{"sell_within_60_pct", 10, onePlace, func(v van, _ int) any { return optDecimal(v.Quote.SellWithin60) }},
		{"price_ladder", 30, prose, func(v van, _ int) any {
			var steps []string
			for _, s := range v.Quote.Ladder {
				steps = append(steps, data.InPounds(s.Price)+" from "+s.From.Words())
			}
			return strings.Join(steps, "; ")
		}},
		{"reasons", 60, prose, func(v van, _ int) any { return strings.Join(v.Quote.Reasons, "; ") }},
		amount("ticket", func(q *pricing.Quote) data.Opt[data.Money] { return q.AskingPrice }),
		amount("plan_gain", func(q *pricing.Quote) data.Opt[data.Money] { return q.Gain }),
		amount("start_gain", func(q *pricing.Quote) data.Opt[data.Money] { return q.StartGain }),
		amount("steps_gain", func(q *pricing.Quote) data.Opt[data.Money] { return q.StepsGain }),
		{"nearest_sales", 40, words, func(v van, _ int) any {
			var sales []string
			for _, c := range v.Quote.Comparables {
				sales = append(sales, c.Sale.SaleID+" "+data.InPounds(c.Adjusted))
			}
			return strings.Join(sales, "; ")
		}},
		{"next_price_from", 13, day, func(v van, _ int) any {
			if len(v.Quote.Ladder) == 0 {
				return nil
			}
			return v.Quote.Ladder[0].From
		}},
		{"next_price", 13, money, func(v van, _ int) any {
			if len(v.Quote.Ladder) == 0 {
				return nil
			}
			return v.Quote.Ladder[0].Price
		}},
	}
}

// bidColumns are the columns of bids.csv; profit is a live formula.
func bidColumns() []column[*night.Van] {
	type van = *night.Van
	amount := func(title string, of func(b *pricing.Bid) data.Money) column[van] {
		return column[van]{title, 13, money, func(v van, _ int) any {
			if !v.Bid.Known {
				return nil
			}
			return of(v.Bid)
		}}
	}
	return []column[van]{
		{"stock_id", 12, words, func(v van, _ int) any { return v.StockID }},
		{"price", 13, money, func(v van, _ int) any { return optMoney(v.Quote.Price) }},
		{"prep_p50", 12, money, func(v van, _ int) any { return v.Prep.P50 }},
		{"prep_p80", 12, money, func(v van, _ int) any { return v.Prep.P80 }},
		amount("warranty", func(b *pricing.Bid) data.Money { return b.Breakdown.Warranty }),
		amount("holding", func(b *pricing.Bid) data.Money { return b.Breakdown.Holding }),
		amount("selling", func(b *pricing.Bid) data.Money { return b.Breakdown.Selling }),
		amount("vat", func(b *pricing.Bid) data.Money { return b.Breakdown.VAT }),
		amount("target_profit", func(b *pricing.Bid) data.Money { return b.Breakdown.Target }),
		amount("max_bid", func(b *pricing.Bid) data.Money { return b.MaxBid }),
		amount("opening_bid", func(b *pricing.Bid) data.Money { return b.OpeningBid }),
		amount("stand_in_value", func(b *pricing.Bid) data.Money { return b.StandIn }),
		{"confidence_pct", 10, whole, func(v van, _ int) any { return optDecimal(v.Bid.Confidence) }},
		{"reasons", 60, prose, func(v van, _ int) any { return strings.Join(v.Bid.Reasons, "; ") }},
		amount("cost", func(b *pricing.Bid) data.Money { return b.Breakdown.Cost }),
		{"profit", 13, money, func(v van, row int) any {
			if !v.Bid.Known {
				return nil
			}
			// price − vat − cost − prep_p80 − warranty − holding − selling
			return formula{text: fmt.Sprintf("ROUND(B%[1]d-H%[1]d-O%[1]d-D%[1]d-E%[1]d-F%[1]d-G%[1]d,2)", row), result: v.Bid.Breakdown.Profit}
		}},
		{"prep_days", 8, whole, func(v van, _ int) any { return v.Bid.PrepDays }},
		{"days_to_sell", 8, whole, func(v van, _ int) any { return optInt(v.Quote.DaysToSell) }},
		{"untested_risk", 12, money, func(v van, _ int) any { return v.Prep.Risk }},
		{"ready_days_p50", 9, whole, func(v van, _ int) any { return v.Bid.ReadyP50 }},
		{"ready_days_p80", 9, whole, func(v van, _ int) any { return v.Bid.ReadyP80 }},
	}
}
