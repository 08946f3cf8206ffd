package pricing

import (
	"fmt"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Bid is what may be offered for a van today, and why.
type Bid struct {
	Quote      Quote
	Prep       prep.Cost
	PrepDays   int // until it can be shown, were its work to come to the likely cost
	ReadyP50   int // days until it can be shown, as often sooner as later, hidden defects counted
	ReadyP80   int // the same, four times in five
	DaysToSell int // after that
	Known      bool
	MaxBid     data.Money      // as paid: VAT inside where that is recoverable
	OpeningBid data.Money      // at which the target is met with the policy's confidence
	StandIn    data.Money      // what the van is worth in part exchange: MaxBid
	Breakdown  ProfitBreakdown // at MaxBid, with preparation at its 80th percentile
	Confidence data.Opt[decimal.Decimal]
	Reasons    []string
}

// Bid works out the largest bid that leaves the target, as the policy defines
// it, with preparation at its 80th percentile; a lower one to open with; and
// the chance that the target is met at the largest.
func (m *Market) Bid(quote Quote, cost prep.Cost, prepDays int) Bid {
	v, policy := quote.Van, m.policy
	b := Bid{Quote: quote, Prep: cost, PrepDays: prepDays, DaysToSell: quote.DaysToSell.Or(0)}
	b.ReadyP50, b.ReadyP80 = readyIn(cost, prepDays, 0.5, policy), readyIn(cost, prepDays, 0.8, policy)
	t := VATTreatmentOf(v)
	if t.Doubt {
		b.Reasons = append(b.Reasons, "its invoice seems to show VAT: VAT on the whole price until vat_on_invoice says no")
	}
	if len(t.Barred) > 0 {
		b.Reasons = append(b.Reasons, "barred from the margin scheme: "+t.Why())
	}
	b.Reasons = append(b.Reasons, quote.Reasons...)
	if !quote.Price.Known {
		b.Reasons = append(b.Reasons, "no bid: no price can be given")
		return b
	}
	terms := b.saleTerms()
	b.Known = true
	var ok bool
	if b.MaxBid, ok = MaxBid(terms, policy); !ok {
		b.Reasons = append(b.Reasons, "no bid leaves the target profit")
	}
	terms.Cost = b.MaxBid
	b.Breakdown = Breakdown(terms, policy)
	b.StandIn = b.MaxBid

	chances := m.chancesOf(terms, quote, cost, prepDays)
	b.Confidence = data.Some(data.PercentOf(chances.meets(b.MaxBid), 0))
	b.OpeningBid = chances.opening(b.MaxBid)
	b.Reasons = append(b.Reasons, m.bidReasons(b, v)...)
	return b
}

// saleTerms is the sale that the largest bid is worked out for, without its cost.
func (b Bid) saleTerms() SaleTerms {
	return SaleTerms{
		VATTreatment: VATTreatmentOf(b.Quote.Van), Price: b.Quote.Price.Value,
		Prep: b.Prep.P80, Days: b.PrepDays + b.DaysToSell,
	}
}

func (m *Market) bidReasons(b Bid, v data.Van) []string {
	var reasons []string
	if owed := v.FinanceOwed; owed.Known && owed.Value.GreaterThan(b.MaxBid) {
		reasons = append(reasons, fmt.Sprintf("finance owed %s is above the bid by %s: settle before buying",
			data.InPounds(owed.Value), data.InPounds(owed.Value.Sub(b.MaxBid))))
	} else if owed.Known && owed.Value.IsPositive() {
		reasons = append(reasons, fmt.Sprintf("finance owed %s: get the lender's settlement in writing first", data.InPounds(owed.Value)))
	}
	if v.VATAssumed {
		reasons = append(reasons, "VAT scheme not recorded: margin scheme assumed")
	}
	if b.Prep.Risk.IsPositive() {
		reasons = append(reasons, fmt.Sprintf("untested points allowed for at %s", data.InPounds(b.Prep.Risk)))
	}
	return reasons
}
