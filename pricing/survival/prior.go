package survival

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// belief is a Gaussian prior on a linear combination of the internal parameters.
// Covariates are standardised inside a fit, so even a prior on the plain
// intercept touches several of them.
type belief struct {
	on   []float64 // weights, one per internal parameter
	mean float64
	sd   float64
}

type beliefs []belief

func (bs beliefs) value(theta []float64) float64 {
	v := 0.0
	for _, b := range bs {
		z := b.distance(theta)
		v -= z * z / 2
	}
	return v
}

// addTo adds the gradient of the log prior and its information.
func (bs beliefs) addTo(theta, gradient []float64, information *mat.SymDense) {
	for _, b := range bs {
		z := b.distance(theta)
		for i, ai := range b.on {
			gradient[i] -= z * ai / b.sd
			for j := range i + 1 {
				information.SetSym(i, j, information.At(i, j)+(ai/b.sd)*(b.on[j]/b.sd))
			}
		}
	}
}

func (b belief) distance(theta []float64) float64 {
	sum := 0.0
	for i, a := range b.on {
		sum += a * theta[i]
	}
	return (sum - b.mean) / b.sd
}

// newBeliefs reads priors on plain coefficients as beliefs on internal ones.
// toPlain has a row per plain coefficient, in the order of names.
func newBeliefs(priors []Prior, names []string, toPlain *mat.Dense) (beliefs, error) {
	var bs beliefs
	for _, p := range priors {
		row := slices.Index(names, p.Name)
		switch {
		case row < 0:
			return nil, fmt.Errorf("%w: prior on %q, which is not in the model", ErrBadInput, p.Name)
		case !(p.SD > 0) || math.IsInf(p.SD, 1) || math.IsNaN(p.Mean) || math.IsInf(p.Mean, 0):
			return nil, fmt.Errorf("%w: prior on %q has mean %v and standard deviation %v", ErrBadInput, p.Name, p.Mean, p.SD)
		}
		bs = append(bs, belief{on: mat.Row(nil, row, toPlain), mean: p.Mean, sd: p.SD})
	}
	return bs, nil
}
