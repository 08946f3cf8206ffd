package pricing

import (
	"math"
	"sort"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing/forecast"
)

// Work that was not foreseen takes days as well as money: of a pound above the
// likely figure this share is labour, and on one van this many hours are worked
// on a calendar day. Common practice, no source.
const (
	labourShare  = 0.6
	hoursPerDay  = 8.0 * 5 / 7
	lowestProfit = 0.1 // of the draws lie below the low end of a range of profits
)

// chances holds what is uncertain in a bid: price and day of sale come from the
// quote's forecast, preparation has the distribution of its Cost, and what it
// costs above the likely figure delays the sale.
type chances struct {
	terms    SaleTerms
	policy   data.Policy
	prep     prep.Cost
	draws    forecast.Draws
	prepDays int
}

// chancesOf lays out the chances of a bid. The van is put up for sale prepDays
// from now, and is worth the less by then.
func (m *Market) chancesOf(terms SaleTerms, quote Quote, cost prep.Cost, prepDays int) chances {
	draws := m.outlook(&quote, quote.asks, 0, prepDays).draws
	return chances{terms: terms, policy: m.policy, prep: cost, draws: draws, prepDays: prepDays}
}

// money is what a sale of one van comes to, in float64 pounds: chances weigh
// hundreds of draws, and no penny of them becomes a column.
type money struct {
	paid, cost         float64 // the purchase as paid, and net
	share, perDay      float64 // VAT within what is taxed; holding for a day
	fixed              float64 // warranty and selling
	onMargin           bool
	targetPct, targetL float64 // of price less VAT; at the least
}

func moneyOf(terms SaleTerms, bought data.Money, policy data.Policy) money {
	t, rate := terms.VATTreatment, policy.VATRate.InexactFloat64()
	cost := t.NetCost(bought, policy).InexactFloat64()
	return money{
		paid: bought.InexactFloat64(), cost: cost, share: rate / (1 + rate), onMargin: t.Margin,
		perDay:    policy.PitchCostPerDay.InexactFloat64() + cost*policy.StockingRate.InexactFloat64()/365,
		fixed:     policy.WarrantyCost.Add(policy.SellingCost).InexactFloat64(),
		targetPct: policy.TargetProfitPct.InexactFloat64() / 100, targetL: policy.TargetProfitMin.InexactFloat64(),
	}
}

// leaves is the price less VAT, and what is left of it after the purchase and
// what every sale costs, before preparation and holding.
func (m money) leaves(price float64) (net, left float64) {
	taxed := price
	if m.onMargin {
		taxed -= m.paid
	}
	net = price - m.share*max(0, taxed)
	return net, net - m.cost - m.fixed
}

// meets returns the chance that a van bought at bid leaves its target: over the
// draws, the chance that preparation, with the delay that it brings, costs no
// more than what they leave room for.
func (c chances) meets(bid data.Money) float64 {
	m := moneyOf(c.terms, bid, c.policy)
	likely := c.prep.P50.InexactFloat64()
	delay := m.perDay * daysPerPound(c.policy) // pounds of holding for a pound of work
	sum := 0.0
	for _, d := range c.draws {
		net, left := m.leaves(d.Price)
		room := left - max(m.targetPct*net, m.targetL) - m.perDay*float64(c.prepDays+d.Days)
		if room > likely {
			room = (room + delay*likely) / (1 + delay)
		}
		sum += d.Weight * c.prep.Spread.ChanceWithin(room)
	}
	return sum
}

// daysPerPound is by how many days a pound of work that was not foreseen delays a van.
// Labour that costs nothing says nothing of days.
func daysPerPound(policy data.Policy) float64 {
	rate := policy.LabourCostPerHour.InexactFloat64()
	if rate <= 0 {
		return 0
	}
	return labourShare / hoursPerDay / rate
}

// readyIn is how many days from now a van is ready by with chance p, which takes prepDays
// where its work comes to the likely cost: what hidden defects cost takes days too.
func readyIn(cost prep.Cost, prepDays int, p float64, policy data.Policy) int {
	more := max(0, cost.Spread.Quantile(p)-cost.P50.InexactFloat64())
	return prepDays + int(math.Ceil(more*daysPerPound(policy)))
}

// opening returns the largest bid, not above the maximum, at which the target
// is met with the policy's confidence. The chance falls as the bid rises.
func (c chances) opening(maxBid data.Money) data.Money {
	step := c.policy.BidStep
	steps := int(data.Steps(maxBid, step))
	k := sort.Search(steps+1, func(k int) bool {
		return c.meets(step.Mul(decimal.NewFromInt(int64(k)))) < c.policy.Confidence
	})
	return step.Mul(decimal.NewFromInt(int64(max(k-1, 0))))
}

// ProfitRange is what a van in hand may leave, to the pound: four times in five
// between the two, with preparation at its likely cost.
type ProfitRange struct{ Low, High data.Money }

// profitRange reads what a van may leave from the forecast of the price that its
// margin is worked out from; unknown where there is none.
func profitRange(sale SaleTerms, row MarginRow, quote Quote, policy data.Policy) data.Opt[ProfitRange] {
	draws := quote.draws
	if row.Basis == OnExpected {
		if quote.AtAsking == nil {
			return data.Opt[ProfitRange]{}
		}
		draws = quote.AtAsking.draws
	}
	if len(draws) == 0 {
		return data.Opt[ProfitRange]{}
	}
	m := moneyOf(sale, sale.Cost, policy)
	spent := sale.Prep.InexactFloat64()
	profit := func(d forecast.Draw) float64 {
		_, left := m.leaves(d.Price)
		return left - spent - m.perDay*float64(row.DaysHeld+d.Days)
	}
	return data.Some(ProfitRange{
		Low:  data.Estimate(draws.Quantile(lowestProfit, profit)),
		High: data.Estimate(draws.Quantile(1-lowestProfit, profit)),
	})
}
