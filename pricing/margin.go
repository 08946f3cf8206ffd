package pricing

import (
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// PriceBasis says which price a margin is reckoned on.
type PriceBasis string

// The bases, the surest first.
const (
	OnSold    PriceBasis = "sold"
	OnAsking  PriceBasis = "asking"
	OnAdvised PriceBasis = "advised"
	OnNothing PriceBasis = ""
)

// Flag is a word of margin.csv that asks somebody to look.
type Flag string

// The flags, in the order in which they are listed.
const (
	NoRetail      Flag = "salvage-no-retail"
	SchemeBarred  Flag = "margin-scheme-barred"
	SchemeInDoubt Flag = "vat-scheme-in-doubt"
	SchemeAssumed Flag = "vat-scheme-assumed"
	CostUnknown   Flag = "cost-unknown"
	NoPrice       Flag = "no-price"
	FinanceOwed   Flag = "finance-owed"
	BelowCost     Flag = "below-cost"
	BelowTarget   Flag = "below-target"
	OverAge       Flag = "over-age"
	OffMarket     Flag = "away-from-market"
	PrepOver      Flag = "prep-over-estimate"
	PaperBlocks   Flag = "paper-blocks-sale"
)

const (
	// overAgeDays is the upper end of a motorhome's usual 60 to 120 days in
	// stock. Common practice, no source.
	overAgeDays = 120
	// prepOverShare is how far work may outrun the book before it is flagged.
	prepOverShare = 1.25
)

// MarginRow is what one van in hand or sold leaves. Unknown amounts mean that
// a flag says why.
type MarginRow struct {
	Van        data.Van
	DaysHeld   int
	DaysToSell int // 0 for a sold van
	Basis      PriceBasis
	Known      bool // Reckoning is complete: price and cost are known
	Price      data.Opt[data.Money]
	Cost       data.Opt[data.Money] // net of VAT where recoverable
	Reckoning  Reckoning
	Flags      []Flag
}

// Margin reckons one van that is in hand or sold. quote is ignored for a sold
// van.
func Margin(a appraise.Assessment, jobs []prep.Job, quote Quote, policy data.Policy, asOf data.Date) MarginRow {
	v := a.Van
	t := TreatmentOf(v)
	row := MarginRow{Van: v}
	end := asOf
	if v.Status == data.Sold {
		end = v.SoldOn
	}
	if !v.Acquired.IsZero() {
		row.DaysHeld = max(0, end.DaysSince(v.Acquired))
	}
	row.Price, row.Basis = priceOf(v, t, quote)
	if v.Status != data.Sold {
		row.DaysToSell = quote.DaysToSell.Or(0)
	}
	sale := Resale{
		Treatment: t,
		Price:     row.Price.Value,
		Cost:      v.Cost.Value,
		Prep:      prep.Total(jobs),
		Days:      row.DaysHeld + row.DaysToSell,
	}
	row.Reckoning = Reckon(sale, policy)
	row.Known = row.Price.Known && v.Cost.Known
	if v.Cost.Known {
		row.Cost = data.Some(row.Reckoning.Cost)
	}
	row.Flags = flags(row, a, jobs, quote, t, asOf)
	return row
}

// priceOf picks the price a margin is reckoned on.
func priceOf(v data.Van, t Treatment, quote Quote) (data.Opt[data.Money], PriceBasis) {
	switch {
	case v.Status == data.Sold:
		return data.OptPence(v.SoldPrice), OnSold
	case t.NoRetail:
		return data.Opt[data.Money]{}, OnNothing
	case v.Asking.Known:
		return data.OptPence(v.Asking), OnAsking
	case quote.Price.Known:
		return quote.Price, OnAdvised
	}
	return data.Opt[data.Money]{}, OnNothing
}

func flags(row MarginRow, a appraise.Assessment, jobs []prep.Job, quote Quote, t Treatment, asOf data.Date) []Flag {
	v, r := row.Van, row.Reckoning
	sold := v.Status == data.Sold
	var out []Flag
	when := func(cond bool, f Flag) {
		if cond {
			out = append(out, f)
		}
	}
	when(t.NoRetail, NoRetail)
	when(v.VAT == data.MarginScheme && len(t.Barred) > 0, SchemeBarred)
	// Vans from auctions and the trade often come on an invoice that shows VAT.
	when(t.Margin && (v.BoughtFrom == data.Trade || v.BoughtFrom == data.Auction), SchemeInDoubt)
	when(v.VATAssumed, SchemeAssumed)
	when(!v.Cost.Known, CostUnknown)
	when(!row.Price.Known, NoPrice)
	when(v.FinanceOwed.Known && v.FinanceOwed.Value.IsPositive(), FinanceOwed)
	when(row.Known && r.Profit.IsNegative(), BelowCost)
	when(row.Known && !r.Profit.IsNegative() && r.Profit.LessThan(r.Target), BelowTarget)
	when(!sold && row.DaysHeld > overAgeDays, OverAge)
	when(!sold && row.Basis == OnAsking && quote.Market.Known && outside(v.Asking.Value, quote), OffMarket)
	when(overrun(jobs), PrepOver)
	when(!sold && blocked(a, asOf), PaperBlocks)
	return out
}

// outside reports whether an asking price lies beyond the market's interval.
func outside(asking data.Money, q Quote) bool {
	return asking.LessThan(q.Low.Value) || asking.GreaterThan(q.High.Value)
}

// overrun reports whether the hours now expected exceed the book's by a
// quarter over all jobs that have begun.
func overrun(jobs []prep.Job) bool {
	book, now := 0.0, 0.0
	for _, j := range jobs {
		if j.HoursSpent.IsPositive() {
			book += j.Book.Mean()
			now += j.HoursP50.InexactFloat64()
		}
	}
	return book > 0 && now > prepOverShare*book
}

// blocked reports whether a paper keeps the van from being handed over: no
// registration paper, no current test certificate, or finance not settled.
func blocked(a appraise.Assessment, asOf data.Date) bool {
	if slices.Contains(a.Papers.Missing, "registration") {
		return true
	}
	return a.Papers.MOTExpires.IsZero() && a.Van.AgeYears(asOf) >= 3 ||
		!a.Papers.MOTExpires.IsZero() && a.Papers.MOTExpires < asOf
}

// Sum adds up the rounded amounts of the rows whose reckoning is complete.
func Sum(rows []MarginRow) Reckoning {
	var s Reckoning
	for _, row := range rows {
		if !row.Known {
			continue
		}
		r := row.Reckoning
		s.Price = s.Price.Add(r.Price)
		s.VAT = s.VAT.Add(r.VAT)
		s.Cost = s.Cost.Add(r.Cost)
		s.Prep = s.Prep.Add(r.Prep)
		s.Warranty = s.Warranty.Add(r.Warranty)
		s.Holding = s.Holding.Add(r.Holding)
		s.Selling = s.Selling.Add(r.Selling)
		s.Profit = s.Profit.Add(r.Profit)
		s.Target = s.Target.Add(r.Target)
	}
	s.ProfitPct = data.Percent(s.Profit, s.Price.Sub(s.VAT), 1)
	return s
}

// DayValue returns what a day's delay of a van costs: its pitch and interest,
// and the profit expected of it spread over the days it takes to sell.
func DayValue(row MarginRow, policy data.Policy) data.Money {
	perDay := Holding(1, row.Cost.Value, policy)
	if row.Known && row.Reckoning.Profit.IsPositive() {
		days := max(row.DaysToSell, 1)
		perDay = perDay.Add(data.Pence(data.Share(row.Reckoning.Profit, days)))
	}
	return perDay
}
