package lifetime

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/pricing/survival/newton"
)

// Errors that say what is wrong with a sample. They arrive wrapped with detail.
var (
	ErrBadInput  = errors.New("unusable survival data")
	ErrNoEvents  = errors.New("no events")
	ErrCollinear = errors.New("constant covariate")
)

// Ties says how a Cox regression treats events at the same time.
type Ties int

// Treatments of ties, the rougher and faster first.
const (
	Breslow Ties = iota
	Efron
)

func (t Ties) String() string {
	if t == Efron {
		return "efron"
	}
	return "breslow"
}

// Cox is a proportional-hazards regression: the hazard is an unnamed curve times
// exp(x·Coef), so a positive coefficient shortens the time.
type Cox struct {
	Ties   Ties
	Names  []string
	Coef   []float64 // log hazard per unit
	StdErr []float64

	LogLik      float64 // log partial likelihood of the fit
	LogLikNull  float64 // at zero coefficients
	Concordance float64 // share of comparable pairs that the model orders rightly
}

// FitCox fits a Cox regression by maximum partial likelihood (Cox 1972). Times
// are positive; x has a row per time and a column per name, at least one. Errors
// wrap ErrBadInput, ErrNoEvents, ErrCollinear or newton.ErrNoEstimate.
func FitCox(times []float64, events []bool, x [][]float64, names []string, ties Ties) (*Cox, error) {
	m, spread, err := newCoxHill(times, events, x, names, ties)
	if err != nil {
		return nil, fmt.Errorf("fit cox, %v ties: %w", ties, err)
	}
	theta := make([]float64, len(names))
	fit := &Cox{Ties: ties, Names: names, LogLikNull: m.Height(theta)}
	covariance, _, err := newton.Climb(m, theta)
	if err != nil {
		return nil, fmt.Errorf("fit cox, %v ties: %w", ties, err)
	}
	for j := range theta {
		fit.Coef = append(fit.Coef, theta[j]/spread[j])
		fit.StdErr = append(fit.StdErr, math.Sqrt(covariance.At(j, j))/spread[j])
	}
	fit.LogLik = m.Height(theta)
	risk := make([]float64, len(times))
	for i := range risk {
		risk[i] = m.eta(theta, i)
	}
	fit.Concordance, err = Concordance(times, events, risk)
	return fit, err
}

func checkTimes(times []float64, events []bool) error {
	if len(events) != len(times) || len(times) == 0 {
		return fmt.Errorf("%w: %d times and %d event flags", ErrBadInput, len(times), len(events))
	}
	for i, t := range times {
		if !(t > 0) || math.IsInf(t, 1) {
			return fmt.Errorf("%w: time %v in row %d is not a positive number", ErrBadInput, t, i+1)
		}
	}
	return nil
}

// standardise returns the covariates centred and scaled, and each column's
// standard deviation.
func standardise(x [][]float64, names []string) (rows [][]float64, spread []float64, err error) {
	rows = make([][]float64, len(x))
	for i := range x {
		if len(x[i]) != len(names) {
			return nil, nil, fmt.Errorf("%w: row %d has %d covariates for %d names", ErrBadInput, i+1, len(x[i]), len(names))
		}
		rows[i] = make([]float64, len(names))
	}
	column := make([]float64, len(x))
	for j, name := range names {
		for i := range x {
			column[i] = x[i][j]
		}
		mean, variance := stat.PopMeanVariance(column, nil)
		if !(variance > 0) || math.IsInf(variance, 1) {
			return nil, nil, fmt.Errorf("%w: %q has a variance of %v", ErrCollinear, name, variance)
		}
		spread = append(spread, math.Sqrt(variance))
		for i := range x {
			rows[i][j] = (x[i][j] - mean) / spread[j]
		}
	}
	return rows, spread, nil
}

// Slope is the gradient and information at theta.
func (m *coxHill) Slope(theta, gradient []float64, information *mat.SymDense) {
	p := len(theta)
	clear(gradient)
	info := make([]float64, p*p)
	m.sweep(theta, gradient, info)
	for i := range p {
		for j := range i + 1 {
			information.SetSym(i, j, info[i*p+j])
		}
	}
}

// Height is the log partial likelihood at theta.
func (m *coxHill) Height(theta []float64) float64 { return m.sweep(theta, nil, nil) }
