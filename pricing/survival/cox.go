package survival

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Ties says how a Cox regression treats events at the same time.
type Ties int

// Treatments of ties, from the roughest and fastest to the exact.
const (
	Breslow Ties = iota
	Efron
	// ExactTies is Cox's (1972) discrete likelihood: which of those at risk had
	// the event, given how many did. It costs risk set × ties and takes no
	// weights.
	ExactTies
)

func (t Ties) String() string {
	switch t {
	case Breslow:
		return "breslow"
	case Efron:
		return "efron"
	case ExactTies:
		return "exact"
	}
	return fmt.Sprintf("ties(%d)", int(t))
}

// Cox is a proportional-hazards regression: the hazard is an unnamed curve times
// exp(x·Coef), so a positive coefficient shortens the time.
type Cox struct {
	Ties       Ties
	Names      []string
	Coef       []float64 // log hazard per unit
	StdErr     []float64
	Covariance [][]float64

	LogLik      float64 // log partial likelihood of the fit, without priors
	LogLikNull  float64 // at zero coefficients
	Concordance float64 // share of comparable pairs that the model orders rightly
	Rows        int
	Events      float64
	Steps       int
}

// FitCox fits a Cox regression by maximum partial likelihood (Cox 1972), or to
// the posterior mode when WithPrior is given. Arguments are those of FitAFT; at
// least one covariate is needed.
func FitCox(times []float64, events []bool, x [][]float64, names []string, ties Ties, options ...Option) (*Cox, error) {
	fit, err := fitCox(times, events, x, names, ties, apply(options))
	if err != nil {
		return nil, fmt.Errorf("fit cox, %v ties: %w", ties, err)
	}
	return fit, nil
}

func fitCox(times []float64, events []bool, x [][]float64, names []string, ties Ties, set settings) (*Cox, error) {
	if ties < Breslow || ties > ExactTies {
		return nil, fmt.Errorf("%w: unknown treatment", ErrBadInput)
	}
	if ties == ExactTies && set.weights != nil {
		return nil, fmt.Errorf("%w: the exact treatment takes no weights", ErrBadInput)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%w: no covariates", ErrBadInput)
	}
	s, err := newSample(times, events, x, names, set.weights)
	if err != nil {
		return nil, err
	}
	if s.events == 0 {
		return nil, ErrNoEvents
	}
	p := len(s.names)
	toPlain := s.toPlain().Slice(1, p+1, 1, p+1).(*mat.Dense)
	m := newCoxHill(s, ties)
	if m.beliefs, err = newBeliefs(set.priors, s.names, toPlain); err != nil {
		return nil, err
	}
	if err := s.checkRank(set.priors); err != nil {
		return nil, err
	}
	theta := make([]float64, p)
	null := m.logLik(theta)
	covariance, steps, err := climb(m, theta)
	if err != nil {
		return nil, err
	}
	var plain mat.VecDense
	plain.MulVec(toPlain, mat.NewVecDense(p, theta))
	fit := &Cox{
		Ties: ties, Names: s.names, Coef: slices.Clone(plain.RawVector().Data),
		LogLik: m.logLik(theta), LogLikNull: null,
		Rows: len(s.time), Events: s.events, Steps: steps,
	}
	if fit.Covariance, fit.StdErr, err = plainCovariance(toPlain, covariance); err != nil {
		return nil, err
	}
	risk := make([]float64, len(s.time))
	for i := range risk {
		risk[i] = m.eta(theta, i)
	}
	if fit.Concordance, err = concordance(s.time, s.event, risk, s.weight); err != nil {
		return nil, err
	}
	if math.IsNaN(fit.LogLik) || math.IsInf(fit.LogLik, 0) {
		return nil, fmt.Errorf("%w: the partial likelihood is out of range", ErrNoEstimate)
	}
	return fit, nil
}

// Linear is the log hazard at x relative to zero covariates. It panics when the
// number of covariates differs from the model's.
func (c *Cox) Linear(x []float64) float64 {
	if len(x) != len(c.Coef) {
		panic("survival: covariates do not match the model")
	}
	eta := 0.0
	for j, v := range x {
		eta += c.Coef[j] * v
	}
	return eta
}
