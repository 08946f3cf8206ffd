// Package regression fits straight-line models by least squares and by Huber's
// M-estimate.
//
// In go the rows of a design, without the column of ones, and a response. Out
// come coefficients with standard errors, plain and robust to unequal
// variances, prediction intervals and the usual sums. Every model has an
// intercept, which is coefficient 0. The package drops no column and imputes
// nothing: a design that does not determine its coefficients is an error.
//
//	fit, err := regression.OLS(x, y)
//	at := fit.Interval([]float64{30, 4}, 0.90) // at.Low <= at.Value <= at.High
package regression
