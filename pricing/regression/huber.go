package regression

import (
	"errors"
	"math"
	"slices"
)

// HuberK is the usual tuning constant: 95 % as efficient as least squares where
// errors are normal. P. J. Huber, Robust Statistics (1981), from memory.
const HuberK = 1.345

// ErrNotSettled is returned where Huber's iteration doesn't converge.
var ErrNotSettled = errors.New("the robust fit doesn't settle")

// RobustFit is an M-estimate: rows far from the fit count for less.
type RobustFit struct {
	Coef     []float64
	Residual []float64 // observed less fitted
	Weight   []float64 // 1 for rows near the fit, HuberK × Scale / |residual| beyond
	Scale    float64   // median absolute residual / 0.6745
}

const (
	huberSteps     = 2000
	huberTolerance = 1e-13 // change of the residuals relative to their size
)

// Huber fits y on the rows of x by Huber's M-estimate with constant k, its
// scale being the median absolute residual, by reweighted least squares from
// the least-squares fit.
func Huber(x [][]float64, y []float64, k float64) (*RobustFit, error) {
	start, err := OLS(x, y)
	if err != nil {
		return nil, err
	}
	f := &RobustFit{Coef: start.Coef, Residual: start.Residual, Weight: make([]float64, len(y))}
	for range huberSteps {
		f.Scale = medianAbsolute(f.Residual) / 0.6745
		for i, r := range f.Residual {
			f.Weight[i] = 1
			if a := math.Abs(r); a > k*f.Scale {
				f.Weight[i] = k * f.Scale / a
			}
		}
		if f.Scale == 0 { // more than half of the rows are met exactly
			return f, nil
		}
		next, err := WLS(x, y, f.Weight)
		if err != nil {
			return nil, err
		}
		moved, size := 0.0, 0.0
		for i, r := range next.Residual {
			moved += (r - f.Residual[i]) * (r - f.Residual[i])
			size += f.Residual[i] * f.Residual[i]
		}
		f.Coef, f.Residual = next.Coef, next.Residual
		if math.Sqrt(moved) <= huberTolerance*math.Sqrt(size) {
			return f, nil
		}
	}
	return nil, ErrNotSettled
}

func medianAbsolute(v []float64) float64 {
	a := make([]float64, len(v))
	for i, x := range v {
		a[i] = math.Abs(x)
	}
	slices.Sort(a)
	if n := len(a); n%2 == 0 {
		return (a[n/2-1] + a[n/2]) / 2
	}
	return a[len(a)/2]
}
