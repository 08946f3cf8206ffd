package survival

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"github.com/vanwright/vanwright/pricing/survival/newton"
)

// Names of the coefficients of an AFT that are not covariates.
const (
	InterceptName = "intercept"
	LogScaleName  = "log(scale)"
)

// AFT is an accelerated-failure-time regression, log T = η(x) + σ·Z, where η is
// the intercept plus the covariates times their coefficients. A coefficient of
// 0.1 makes every quantile of T about a tenth longer for one unit of x.
//
// A value may also be written out by hand, from a stated belief rather than a
// fit: Distribution, Names, Coef and Scale are all that predictions need.
type AFT struct {
	Distribution Distribution
	Names        []string  // InterceptName first, then the covariates
	Coef         []float64 // one per name, in log time per unit
	Scale        float64   // σ > 0; 1 for Exponential

	// StdErr has one figure per name, and one for log(σ) at the end unless the
	// scale is held. With priors they are those of the posterior mode.
	StdErr []float64
	// Covariance of the same, square.
	Covariance [][]float64

	LogLik     float64 // log-likelihood of the fit on the scale of T, without priors
	LogLikNull float64 // of the best fit without covariates or priors
	Rows       int
	Events     int
	Steps      int // Newton steps taken
}

// FitWeibull fits a Weibull AFT by maximum likelihood. See FitAFT.
func FitWeibull(times []float64, events []bool, x [][]float64, names []string, options ...Option) (*AFT, error) {
	return FitAFT(Weibull, times, events, x, names, options...)
}

// FitAFT fits an accelerated-failure-time model to right-censored times by
// maximum likelihood (Kalbfleisch and Prentice 1980), or to the posterior mode
// when WithPrior is given.
//
// Times are positive, in any unit. events[i] is true when time i ended in the
// event, false when it was cut short. x has a row per time and a column per name,
// without a column of ones; both may be nil for a model of the intercept alone.
// Errors wrap ErrBadInput, ErrNoEvents, ErrCollinear or ErrNoEstimate.
func FitAFT(d Distribution, times []float64, events []bool, x [][]float64, names []string, options ...Option) (*AFT, error) {
	if d < Weibull || d > LogLogistic {
		return nil, fmt.Errorf("%w: %v is unknown", ErrBadInput, d)
	}
	set := apply(options)
	s, err := newSample(times, events, x, names)
	if err != nil {
		return nil, fmt.Errorf("fit %v: %w", d, err)
	}
	fit, err := fitAFT(d, s, set.priors)
	if err != nil {
		return nil, fmt.Errorf("fit %v: %w", d, err)
	}
	null := *s
	null.names, null.x = nil, nil
	base, err := fitAFT(d, &null, nil)
	if err != nil {
		return nil, fmt.Errorf("fit %v without covariates: %w", d, err)
	}
	fit.LogLikNull = base.LogLik
	return fit, nil
}

func fitAFT(d Distribution, s *sample, priors []Prior) (*AFT, error) {
	if s.events == 0 {
		return nil, ErrNoEvents
	}
	p := len(s.names)
	m := &aftHill{sample: s, law: d, logTime: make([]float64, len(s.time)), dim: p + 1}
	for i, t := range s.time {
		m.logTime[i] = math.Log(t)
	}
	toPlain := s.toPlain()
	if d != Exponential {
		m.dim++
		toPlain = toPlain.Grow(1, 1).(*mat.Dense)
		toPlain.Set(p+1, p+1, 1)
	}
	names := append([]string{InterceptName}, s.names...)
	var err error
	if m.beliefs, err = newBeliefs(priors, append(slices.Clone(names), LogScaleName)[:m.dim], toPlain); err != nil {
		return nil, err
	}
	if err := s.checkRank(priors); err != nil {
		return nil, err
	}
	theta := m.start()
	covariance, steps, err := newton.Climb(m, theta)
	if err != nil {
		return nil, err
	}

	var plain mat.VecDense
	plain.MulVec(toPlain, mat.NewVecDense(m.dim, theta))
	fit := &AFT{
		Distribution: d, Names: names, Coef: slices.Clone(plain.RawVector().Data[:p+1]), Scale: m.scale(theta),
		LogLik: m.logLik(theta), Rows: len(s.time), Events: s.events, Steps: steps,
	}
	fit.Covariance, fit.StdErr, err = plainCovariance(toPlain, covariance)
	return fit, err
}

// toPlain is the matrix that turns coefficients of standardised columns, with
// the intercept first, into those of the columns as they came.
func (s *sample) toPlain() *mat.Dense {
	p := len(s.names)
	t := mat.NewDense(p+1, p+1, nil)
	t.Set(0, 0, 1)
	for j := range p {
		t.Set(0, j+1, -s.mean[j]/s.spread[j])
		t.Set(j+1, j+1, 1/s.spread[j])
	}
	return t
}

func plainCovariance(toPlain *mat.Dense, internal *mat.SymDense) (covariance [][]float64, stdErr []float64, err error) {
	var half, full mat.Dense
	half.Mul(toPlain, internal)
	full.Mul(&half, toPlain.T())
	k, _ := full.Dims()
	for i := range k {
		covariance = append(covariance, mat.Row(nil, i, &full))
		stdErr = append(stdErr, math.Sqrt(full.At(i, i)))
		if v := stdErr[i]; math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, nil, fmt.Errorf("%w: a standard error is out of range", ErrNoEstimate)
		}
	}
	return covariance, stdErr, nil
}

// Coefficient looks up a covariate, InterceptName or LogScaleName. stdErr is 0
// where the model was not fitted.
func (a *AFT) Coefficient(name string) (value, stdErr float64, ok bool) {
	i := slices.Index(a.Names, name)
	if name == LogScaleName {
		i, value, ok = len(a.Names), math.Log(a.Scale), true
	} else if i >= 0 {
		value, ok = a.Coef[i], true
	}
	if ok && i < len(a.StdErr) {
		stdErr = a.StdErr[i]
	}
	return value, stdErr, ok
}
