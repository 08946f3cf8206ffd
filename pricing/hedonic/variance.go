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
	varianceSteps = 20
	// settled is the relative move of a variance that no price would feel.
	settled = 0.01
	// noiseFloor keeps a table whose prices follow exactly from its features
	// solvable: a standard deviation of a hundredth of one percent.
	noiseFloor = 1e-8
	// priorRows is the weight, in rows, of the prior guess of each component.
	// It matters only in tables of a few dozen rows.
	priorRows = 0.25
	// productDoubt is the number of coefficients at zero that the variance of
	// a product of features is averaged with. There are many products to
	// choose from, so those that look best are better than they are.
	productDoubt = 3
)

// startComponents spreads the variance of y over noise and terms.
func startComponents(d *design, spread float64) components {
	c := components{max(spread/4, noiseFloor), make([]float64, len(d.terms)), make([]float64, len(d.terms))}
	for i := range c.term {
		c.term[i] = max(spread/float64(len(d.terms)), noiseFloor)
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
// data do not bear out shrinks to nothing. spread is the variance of y.
func (d *design) estimate(n *normal, c components, spread float64, steps int) (components, *solution, error) {
	block := d.block()
	sol, err := n.solve(d.penalty(c), block)
	for range steps {
		if err != nil {
			break
		}
		var moved float64
		c, moved = d.step(n, c, sol, spread)
		sol, err = n.solve(d.penalty(c), block)
		if moved < settled {
			break
		}
	}
	return c, sol, err
}

// step gives the next components and the largest relative move of one that
// matters.
func (d *design) step(n *normal, c components, sol *solution, spread float64) (next components, moved float64) {
	next = components{term: make([]float64, len(c.term)), determined: make([]float64, len(c.term))}
	used := 1.0
	for i, t := range d.terms {
		squares, trace := 0.0, 0.0
		for k := t.first; k < t.first+t.count; k++ {
			squares += square(sol.beta[k])
			trace += sol.diagonal[k]
		}
		free := max(0, float64(t.count)-trace*c.noise/c.term[i])
		used += free
		next.determined[i] = free
		over := free + priorRows
		if t.product() {
			over += productDoubt
		}
		next.term[i] = max((squares+priorRows*1e-3*spread)/over, 1e-7*spread, 1e-3*noiseFloor)
		moved = max(moved, math.Abs(math.Log(next.term[i]/c.term[i]))*min(1, free))
	}
	left := max(n.weight-used, 0)
	next.noise = max((sol.rss+priorRows*0.05*spread)/(left+priorRows), noiseFloor)
	return next, max(moved, math.Abs(math.Log(next.noise/c.noise)))
}

// blockFrom is the number of levels at which eliminating them saves time.
const blockFrom = 16

// block is the columns of the factor with the most levels, or an empty span.
func (d *design) block() span {
	var b span
	for _, t := range d.terms {
		if len(t.factors) > 0 && t.count >= blockFrom && t.count > b.count {
			b = span{t.first, t.count}
		}
	}
	return b
}
