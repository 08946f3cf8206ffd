package lifetime

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// coxHill is the log partial likelihood. Rows are ordered by falling time, so
// that one sweep grows the risk set; everybody with a time is in the set before
// the events at that time are judged, the censored included.
type coxHill struct {
	x      [][]float64 // standardised
	ties   Ties
	order  []int
	groups []tieGroup
}

// tieGroup is the run order[from:to] of rows with one time.
type tieGroup struct {
	from, to int
	deaths   []int // rows that had the event
}

func newCoxHill(times []float64, events []bool, x [][]float64, names []string, ties Ties) (*coxHill, []float64, error) {
	if err := checkTimes(times, events); err != nil {
		return nil, nil, err
	}
	switch {
	case len(names) == 0 || len(x) != len(times):
		return nil, nil, fmt.Errorf("%w: %d covariates, %d times and %d rows", ErrBadInput, len(names), len(times), len(x))
	case !slices.Contains(events, true):
		return nil, nil, ErrNoEvents
	}
	rows, spread, err := standardise(x, names)
	if err != nil {
		return nil, nil, err
	}
	m := &coxHill{x: rows, ties: ties, order: make([]int, len(times))}
	for i := range m.order {
		m.order[i] = i
	}
	slices.SortFunc(m.order, func(a, b int) int {
		return cmp.Or(cmp.Compare(times[b], times[a]), cmp.Compare(a, b))
	})
	for from := 0; from < len(m.order); {
		g := tieGroup{from: from, to: from}
		for g.to < len(m.order) && times[m.order[g.to]] == times[m.order[from]] {
			if i := m.order[g.to]; events[i] {
				g.deaths = append(g.deaths, i)
			}
			g.to++
		}
		m.groups = append(m.groups, g)
		from = g.to
	}
	return m, spread, nil
}

func (m *coxHill) eta(theta []float64, i int) float64 {
	eta := 0.0
	for j, x := range m.x[i] {
		eta += theta[j] * x
	}
	return eta
}

// risks is exp(η) for each row, divided by the largest so that none overflows;
// top is the log of the divisor.
func (m *coxHill) risks(theta []float64) (risk []float64, top float64) {
	risk = make([]float64, len(m.x))
	top = math.Inf(-1)
	for i := range risk {
		risk[i] = m.eta(theta, i)
		top = max(top, risk[i])
	}
	for i := range risk {
		risk[i] = math.Exp(risk[i] - top)
	}
	return risk, top
}

// sweep returns the log partial likelihood and, where gradient is not nil, adds
// its gradient and information.
func (m *coxHill) sweep(theta, gradient, info []float64) float64 {
	p := len(theta)
	risk, top := m.risks(theta)
	set, dying := newMoments(p), newMoments(p)
	mean := make([]float64, p)
	second := gradient != nil
	logLik := 0.0
	for _, g := range m.groups {
		for _, i := range m.order[g.from:g.to] {
			set.add(risk[i], m.x[i], second)
		}
		if len(g.deaths) == 0 {
			continue
		}
		dying.reset()
		for _, i := range g.deaths {
			logLik += m.eta(theta, i) - top
			dying.add(risk[i], m.x[i], second)
			if second {
				for j, x := range m.x[i] {
					gradient[j] += x
				}
			}
		}
		// Breslow divides by the whole risk set once for each death. Efron takes
		// away the dead's average share as they go, one l at a time.
		d := len(g.deaths)
		for l := range d {
			share := 0.0
			if m.ties == Efron {
				share = float64(l) / float64(d)
			}
			s0 := set.zero - share*dying.zero
			logLik -= math.Log(s0)
			if !second {
				continue
			}
			for j := range p {
				mean[j] = (set.one[j] - share*dying.one[j]) / s0
				gradient[j] -= mean[j]
			}
			for j := range p {
				for k := range j + 1 {
					v := (set.two[j*p+k] - share*dying.two[j*p+k]) / s0
					info[j*p+k] += v - mean[j]*mean[k]
				}
			}
		}
	}
	if math.IsNaN(logLik) || math.IsInf(logLik, 1) {
		return math.Inf(-1)
	}
	return logLik
}

// moments are Σr, Σr·x and the lower triangle of Σr·x·xᵀ over a set of rows.
type moments struct {
	zero     float64
	one, two []float64
}

func newMoments(p int) *moments {
	return &moments{one: make([]float64, p), two: make([]float64, p*p)}
}

func (s *moments) reset() {
	s.zero = 0
	clear(s.one)
	clear(s.two)
}

func (s *moments) add(r float64, x []float64, second bool) {
	s.zero += r
	if !second {
		return
	}
	p := len(x)
	for j, v := range x {
		s.one[j] += r * v
		to := s.two[j*p : j*p+j+1]
		for k, u := range x[:j+1] {
			to[k] += r * v * u
		}
	}
}
