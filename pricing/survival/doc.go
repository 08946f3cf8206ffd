// Package survival estimates how long things last when some are still going.
//
// In come durations, a flag for each that says whether the event was seen or
// the watching stopped first (right-censoring), and covariates as plain numbers.
// Out come Weibull accelerated-failure-time regressions with standard errors and
// log-likelihoods, and predictions from them. Durations carry whatever unit the
// caller uses; results carry the same.
//
// A fit is either finite in every figure or an error that says what is wrong
// with the data: no events, a duration that is not positive, columns that say
// the same thing twice, an estimate that runs off to infinity. It never returns
// NaN, and it never repairs data in silence.
//
//	sample, err := survival.NewSample(days, sold, x, []string{"log_price_ratio"})
//	fit, err := sample.Fit(nil)
//	half := fit.Median([]float64{math.Log(1.05)})
//
// The package knows nothing of what it times.
package survival
