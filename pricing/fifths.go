package pricing

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// FifthRealised is how good our prices were for a fifth of the sold vans, by the
// price that was advised for them.
type FifthRealised struct {
	From, To data.Money // advised prices, both inside
	Sold     int
	Advised  ErrorStats // fetched against advised price
	Within   decimal.Decimal
}

// fewestInFifths is how many sold vans a fifth needs for its share within the range
// to say anything. Common practice, no source.
const fewestInFifths = 4

// ByFifths sums up outcomes by fifths of the price that was advised, the cheapest
// first. There are none where a fifth would hold fewer than fewestInFifths vans.
func ByFifths(outcomes []PriceCheck) []FifthRealised {
	var priced []PriceCheck
	for _, o := range outcomes {
		if o.Advised.Known && o.Value.Known {
			priced = append(priced, o)
		}
	}
	if len(priced) < 5*fewestInFifths {
		return nil
	}
	slices.SortFunc(priced, func(a, b PriceCheck) int {
		return cmp.Or(a.Advised.Value.Cmp(b.Advised.Value), cmp.Compare(a.Van.StockID, b.Van.StockID))
	})
	out := make([]FifthRealised, 5)
	for i := range out {
		part := priced[i*len(priced)/5 : (i+1)*len(priced)/5]
		sum := sumUp(part)
		out[i] = FifthRealised{
			From: part[0].Advised.Value, To: part[len(part)-1].Advised.Value,
			Sold: len(part), Advised: sum.Advised, Within: sum.Within.Value,
		}
	}
	return out
}
