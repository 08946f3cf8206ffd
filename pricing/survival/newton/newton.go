// Package newton climbs a smooth log-likelihood by Newton's method with halved
// steps, and says so where it has no summit.
package newton

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrNoEstimate says that the likelihood has no finite maximum, or that none was
// found. It arrives wrapped with detail.
var ErrNoEstimate = errors.New("no finite estimate")

// Hill is a smooth log-likelihood (with its log prior) to be climbed. Its
// parameters are those of standardised columns.
type Hill interface {
	// Height is the value at theta, −Inf where theta is impossible.
	Height(theta []float64) float64
	// Slope overwrites gradient and information (the negative Hessian).
	Slope(theta, gradient []float64, information *mat.SymDense)
}

const (
	maxSteps    = 100
	maxHalvings = 40
	// Parameters are those of standardised columns, so an absolute step means
	// the same everywhere. Newton's method squares its error at each step: the
	// last step of 1e-8 leaves nothing that double precision can show.
	smallStep = 1e-8
)

// Climb moves theta to the maximum and returns the inverse of the
// information there and the steps taken.
//
// It stops on a small step, never on a small gain alone: where the maximum lies
// at infinity the gains vanish while the steps stay near one, and that is an
// error to report, not a coefficient of 23 to print.
func Climb(h Hill, theta []float64) (covariance *mat.SymDense, steps int, err error) {
	k := len(theta)
	gradient := make([]float64, k)
	information := mat.NewSymDense(k, nil)
	trial := make([]float64, k)
	step := mat.NewVecDense(k, nil)
	var factor mat.Cholesky

	here := h.Height(theta)
	if math.IsNaN(here) || math.IsInf(here, 0) {
		return nil, 0, fmt.Errorf("%w: the likelihood is out of range at the start", ErrNoEstimate)
	}
	for steps = 1; steps <= maxSteps; steps++ {
		h.Slope(theta, gradient, information)
		if !factorise(&factor, information) {
			return nil, steps, fmt.Errorf("%w: the likelihood is flat or out of range after %d steps", ErrNoEstimate, steps)
		}
		if err := factor.SolveVecTo(step, mat.NewVecDense(k, gradient)); err != nil {
			return nil, steps, fmt.Errorf("%w: the information is singular after %d steps", ErrNoEstimate, steps)
		}
		length, share := mat.Norm(step, math.Inf(1)), 1.0
		for range maxHalvings {
			for i := range theta {
				trial[i] = theta[i] + share*step.AtVec(i)
			}
			if there := h.Height(trial); there >= here-1e-13*math.Abs(here) && !math.IsInf(there, 1) {
				copy(theta, trial)
				here = max(here, there)
				break
			}
			share /= 2
		}
		if length*share <= smallStep {
			covariance, err = invert(h, theta)
			return covariance, steps, err
		}
	}
	return nil, steps, fmt.Errorf("%w: still moving after %d steps; some effect or the scale has no bound in these data", ErrNoEstimate, maxSteps)
}

// factorise takes the Cholesky factor of the information, stiffened along its
// diagonal for as long as it does not curve downhill in every direction (far
// from the summit an AFT likelihood need not).
func factorise(factor *mat.Cholesky, information *mat.SymDense) bool {
	k := information.SymmetricDim()
	for i := range k {
		for j := range i + 1 {
			if v := information.At(i, j); math.IsNaN(v) || math.IsInf(v, 0) {
				return false
			}
		}
	}
	if factor.Factorize(information) {
		return true
	}
	stiff := mat.NewSymDense(k, nil)
	for extra := 1e-8; extra < 1e12; extra *= 10 {
		stiff.CopySym(information)
		for i := range k {
			d := information.At(i, i)
			stiff.SetSym(i, i, d+extra*(math.Abs(d)+1e-8))
		}
		if factor.Factorize(stiff) {
			return true
		}
	}
	return false
}

func invert(h Hill, theta []float64) (*mat.SymDense, error) {
	k := len(theta)
	information := mat.NewSymDense(k, nil)
	h.Slope(theta, make([]float64, k), information)
	var factor mat.Cholesky
	if !factor.Factorize(information) {
		return nil, fmt.Errorf("%w: the information at the summit is not positive", ErrNoEstimate)
	}
	inverse := mat.NewSymDense(k, nil)
	if err := factor.InverseTo(inverse); err != nil {
		return nil, fmt.Errorf("%w: the information at the summit is singular", ErrNoEstimate)
	}
	// On standardised columns no honest error is this wide: rounding has passed a
	// ridge that climbs for ever off as a summit.
	for i := range k {
		if v := inverse.At(i, i); !(v > 0 && v < 1e6) {
			return nil, fmt.Errorf("%w: some effect has no bound in these data", ErrNoEstimate)
		}
	}
	return inverse, nil
}
