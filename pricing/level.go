package pricing

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/data"
)

const (
	// levelDays is how far back our own sales speak for the level of our prices.
	levelDays = 365
	// levelSD is how far, as a standard deviation of the log, what our vans fetch
	// lies off what the past sales say of them. Common practice, no source.
	levelSD = 0.035
)

// Level is how far what our own vans fetched lay off their value by all past
// sales.
type Level struct {
	Sales     int
	Factor    float64 // in force: values are multiplied by it; 1 where nothing was learnt
	Low, High float64 // nine times in ten it lies between the two
}

// LearnLevel corrects the level of all values by our own sales of the last year:
// the mean of what they fetched over their values by a model that left each out,
// as logs, shrunk toward nothing by how widely they scatter. own reports whether a
// sale_id is that of a van of ours.
func (m *Market) LearnLevel(own func(saleID string) bool) {
	if m.model == nil {
		return
	}
	var off []float64
	for _, s := range m.sales {
		if s.SoldOn.IsZero() || m.asOf.DaysSince(s.SoldOn) > levelDays || !own(s.SaleID) {
			continue
		}
		p, err := m.model.Predict(thingOfSale(s, s.SoldOn).row(m.milesPerYear, m.asOf))
		if err != nil {
			continue
		}
		off = append(off, math.Log(s.SoldPrice.Value.InexactFloat64())-leftOut(s, p))
	}
	if len(off) < 2 {
		return
	}
	n := float64(len(off))
	mean, sd := stat.MeanStdDev(off, nil)
	sd = max(sd, 0.01)
	book := sd * sd / (levelSD * levelSD) // sales that the past sales' own level weighs as
	log, within := mean*n/(n+book), z90*sd/math.Sqrt(n+book)
	m.level = Level{len(off), math.Exp(log), math.Exp(log - within), math.Exp(log + within)}
}

// LearnWarranty returns the policy with what warranty costs a van: the claims of
// costs.csv over the vans sold, the policy's figure counted as twenty vans. A
// yard that records no claim keeps the policy's.
func LearnWarranty(vans []data.Van, costs map[string][]data.Cost, policy data.Policy, asOf data.Date) (data.Policy, Warranty) {
	var claims []float64
	recorded := false
	for i := range vans {
		v := &vans[i]
		if age := asOf.DaysSince(v.SoldOn); v.Status != data.Sold || v.SoldOn.IsZero() || age < warrantyDays || age > claimYears*365 {
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
		return policy, Warranty{}
	}
	n := float64(len(claims))
	mean, sd := stat.MeanStdDev(claims, nil)
	book := policy.WarrantyCost.InexactFloat64()
	learnt := max(0, (n*mean+bookWarranty*book)/(n+bookWarranty))
	within := z90 * sd / math.Sqrt(n+bookWarranty)
	w := Warranty{
		Vans: len(claims), Book: policy.WarrantyCost, Learnt: data.Pence(data.Pounds(learnt)),
		Low: data.Pounds(max(0, learnt-within)), High: data.Pounds(learnt + within),
	}
	policy.WarrantyCost = w.Learnt
	return policy, w
}

// A van's claims are known once it has been out for warrantyDays, and old ones are
// not looked at; the policy's figure weighs as bookWarranty vans. Common practice,
// no source: a used motorhome carries three months' warranty.
const (
	warrantyDays = 90
	claimYears   = 3
	bookWarranty = 20.0
)

// Warranty is what the yard's claims teach of its cost a van.
type Warranty struct {
	Vans         int // sold, whose claims are known; 0: nothing was learnt
	Book, Learnt data.Money
	Low, High    data.Money // nine times in ten the mean lies between the two
}
