package survival

import "math"

// Predictions take the covariates without the intercept, in the order of
// AFT.Names[1:], and panic when their number differs: that is a slip in the
// program, not in the data.

// Linear is η(x), the location of log T.
func (a *AFT) Linear(x []float64) float64 {
	if len(x) != len(a.Coef)-1 {
		panic("survival: covariates do not match the model")
	}
	eta := a.Coef[0]
	for j, v := range x {
		eta += a.Coef[j+1] * v
	}
	return eta
}

// Median is the time by which half have ended.
func (a *AFT) Median(x []float64) float64 { return a.Quantile(0.5, x) }

// Quantile is the time by which a share p of [0, 1] has ended; +Inf for p = 1,
// and where the time is beyond double precision.
func (a *AFT) Quantile(p float64, x []float64) float64 {
	eta := a.Linear(x)
	switch {
	case p <= 0:
		return 0
	case p >= 1:
		return math.Inf(1)
	}
	return math.Exp(eta + a.Scale*math.Log(-math.Log1p(-p)))
}
