package survival

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/vanwright/vanwright/pricing/survival/newton"
)

// Errors that callers may want to tell apart. They arrive wrapped with detail.
var (
	// ErrBadInput says that the data cannot mean what a survival sample must
	// mean: lengths differ, a time is not positive, a number is not finite.
	ErrBadInput = errors.New("unusable survival data")
	// ErrNoEvents says that nothing happened, so nothing can be estimated.
	ErrNoEvents = errors.New("no events")
	// ErrCollinear says that a covariate is constant or repeats others.
	ErrCollinear = errors.New("collinear covariates")
	// ErrNoEstimate says that the likelihood has no finite maximum, or that
	// none was found.
	ErrNoEstimate = newton.ErrNoEstimate
)

// Prior is a Gaussian belief about one coefficient, held before the data speak. Use
// it where sales are few, or where the data alone give an effect the wrong sign.
type Prior struct {
	Name string  // a covariate, or InterceptName or LogScaleName of an AFT
	Mean float64 // in the units of the coefficient
	SD   float64 // > 0; small holds the coefficient near Mean
}

// Sample is a checked survival sample with standardised covariates.
type Sample struct {
	logTime []float64
	event   []bool
	x       []float64 // rows × len(names), row by row, centred and scaled
	names   []string
	mean    []float64 // mean of each raw column
	spread  []float64 // standard deviation, 1 for a constant column
	events  int
}

func (s *Sample) row(i int) []float64 {
	p := len(s.names)
	return s.x[i*p : (i+1)*p]
}

// NewSample checks times and events, and standardises the covariates.
//
// Times are positive, in any unit. events[i] is true when time i ended in the
// event, false when it was cut short. x has a row per time and a column per name,
// without a column of ones; both may be nil for a model of the intercept alone.
// Errors wrap ErrBadInput.
//
// Standardising changes no answer: it keeps the Newton steps well scaled when
// one column is in miles and the next in thousandths.
func NewSample(times []float64, events []bool, x [][]float64, names []string) (*Sample, error) {
	n, p := len(times), len(names)
	if err := checkLengths(n, len(events), len(x), p); err != nil {
		return nil, err
	}
	if err := checkNames(names); err != nil {
		return nil, err
	}
	s := &Sample{
		names: slices.Clone(names), x: make([]float64, 0, n*p),
		logTime: make([]float64, n), event: slices.Clone(events),
	}
	for i, t := range times {
		if !(t > 0) || math.IsInf(t, 1) {
			return nil, fmt.Errorf("%w: time %v in row %d is not a positive number", ErrBadInput, t, i+1)
		}
		s.logTime[i] = math.Log(t)
		if p > 0 && len(x[i]) != p {
			return nil, fmt.Errorf("%w: row %d has %d covariates for %d names", ErrBadInput, i+1, len(x[i]), p)
		}
		for j := range p {
			if v := x[i][j]; math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("%w: covariate %q in row %d is %v", ErrBadInput, names[j], i+1, v)
			}
		}
		if p > 0 {
			s.x = append(s.x, x[i]...)
		}
		if events[i] {
			s.events++
		}
	}
	if len(s.logTime) == 0 {
		return nil, fmt.Errorf("%w: no rows", ErrBadInput)
	}
	return s, s.standardise()
}

func checkLengths(n, events, rows, p int) error {
	switch {
	case events != n:
		return fmt.Errorf("%w: %d times and %d event flags", ErrBadInput, n, events)
	case p > 0 && rows != n:
		return fmt.Errorf("%w: %d times and %d rows of covariates", ErrBadInput, n, rows)
	}
	return nil
}

func checkNames(names []string) error {
	seen := map[string]bool{InterceptName: true, LogScaleName: true}
	for _, name := range names {
		if seen[name] {
			return fmt.Errorf("%w: covariate name %q is taken", ErrBadInput, name)
		}
		seen[name] = true
	}
	return nil
}

// standardise replaces each column by (x − mean)/spread.
func (s *Sample) standardise() error {
	p := len(s.names)
	s.mean, s.spread = make([]float64, p), make([]float64, p)
	each := 1 / float64(len(s.logTime))
	for j := range p {
		for i := range s.logTime {
			s.mean[j] += each * s.x[i*p+j]
		}
		for i := range s.logTime {
			d := s.x[i*p+j] - s.mean[j]
			s.spread[j] += each * d * d
		}
		s.spread[j] = math.Sqrt(s.spread[j])
		if math.IsInf(s.spread[j], 1) || math.IsNaN(s.spread[j]) {
			return fmt.Errorf("%w: covariate %q is too large to square", ErrBadInput, s.names[j])
		}
		// A column that varies only in its last digits is constant.
		if s.spread[j] <= 1e-12*math.Abs(s.mean[j]) || s.spread[j] < 1e-150 {
			s.spread[j] = 0
		}
		for i := range s.logTime {
			if s.spread[j] == 0 {
				s.x[i*p+j] = 0
				continue
			}
			s.x[i*p+j] = (s.x[i*p+j] - s.mean[j]) / s.spread[j]
		}
		if s.spread[j] == 0 {
			s.spread[j] = 1
		}
	}
	return nil
}

// checkRank finds the first column that the ones before it explain to five
// digits. A column with a prior counts as known from elsewhere, so that a level
// seen in no row may still carry its belief.
func (s *Sample) checkRank(priors []Prior) error {
	p := len(s.names)
	gram := make([]float64, p*p)
	total := float64(len(s.logTime))
	for i := range s.logTime {
		row := s.row(i)
		for j := range p {
			for k := range j + 1 {
				gram[j*p+k] += row[j] * row[k]
			}
		}
	}
	for i := range gram {
		gram[i] /= total
	}
	for _, prior := range priors {
		if j := slices.Index(s.names, prior.Name); j >= 0 {
			gram[j*p+j] += 1 / (s.spread[j] * s.spread[j] * prior.SD * prior.SD * total)
		}
	}
	// Cholesky in place: what is left on the diagonal is the share of the column
	// that its predecessors do not explain.
	for j := range p {
		whole := max(gram[j*p+j], 1)
		for k := range j {
			gram[j*p+j] -= gram[j*p+k] * gram[j*p+k]
		}
		if !(gram[j*p+j] > 1e-10*whole) {
			return fmt.Errorf("%w: %q is constant or follows from the columns before it", ErrCollinear, s.names[j])
		}
		gram[j*p+j] = math.Sqrt(gram[j*p+j])
		for i := j + 1; i < p; i++ {
			for k := range j {
				gram[i*p+j] -= gram[i*p+k] * gram[j*p+k]
			}
			gram[i*p+j] /= gram[j*p+j]
		}
	}
	return nil
}
