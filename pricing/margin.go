package pricing

import (
	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// PriceBasis says which price a margin is worked out from.
type PriceBasis string

// The bases, the surest first.
const (
	OnSold     PriceBasis = "sold"
	OnExpected PriceBasis = "expected" // what it should fetch at its asking price
	OnAdvised  PriceBasis = "advised"
	OnAsking   PriceBasis = "asking" // a deal's, as is the next
	OnAgreed   PriceBasis = "agreed"
	OnNothing  PriceBasis = ""
)

// MarginRow is what one van in hand or sold leaves. Unknown amounts mean that
// a flag says why.
type MarginRow struct {
	Van        data.Van
	DaysHeld   int
	DaysToSell int // 0 for a sold van
	Basis      PriceBasis
	Known      bool // Breakdown is complete: price and cost are known
	Price      data.Opt[data.Money]
	Asking     data.Opt[data.Money] // as in the table; what Price is expected of
	Cost       data.Opt[data.Money] // net of VAT where recoverable
	Breakdown  ProfitBreakdown
	Range      data.Opt[ProfitRange] // of a van not sold
	Flags      []Flag
}

// Margin works out one van that is in hand or sold. costs are what was paid for
// it beside its price, which replaces what was estimated. quote is ignored for a
// sold van.
func Margin(a appraise.Assessment, jobs []prep.Job, costs []data.Cost, quote Quote, policy data.Policy, asOf data.Date) MarginRow {
	v := a.Van
	t := VATTreatmentOf(v)
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
		row.Asking = data.OptPence(v.Asking)
		row.DaysToSell = quote.DaysToSell.Or(0)
		if row.Basis == OnExpected && quote.AtAsking != nil {
			row.DaysToSell = quote.AtAsking.Days
		}
	}
	sale := SaleTerms{
		VATTreatment: t,
		Price:        row.Price.Value,
		Cost:         v.Cost.Value,
		Prep:         prepPaid(jobs, costs),
		Claims:       claims(v, costs),
		Days:         row.DaysHeld + row.DaysToSell,
	}
	row.Breakdown = Breakdown(sale, policy)
	row.Known = row.Price.Known && v.Cost.Known
	if v.Cost.Known {
		row.Cost = data.Some(row.Breakdown.Cost)
	}
	if row.Known && v.Status != data.Sold {
		row.Range = profitRange(sale, row, quote, policy)
	}
	row.Flags = flags(row, a, jobs, quote, policy, asOf)
	return row
}

// prepPaid is what preparation comes to, ex VAT: parts that were paid for stand in
// place of those estimated for the jobs that are begun or done; work sent out,
// transport and whatever else was paid come on top.
func prepPaid(jobs []prep.Job, costs []data.Cost) data.Money {
	sum, partsPaid := prep.Total(jobs), false
	for _, c := range costs {
		switch c.Kind {
		case data.PartsCost:
			partsPaid = true
			sum = sum.Add(c.Amount)
		case data.SubletCost, data.TransportCost, data.OtherCost:
			sum = sum.Add(c.Amount)
		}
	}
	for _, j := range jobs {
		if partsPaid && (j.State == data.JobDone || j.State == data.JobStarted) {
			sum = sum.Sub(j.PartsCost)
		}
	}
	return sum
}

// claims is what a sold van's warranty has cost; unknown where nothing is recorded.
func claims(v data.Van, costs []data.Cost) (sum data.Opt[data.Money]) {
	for _, c := range costs {
		if v.Status == data.Sold && c.Kind == data.WarrantyClaim {
			sum = data.Some(sum.Value.Add(c.Amount))
		}
	}
	return sum
}

// priceOf picks the price a margin is worked out from.
func priceOf(v data.Van, t VATTreatment, quote Quote) (data.Opt[data.Money], PriceBasis) {
	switch {
	case v.Status == data.Sold:
		return data.OptPence(v.SoldPrice), OnSold
	case t.NoRetail:
		return data.Opt[data.Money]{}, OnNothing
	case quote.ExpectedSale.Known:
		return quote.ExpectedSale, OnExpected
	case quote.Price.Known:
		return quote.Price, OnAdvised
	}
	return data.Opt[data.Money]{}, OnNothing
}

// DayValue returns what a day's delay of a van costs: its pitch and interest,
// and the profit expected of it spread over the days it takes to sell.
func DayValue(row MarginRow, policy data.Policy) data.Money {
	perDay := Holding(1, row.Cost.Value, policy)
	if row.Known && row.Breakdown.Profit.IsPositive() {
		days := max(row.DaysToSell, 1)
		perDay = perDay.Add(data.Pence(data.Share(row.Breakdown.Profit, days)))
	}
	return perDay
}
