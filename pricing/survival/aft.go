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

// AFT is a Weibull accelerated-failure-time regression, log T = η(x) + σ·Z, where
// η is the intercept plus the covariates times their coefficients and Z the
// smallest extreme value. A coefficient of 0.1 makes every quantile of T about a
// tenth longer for one unit of x.
//
// A value may also be written out by hand, from a stated belief rather than a
// fit: Names, Coef and Scale are all that predictions need.
type AFT struct {
	Names []string  // InterceptName first, then the covariates
	Coef  []float64 // one per name, in log time per unit
	Scale float64   // σ > 0

	// StdErr has one figure per name, and one for log(σ) at the end. With priors
	// they are those of the posterior mode.
	StdErr []float64
	// Covariance of the same, square.
	Covariance [][]float64

	LogLik float64 // log-likelihood of the fit on the scale of T, without priors
	Rows   int
	Events int
	Steps  int // Newton steps taken

	theta []float64 // the internal parameters
}

// Fit fits a Weibull AFT to right-censored times by maximum likelihood (Kalbfleisch and
// Prentice 1980), with the priors where there are any: it then maximises
// log-likelihood plus log prior. near may be a fit of the same sample by other
// priors, from which to start; it saves steps and changes no digit that is shown.
// Errors wrap ErrBadInput, ErrNoEvents, ErrCollinear or ErrNoEstimate.
func (s *Sample) Fit(near *AFT, priors ...Prior) (*AFT, error) {
	fit, err := s.fit(near, priors)
	if err != nil {
		return nil, fmt.Errorf("fit weibull: %w", err)
	}
	return fit, nil
}

func (s *Sample) fit(near *AFT, priors []Prior) (*AFT, error) {
	if s.events == 0 {
		return nil, ErrNoEvents
	}
	p := len(s.names)
	toPlain := s.toPlain()
	names := append([]string{InterceptName}, s.names...)
	beliefs, err := newBeliefs(priors, append(slices.Clone(names), LogScaleName), toPlain)
	if err != nil {
		return nil, err
	}
	if err := s.checkRank(priors); err != nil {
		return nil, err
	}
	m := newHill(s, beliefs)
	theta := m.start()
	if near != nil && len(near.theta) == len(theta) {
		copy(theta, near.theta)
	}
	covariance, steps, err := newton.Climb(m, theta)
	if err != nil {
		return nil, err
	}
	var plain mat.VecDense
	plain.MulVec(toPlain, mat.NewVecDense(len(theta), theta))
	fit := &AFT{
		Names: names, Coef: slices.Clone(plain.RawVector().Data[:p+1]), Scale: m.scale(theta),
		LogLik: m.logLik(theta), Rows: len(s.logTime), Events: s.events, Steps: steps, theta: theta,
	}
	fit.Covariance, fit.StdErr, err = plainCovariance(toPlain, covariance)
	return fit, err
}

// toPlain is the matrix that turns coefficients of standardised columns, with
// the intercept first and log σ last, into those of the columns as they came.
func (s *Sample) toPlain() *mat.Dense {
	p := len(s.names)
	t := mat.NewDense(p+2, p+2, nil)
	t.Set(0, 0, 1)
	for j := range p {
		t.Set(0, j+1, -s.mean[j]/s.spread[j])
		t.Set(j+1, j+1, 1/s.spread[j])
	}
	t.Set(p+1, p+1, 1)
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
