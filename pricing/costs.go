package pricing

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/data"
)

// A van's claims are known once it has been out for warrantyDays, and old ones are
// not looked at; the policy's figure weighs as bookVans vans. A cost of more than
// wildCost times the policy's figure, or its selling at less than the same share, is more
// often a slip than a lesson. Common practice, no source: a used motorhome carries three
// months' warranty.
const (
	warrantyDays = 90
	costYears    = 3
	bookVans     = 20.0
	wildCost     = 5.0
)

// CostOfVan is what the yard's costs teach of a cost that every van has.
type CostOfVan struct {
	Vans         int // sold, whose cost is known; 0: nothing was learnt
	Book, Learnt data.Money
	Low, High    data.Money // nine times in ten the mean lies between the two
}

// PaidFor adds up what was paid for a van, ex VAT: its preparation, and apart from it
// claims on its warranty. A sum is unknown where there is nothing in it.
func PaidFor(costs []data.Cost) (prep, claims data.Opt[data.Money]) {
	for _, c := range costs {
		to := &prep
		if c.Kind == data.WarrantyClaim {
			to = &claims
		}
		*to = data.Some(to.Value.Add(c.Amount))
	}
	return prep, claims
}

// LearnWarranty returns the policy with what warranty costs a van: the claims of
// costs.csv over the vans sold, the policy's figure counted as twenty vans. A
// yard that records no claim keeps the policy's.
func LearnWarranty(vans []data.Van, costs map[string][]data.Cost, policy data.Policy, asOf data.Date) (data.Policy, CostOfVan) {
	var claims []float64
	recorded := false
	for i := range vans {
		v := &vans[i]
		if age := asOf.DaysSince(v.SoldOn); v.Status != data.Sold || v.SoldOn.IsZero() || age < warrantyDays || age > costYears*365 {
			continue
		}
		sum := 0.0
		for _, c := range costs[v.StockID] {
			if c.Kind == data.WarrantyClaim {
				sum += c.Amount.InexactFloat64()
				recorded = true
			}
		}
		claims = append(claims, sum)
	}
	if !recorded || len(claims) < 2 {
		return policy, CostOfVan{}
	}
	learnt := costOf(claims, policy.WarrantyCost)
	policy.WarrantyCost = learnt.Learnt
	return policy, learnt
}

// LearnSelling returns the policy with what it costs to sell a van: the rows of kind
// other and transport in costs.csv from the day on which a sold van was listed. Vans
// for which nobody booked any say nothing, since most yards don't book adverts by van.
func LearnSelling(vans []data.Van, costs map[string][]data.Cost, policy data.Policy, asOf data.Date) (data.Policy, CostOfVan) {
	book := policy.SellingCost.InexactFloat64()
	var paid []float64
	for i := range vans {
		v := &vans[i]
		if v.Status != data.Sold || v.SoldOn.IsZero() || v.Listed.IsZero() || asOf.DaysSince(v.SoldOn) > costYears*365 {
			continue
		}
		sum := 0.0
		for _, c := range costs[v.StockID] {
			if (c.Kind == data.OtherCost || c.Kind == data.TransportCost) && c.On >= v.Listed {
				sum += c.Amount.InexactFloat64()
			}
		}
		if sum > book/wildCost && sum < book*wildCost {
			paid = append(paid, sum)
		}
	}
	if len(paid) < 2 {
		return policy, CostOfVan{}
	}
	learnt := costOf(paid, policy.SellingCost)
	policy.SellingCost = learnt.Learnt
	return policy, learnt
}

// costOf shrinks the mean of some vans' cost toward the policy's.
func costOf(paid []float64, book data.Money) CostOfVan {
	n := float64(len(paid))
	mean, sd := stat.MeanStdDev(paid, nil)
	learnt := max(0, (n*mean+bookVans*book.InexactFloat64())/(n+bookVans))
	within := z90 * sd / math.Sqrt(n+bookVans)
	return CostOfVan{
		Vans: len(paid), Book: book, Learnt: data.Pence(data.Pounds(learnt)),
		Low: data.Pounds(max(0, learnt-within)), High: data.Pounds(learnt + within),
	}
}
