package pricing

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/data"
)

// What holds of buyers before any sale is counted. Common practice, no source:
// most haggle 1 to 6 % off the asking price.
var priorPaid = []float64{-0.065, -0.055, -0.045, -0.040, -0.035, -0.030, -0.025, -0.020, -0.010, 0}

const (
	// pricingError is how far, as a standard deviation of the log, a dealer's
	// asking price lies off what a van is worth to its buyers; habitScatter is how
	// far what is paid scatters where buyers haggle by habit. Common practice, no
	// source.
	pricingError, habitScatter = 0.04, 0.015
	// givenBackSales is how many sales the scatter of what is paid weighs as,
	// against how the asking price moves it.
	givenBackSales = 30
	// paidKept is how many points a distribution of what is paid keeps at most.
	paidKept = 200
	// A sold price beyond these shares of its asking price is no haggling: one of
	// the two was mistyped, and the sale teaches nothing. Common practice, no
	// source.
	leastPaid, mostPaid = 0.60, 1.15
)

// buyers is what past sales taught of what is paid over what is asked.
type buyers struct {
	paid      []float64 // logs, ascending, equally likely; the prior among them
	typical   float64   // the median share that is paid, above 0 to 1
	spread    float64   // standard deviation of the logs
	sales     int       // that taught it
	givenBack float64   // see forecast.Law
}

// mistyped reports whether a sold price can't be one for its asking price.
func mistyped(s *data.Sale) bool {
	share, ok := shareOfAsking(s)
	return ok && (share < leastPaid || share > mostPaid)
}

// shareOfAsking is what was paid over what was asked; false where one is not
// known.
func shareOfAsking(s *data.Sale) (float64, bool) {
	if !s.SoldPrice.Known || !s.Asking.Known || !s.Asking.Value.IsPositive() || !s.SoldPrice.Value.IsPositive() {
		return 0, false
	}
	return s.SoldPrice.Value.InexactFloat64() / s.Asking.Value.InexactFloat64(), true
}

// learnPaid gathers what was paid over what was asked, with the prior counted as
// ten sales.
func learnPaid(sales []data.Sale) buyers {
	var b buyers
	var logs []float64
	for i := range sales {
		if share, ok := shareOfAsking(&sales[i]); ok && !mistyped(&sales[i]) {
			logs = append(logs, math.Log(share))
		}
	}
	b.sales = len(logs)
	slices.Sort(logs)
	b.paid = append(thin(logs, paidKept), priorPaid...)
	slices.Sort(b.paid)
	b.spread = stat.StdDev(b.paid, nil)
	b.givenBack = scatterBelow(b.paid)
	b.typical = math.Exp(min(0, stat.Quantile(0.5, stat.LinInterp, b.paid, nil)))
	return b
}

// scatterBelow says how much of an asking price above the van's worth its buyer
// gets off, as far as the scatter of what was paid tells.
//
// Where the asking price only caps what buyers would pay, the price falls by all
// that the dealer erred upward, and prices paid scatter at least as widely as
// dealers err. A haggle that is no more than a habit scatters less. Only the
// lower half of the shares is looked at: the cap cuts the upper.
func scatterBelow(paid []float64) float64 {
	middle := stat.Quantile(0.5, stat.LinInterp, paid, nil)
	scatter := middle - stat.Quantile(0.159, stat.LinInterp, paid, nil) // one deviation of a normal law
	return max(0, min(1, (scatter-habitScatter)/(pricingError-habitScatter)))
}

// learnGivenBack weighs that with whether less was paid, over what was asked, of
// the vans that were asked above their value: asked are logs of the asking price
// over the value, paid of what was paid over the asking price, sale by sale.
// Both signs must be there: the result is their geometric mean.
func (b *buyers) learnGivenBack(asked, paid []float64) {
	if len(paid) < 2 {
		return
	}
	n, seen := float64(len(paid)), b.givenBack
	// One standard error is taken off, since chance alone moves the two together.
	// Half of the dealers' errors are downward, and the cap does not show those.
	together := -stat.Covariance(asked, paid, nil) - stat.StdDev(asked, nil)*stat.StdDev(paid, nil)/math.Sqrt(n)
	moved := max(0, min(1, 2*together/(pricingError*pricingError)))
	moved = (n*moved + givenBackSales*seen) / (n + givenBackSales)
	b.givenBack = math.Sqrt(seen * moved)
}
