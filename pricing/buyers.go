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
	// How far, as a standard deviation of the log, a dealer's asking price lies off what a
	// van is worth to its buyers; how far what is paid scatters where they haggle by habit;
	// and how far what a dealer sees of a van, and past sales do not say, moves its worth.
	// Each holds within some 40 %, the habit within a factor of two. Common practice, no
	// source.
	priorAskError, priorHabit, priorSeen = 0.04, 0.016, 0.045
	errorsLog, habitLog                  = 0.4, 0.8
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
	askError  float64   // standard deviation of the log of asking prices over the worth
	erring    float64   // the share of the variance of asked over value that is such error
	habit     []float64 // logs, ascending: what is paid whatever the van is worth
	habitSD   float64   // standard deviation of them
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
	b.typical = math.Exp(min(0, stat.Quantile(0.5, stat.LinInterp, b.paid, nil)))
	b.learnGivenBack(nil, nil, nil)
	return b
}
