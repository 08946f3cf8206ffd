package prep

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/data"
)

// How orders correct the parts book. Common practice, no source: the book counts
// as much as five orders; below three a part has no word of its own; and a price
// or a wait of more than three times the book's, or less than a third, is more
// often a slip than a lesson and teaches nothing.
const (
	bookOrders   = 5.0
	fewestOrders = 3
	wildOrder    = 3.0
)

// SupplyFactor is what a part's price or lead time is multiplied by.
type SupplyFactor struct {
	Part      string // blank: all parts
	Price     bool   // the unit cost; otherwise the days until it is in
	Orders    int    // and jobs or vans whose parts were paid for
	Factor    float64
	Low, High float64 // nine times in ten it lies between the two
}

// Supply is what orders taught of prices and lead times. The zero value changes
// nothing.
type Supply struct{ factors []SupplyFactor } // prices first; all parts, then by part

// Factors lists what was learnt.
func (s Supply) Factors() []SupplyFactor { return s.factors }

// LearnSupply holds what parts cost and how long they took against the book: by orders,
// and by what was paid for the parts of finished jobs.
func LearnSupply(orders []data.Order, spent []Spent, books *data.Books) Supply {
	type kind struct {
		part  string
		price bool
	}
	logs := map[kind][]float64{}
	add := func(part string, price bool, ratio float64) {
		if ratio >= 1/wildOrder && ratio <= wildOrder {
			logs[kind{part, price}] = append(logs[kind{part, price}], math.Log(ratio))
		}
	}
	for _, o := range orders {
		part, ok := books.Part(o.Part)
		if !ok {
			continue
		}
		if o.UnitCost.Known && part.UnitCost.IsPositive() && o.UnitCost.Value.IsPositive() {
			add(o.Part, true, o.UnitCost.Value.InexactFloat64()/part.UnitCost.InexactFloat64())
		}
		if days := o.ArrivedOn.DaysSince(o.OrderedOn); !o.ArrivedOn.IsZero() && !o.OrderedOn.IsZero() && days > 0 && part.LeadDays > 0 {
			add(o.Part, false, float64(days)/float64(part.LeadDays))
		}
	}
	for _, x := range spent {
		add(x.Part, true, x.Paid/x.Book)
	}
	var s Supply
	for _, price := range []bool{true, false} {
		var all []float64
		var parts []kind
		for k, of := range logs { // sorted below
			if k.price == price {
				slices.Sort(of)
				parts = append(parts, k)
			}
		}
		slices.SortFunc(parts, func(a, b kind) int { return cmp.Compare(a.part, b.part) })
		for _, k := range parts {
			all = append(all, logs[k]...)
		}
		if len(all) < fewestOrders {
			continue
		}
		common := supplyFactor("", price, all, 0)
		s.factors = append(s.factors, common)
		for _, k := range parts {
			if len(logs[k]) >= fewestOrders && k.part != "" {
				s.factors = append(s.factors, supplyFactor(k.part, price, logs[k], math.Log(common.Factor)))
			}
		}
	}
	return s
}

// supplyFactor shrinks the mean of some log ratios toward a prior.
func supplyFactor(part string, price bool, logs []float64, prior float64) SupplyFactor {
	n := float64(len(logs))
	mean, sd := stat.MeanStdDev(logs, nil)
	mean = (n*mean + bookOrders*prior) / (n + bookOrders)
	within := 1.645 * max(sd, 0.02) / math.Sqrt(n+bookOrders)
	return SupplyFactor{
		Part: part, Price: price, Orders: len(logs),
		Factor: math.Exp(mean), Low: math.Exp(mean - within), High: math.Exp(mean + within),
	}
}

// Books returns books whose parts cost and take what the orders teach.
func (s Supply) Books(books *data.Books) *data.Books {
	if len(s.factors) == 0 {
		return books
	}
	factor := func(part string, price bool) float64 {
		f := 1.0
		for _, x := range s.factors {
			if x.Price == price && (x.Part == "" || x.Part == part) {
				f = x.Factor // the part's own comes after that of all
			}
		}
		return f
	}
	return books.WithParts(func(p data.Part) data.Part {
		p.UnitCost = data.Pounds(p.UnitCost.InexactFloat64() * factor(p.Code, true))
		p.LeadDays = int(math.Round(float64(p.LeadDays) * factor(p.Code, false)))
		return p
	})
}
