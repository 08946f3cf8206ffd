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

// Survival is the chance in [0, 1] of lasting beyond t ≥ 0.
func (a *AFT) Survival(t float64, x []float64) float64 {
	return math.Exp(a.logSurvival(t, a.Linear(x)))
}

// Chance is the chance of the event in (from, to] for one that has lasted to
// from: with to = from + 1, the hazard of one day.
func (a *AFT) Chance(from, to float64, x []float64) float64 {
	if to <= from {
		return 0
	}
	eta := a.Linear(x)
	start := a.logSurvival(from, eta)
	if math.IsInf(start, -1) {
		return 1
	}
	return -math.Expm1(a.logSurvival(to, eta) - start)
}

// Hazard is the rate of the event at t > 0, per unit of time.
func (a *AFT) Hazard(t float64, x []float64) float64 {
	z := (math.Log(t) - a.Linear(x)) / a.Scale
	_, first, _ := a.Distribution.logSurvival(z)
	return -first / (a.Scale * t)
}

// Median is the time by which half have ended.
func (a *AFT) Median(x []float64) float64 { return a.Quantile(0.5, x) }

// Quantile is the time by which a share p of [0, 1] has ended; +Inf for p = 1,
// and where the time is beyond double precision.
func (a *AFT) Quantile(p float64, x []float64) float64 {
	return a.time(math.Log1p(-p), a.Linear(x))
}

// ResidualQuantile is the further time by which a share p has ended among those
// that have already lasted to since ≥ 0. It is what is left of an item's life on
// the market, given its days there so far.
func (a *AFT) ResidualQuantile(p, since float64, x []float64) float64 {
	eta := a.Linear(x)
	if since <= 0 {
		return a.time(math.Log1p(-p), eta)
	}
	already := a.logSurvival(since, eta)
	return max(0, a.time(already+math.Log1p(-p), eta)-since)
}

func (a *AFT) logSurvival(t, eta float64) float64 {
	if t <= 0 {
		return 0
	}
	v, _, _ := a.Distribution.logSurvival((math.Log(t) - eta) / a.Scale)
	return v
}

// time is where log S reaches logS.
func (a *AFT) time(logS, eta float64) float64 {
	switch {
	case logS >= 0:
		return 0
	case math.IsInf(logS, -1):
		return math.Inf(1)
	}
	return math.Exp(eta + a.Scale*a.Distribution.inverse(logS))
}
