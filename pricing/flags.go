package pricing

import (
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Flag is a word of margin.csv that asks somebody to look.
type Flag string

// The flags, in the order in which they are listed.
const (
	Unsafe        Flag = "unsafe"
	NoRetail      Flag = "salvage-no-retail"
	SchemeBarred  Flag = "margin-scheme-barred"
	SchemeInDoubt Flag = "vat-scheme-in-doubt"
	SchemeAssumed Flag = "vat-scheme-assumed"
	CostUnknown   Flag = "cost-unknown"
	AmountDoubt   Flag = "amount-in-doubt"
	MileageDoubt  Flag = "mileage-in-doubt"
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
	// youngDays and overAgeDays are the ends of a motorhome's usual 60 to 120
	// days in stock. Common practice, no source.
	youngDays, overAgeDays = 60, 120
	// overAgeParts is how many times the holding to date must go into the
	// profit wanted for a van not to be over age. Common practice, no source.
	overAgeParts = 2
	// prepOverShare is how far work may outrun the book before it is flagged.
	prepOverShare = 1.25
)

// flags lists what somebody should look at.
func flags(row MarginRow, a appraise.Assessment, jobs []prep.Job, quote Quote, policy data.Policy, asOf data.Date) []Flag {
	v, r, t := row.Van, row.Breakdown, VATTreatmentOf(row.Van)
	sold := v.Status == data.Sold
	var out []Flag
	when := func(cond bool, f Flag) {
		if cond {
			out = append(out, f)
		}
	}
	when(!sold && len(a.Stops()) > 0, Unsafe)
	when(t.NoRetail, NoRetail)
	when(v.VAT == data.MarginScheme && len(t.Barred) > 0, SchemeBarred)
	when(v.VATDoubt || t.Margin && fromTrade(v) && !v.VATOnInvoice.Known, SchemeInDoubt)
	when(v.VATAssumed, SchemeAssumed)
	when(!v.Cost.Known, CostUnknown)
	when(len(Doubts(v, quote)) > 0, AmountDoubt)
	when(!sold && a.Papers.MileageDoubt != "", MileageDoubt)
	when(!row.Price.Known, NoPrice)
	when(v.FinanceOwed.Known && v.FinanceOwed.Value.IsPositive(), FinanceOwed)
	when(row.Known && r.Profit.IsNegative(), BelowCost)
	when(row.Known && !r.Profit.IsNegative() && r.Profit.LessThan(r.Target), BelowTarget)
	when(!sold && overAge(row, policy), OverAge)
	when(!sold && row.Basis == OnExpected && awayFromMarket(quote), OffMarket)
	when(overrun(jobs), PrepOver)
	when(!sold && len(MissingToHandOver(&a, asOf)) > 0, PaperBlocks)
	return out
}

// fromTrade reports whether the van came from a seller who often gives an
// invoice that shows VAT, which bars the van from the margin scheme.
func fromTrade(v data.Van) bool {
	return v.PurchaseSource == data.Trade || v.PurchaseSource == data.Auction
}

// overAge reports whether the van has stood too long, in days or in pounds:
// past the usual days in stock, or well into them while its holding to date has
// eaten half of the profit wanted of it. A cheap van, of which little profit is
// wanted, and a dear one on borrowed money get there first.
func overAge(row MarginRow, policy data.Policy) bool {
	if row.DaysHeld > overAgeDays {
		return true
	}
	if !row.Known || row.DaysHeld <= youngDays {
		return false
	}
	soFar := Holding(row.DaysHeld, row.Breakdown.Cost, policy)
	return soFar.Mul(decimal.NewFromInt(overAgeParts)).GreaterThan(row.Breakdown.Target)
}

// awayFromMarket reports whether what the asking price usually brings lies
// beyond the interval that holds nine in ten of such sales.
func awayFromMarket(q Quote) bool {
	paid := q.usualSale
	return paid.Known && q.Market.Known && (paid.Value.LessThan(q.Low.Value) || paid.Value.GreaterThan(q.High.Value))
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

// MissingToHandOver says which papers keep a van from being handed over: no
// registration document, no current test certificate. Empty where none does.
func MissingToHandOver(a *appraise.Assessment, asOf data.Date) []string {
	var missing []string
	if slices.Contains(a.Papers.Missing, "registration") {
		missing = append(missing, data.Title("registration")+" missing")
	}
	mot := a.Papers.MOTExpires
	switch {
	case mot.IsZero() && a.Van.AgeYears(asOf) >= 3:
		missing = append(missing, "no "+data.Title("mot"))
	case !mot.IsZero() && mot < asOf:
		missing = append(missing, data.Title("mot")+" expired on "+mot.Words())
	}
	return missing
}
