package hedonic

import "math"

// components are the variances of a mixed model: noise of a row with weight 1,
// and the prior variance of the coefficients of each term.
type components struct {
	noise      float64
	term       []float64
	determined []float64 // number of each term's coefficients that the data determine
}

const (
	// varianceSteps bounds the fixed-point steps; components that matter
	// settle in about ten.
	varianceSteps = 30
	// noiseFloor keeps a table whose prices follow exactly from its features
	// solvable: a standard deviation of a hundredth of one percent.
	noiseFloor = 1e-8
)

// startComponents spreads the variance of y over noise and terms.
func startComponents(d *design, spread float64) components {
	c := components{max(spread/4, noiseFloor), make([]float64, len(d.terms)), make([]float64, len(d.terms))}
	for i := range c.term {
		c.term[i] = max(spread/4, noiseFloor)
	}
	return c
}

func (d *design) penalty(c components) []float64 {
	p := make([]float64, d.columns)
	for i, t := range d.terms {
		for k := range t.count {
			p[t.first+k] = c.noise / c.term[i]
		}
	}
	return p
}

// estimate finds the components that maximise the marginal likelihood by the
// fixed-point steps of D. J. C. MacKay, Bayesian interpolation, Neural
// Computation 4 (1992), from memory: a term's variance is its sum of squares
// over the number of its coefficients that the data determine. A term that the
// data do not bear out shrinks to nothing. spread is the variance of y and
// lends each component the weight of half a row or so, which matters only in
// tables of a few dozen rows.
func (d *design) estimate(n *normal, c components, spread float64, steps int) (components, *solution, error) {
	sol, err := n.solve(d.penalty(c))
	if err != nil {
		return c, nil, err
	}
	for range steps {
		next := components{term: make([]float64, len(c.term)), determined: make([]float64, len(c.term))}
		used, moved := 1.0, 0.0
		for i, t := range d.terms {
			squares, trace := 0.0, 0.0
			for k := t.first; k < t.first+t.count; k++ {
				squares += sol.beta[k] * sol.beta[k]
				trace += sol.inverse.At(k, k)
			}
			determined := max(0, float64(t.count)-trace*c.noise/c.term[i])
			used += determined
			next.determined[i] = determined
			next.term[i] = max((squares+priorRows*1e-3*spread)/(determined+priorRows+shrinkFor(t)), 1e-7*spread, 1e-3*noiseFloor)
			moved = max(moved, math.Abs(math.Log(next.term[i]/c.term[i]))*min(1, determined))
		}
		free := max(n.weight-used, 0)
		next.noise = max((sol.rss+priorRows*0.05*spread)/(free+priorRows), noiseFloor)
		moved = max(moved, math.Abs(math.Log(next.noise/c.noise)))
		c = next
		if sol, err = n.solve(d.penalty(c)); err != nil {
			return c, nil, err
		}
		if moved < 1e-3 {
			break
		}
	}
	return c, sol, nil
}

// priorRows is the weight, in rows, of the prior guess of each component.
const priorRows = 0.25

var nuInt = envf("NU", 0)

func shrinkFor(t term) float64 {
	if t.main {
		return 0
	}
	return nuInt
}
