package prep

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Estimate is a three-point estimate of labour hours, Low ≤ Likely ≤ High.
//
// It stands for the beta distribution of PERT (Malcolm, Roseboom, Clark and
// Fazar 1959, from memory): mean (low + 4 likely + high) / 6, support from Low
// to High.
type Estimate struct {
	Low, Likely, High float64
}

// Scale multiplies all three points.
func (e Estimate) Scale(k float64) Estimate {
	return Estimate{e.Low * k, e.Likely * k, e.High * k}
}

// fixed reports whether the three points leave nothing to chance.
func (e Estimate) fixed() bool { return e.High-e.Low < 1e-9 }

func (e Estimate) shape() (alpha, beta float64) {
	width := e.High - e.Low
	return 1 + 4*(e.Likely-e.Low)/width, 1 + 4*(e.High-e.Likely)/width
}

// Mean returns the expected hours.
func (e Estimate) Mean() float64 { return (e.Low + 4*e.Likely + e.High) / 6 }

// Moments returns the mean and the second and third central moments.
func (e Estimate) Moments() (mean, variance, third float64) {
	if e.fixed() {
		return e.Likely, 0, 0
	}
	a, b := e.shape()
	width := e.High - e.Low
	variance = width * width * a * b / ((a + b) * (a + b) * (a + b + 1))
	skew := 2 * (b - a) * math.Sqrt(a+b+1) / ((a + b + 2) * math.Sqrt(a*b))
	return e.Mean(), variance, skew * math.Pow(variance, 1.5)
}

// Quantile returns the hours that the work stays within with chance p.
func (e Estimate) Quantile(p float64) float64 {
	if e.fixed() {
		return e.Likely
	}
	a, b := e.shape()
	return e.Low + (e.High-e.Low)*mathext.InvRegIncBeta(a, b, p)
}

// Left returns the hours that remain, with chance p, of a job on which spent
// hours have already gone and which is known not to be finished: the quantile
// of the estimate given that it exceeds spent. A job that has outrun its
// highest estimate is given a tenth of it to finish.
func (e Estimate) Left(spent, p float64) float64 {
	switch {
	case spent <= e.Low && e.fixed():
		return e.Likely - spent
	case spent >= e.High || e.fixed():
		return 0.1 * e.High
	case spent <= e.Low:
		return e.Quantile(p) - spent
	}
	a, b := e.shape()
	done := mathext.RegIncBeta(a, b, (spent-e.Low)/(e.High-e.Low))
	return max(e.Quantile(done+p*(1-done))-spent, 0)
}
