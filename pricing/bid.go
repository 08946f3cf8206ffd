package pricing

import (
	"fmt"
	"math"
	"sort"

	"github.com/shopspring/decimal"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Bid is what may be offered for a van today, and why.
type Bid struct {
	Quote      Quote
	Prep       prep.Cost
	PrepDays   int // until it can be shown
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
	t := VATTreatmentOf(v)
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

	odds := m.odds(terms, quote, cost, prepDays)
	b.Confidence = data.Some(data.PercentOf(odds.meets(b.MaxBid), 0))
	b.OpeningBid = odds.opening(b.MaxBid)
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

// odds holds what is uncertain in a bid: the price fetched is log-normal about
// the price asked, preparation has the distribution of its Cost, and the days
// to sell follow the market's timing, all independent.
type odds struct {
	terms    SaleTerms
	policy   data.Policy
	prep     prep.Cost
	prices   []float64 // equally likely
	days     []float64 // equally likely
	prepDays int
}

// Points of the sums that stand for the two integrals.
const pricePoints, dayPoints = 41, 9

func (m *Market) odds(terms SaleTerms, quote Quote, cost prep.Cost, prepDays int) odds {
	o := odds{terms: terms, policy: m.policy, prep: cost, prepDays: prepDays}
	price := quote.Price.Value.InexactFloat64()
	for i := range pricePoints {
		z := distuv.UnitNormal.Quantile((float64(i) + 0.5) / pricePoints)
		o.prices = append(o.prices, price*math.Exp(quote.LogSD*z))
	}
	ratio := price / quote.Market.Value.InexactFloat64()
	for i := range dayPoints {
		p := (float64(i) + 0.5) / dayPoints
		o.days = append(o.days, math.Min(m.timing.model.Quantile(p, m.timing.at(ratio, m.asOf, quote.Van.Body)), 3*365))
	}
	return o
}

// meets returns the chance that a van bought at bid leaves its target: over
// prices and days, the chance that preparation costs no more than what they
// leave room for.
func (o odds) meets(bid data.Money) float64 {
	t, policy := o.terms.VATTreatment, o.policy
	rate := policy.VATRate.InexactFloat64()
	share := rate / (1 + rate)
	paid := bid.InexactFloat64()
	cost := t.NetCost(bid, policy).InexactFloat64()
	perDay := policy.PitchCostPerDay.InexactFloat64() + cost*policy.StockingRate.InexactFloat64()/365
	fixed := policy.WarrantyCost.Add(policy.SellingCost).InexactFloat64()
	pct, least := policy.TargetProfitPct.InexactFloat64()/100, policy.TargetProfitMin.InexactFloat64()
	sum := 0.0
	for _, price := range o.prices {
		taxed := price
		if t.Margin {
			taxed = price - paid
		}
		net := price - share*max(0, taxed)
		room := net - cost - fixed - max(pct*net, least)
		for _, days := range o.days {
			sum += o.prep.Spread.ChanceWithin(room - perDay*(float64(o.prepDays)+days))
		}
	}
	return sum / float64(len(o.prices)*len(o.days))
}

// opening returns the largest bid, not above the maximum, at which the target
// is met with the policy's confidence. The chance falls as the bid rises.
func (o odds) opening(maxBid data.Money) data.Money {
	step := o.policy.BidStep
	steps := int(data.Steps(maxBid, step))
	k := sort.Search(steps+1, func(k int) bool {
		return o.meets(step.Mul(decimal.NewFromInt(int64(k)))) < o.policy.Confidence
	})
	return step.Mul(decimal.NewFromInt(int64(max(k-1, 0))))
}
