package hedonic

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

const (
	// minEvidence is the score, in standard deviations, at which a product of
	// features is let in.
	minEvidence = 3
	// admitAtOnce and admitRounds bound how many products are let in: after
	// each round the evidence of those that wait is judged anew.
	admitAtOnce, admitRounds = 3, 6
	// maxOrder is the largest number of factors in one product.
	maxOrder = 4
	// admitSteps is how far variances are settled between rounds.
	admitSteps = 4
	// keepFrom is the number of determined coefficients below which a product
	// is taken out again.
	keepFrom = 0.5
	// productColumns bounds the columns of all products together.
	productColumns = 500
	// judgedLevels is the number of levels of a candidate, largest first, on
	// which its evidence rests.
	judgedLevels = 80
)

// candidate is a product of features that may be let into the fit.
type candidate struct {
	term
	cells    []int32 // the level of each row, noLevel for none
	values   []float64
	evidence float64
}

// pool holds the candidates not in the fit.
type pool struct {
	t       *trial
	tried   map[string]bool
	counts  map[string]int // joint levels of each set of factors tried
	waiting []*candidate
	columns int // of the products let in
}

// interact lets in the products of features that the errors ask for, a few at
// a time, strongest first: pairs to begin with, and then a set that is in with
// one factor more.
func (t *trial) interact() error {
	p := &pool{t: t, tried: map[string]bool{}, counts: map[string]int{}}
	p.offerPairs()
	for range admitRounds {
		if !p.admit() {
			return nil
		}
		t.draw()
		if err := t.estimate(admitSteps); err != nil {
			return err
		}
		held := len(t.design.terms)
		t.design, t.comp = t.design.keep(t.comp, func(i int) bool { return !t.design.terms[i].product() || t.comp.determined[i] > keepFrom })
		if len(t.design.terms) < held {
			t.draw()
		}
		if err := t.estimate(admitSteps); err != nil {
			return err
		}
	}
	return nil
}

func (p *pool) offerPairs() {
	enc := p.t.enc
	straight := func(j int) bool {
		return !slices.ContainsFunc(enc.steps, func(s stepped) bool { return s.numeric == j })
	}
	for a := range enc.factors() {
		p.count([]int{a})
	}
	for a := range enc.factors() {
		for b := a + 1; b < enc.factors(); b++ {
			p.offer([]int{a, b}, nil)
		}
		for j := range enc.spec.Numerics {
			if straight(j) {
				p.offer([]int{a}, []int{j})
			}
		}
	}
	for j := range enc.spec.Numerics {
		for k := j + 1; k < len(enc.spec.Numerics); k++ {
			p.offer(nil, []int{j, k})
		}
	}
}

// count is the number of joint levels of factors among the rows.
func (p *pool) count(factors []int) int {
	key := setKey(factors, nil)
	if _, ok := p.counts[key]; !ok {
		t := plainTerm()
		t.factors = factors
		t.learnLevels(encodedOf(p.t.rows), len(p.t.rows))
		p.counts[key] = t.count
	}
	return p.counts[key]
}

// offer puts a product among the candidates, unless it splits the rows no finer
// than its own parts do, or into levels of hardly more than one row.
func (p *pool) offer(factors, slopes []int) {
	key := setKey(factors, slopes)
	if p.tried[key] {
		return
	}
	p.tried[key] = true
	c := &candidate{term: plainTerm()}
	c.factors, c.slopes = factors, slopes
	c.learnLevels(encodedOf(p.t.rows), len(p.t.rows))
	if len(slopes) == 0 {
		p.counts[key] = c.count
		for drop := range factors {
			if p.count(slices.Delete(slices.Clone(factors), drop, drop+1)) >= c.count {
				return
			}
		}
	}
	if c.count == 0 || c.count > len(p.t.rows)*3/4 || p.columns+c.count > productColumns {
		return
	}
	c.cells, c.values = make([]int32, 0, len(p.t.rows)), make([]float64, 0, len(p.t.rows))
	var own sparse
	for _, r := range p.t.rows {
		own.reset()
		c.columnsOf(0, r.e, &own)
		cell, value := noLevel, 0.0
		if len(own.cols) > 0 {
			cell, value = own.cols[0], own.vals[0]
		}
		c.cells, c.values = append(c.cells, cell), append(c.values, value)
	}
	p.waiting = append(p.waiting, c)
}

// admit lets the strongest candidates in, and says whether there were any.
func (p *pool) admit() bool {
	t := p.t
	errors := make([]float64, len(t.rows))
	for i := range t.rows {
		errors[i] = t.rows[i].weight * (t.rows[i].y - t.sol.dot(&t.lines[i]))
	}
	for _, c := range p.waiting {
		c.evidence = t.evidence(c, errors)
	}
	slices.SortStableFunc(p.waiting, func(a, b *candidate) int { return cmp.Compare(b.evidence, a.evidence) })
	var rest, chosen []*candidate
	for _, c := range p.waiting {
		switch {
		case c.evidence < minEvidence/2:
			// What the terms let in leave unexplained only shrinks.
		case len(chosen) == admitAtOnce || c.evidence < minEvidence || p.columns+c.count > productColumns:
			rest = append(rest, c)
		default:
			chosen = append(chosen, c)
			p.columns += c.count
			t.design.add(c.term)
			t.comp.term = append(t.comp.term, t.comp.noise/2)
			t.comp.determined = append(t.comp.determined, 0)
		}
	}
	p.waiting = rest
	for _, c := range chosen {
		for f := range t.enc.factors() {
			if len(c.slopes) == 0 && len(c.factors) < maxOrder && !slices.Contains(c.factors, f) {
				more := append(slices.Clone(c.factors), f)
				slices.Sort(more)
				p.offer(more, nil)
			}
		}
	}
	return len(chosen) > 0
}

// evidence is how far the fit's errors agree inside the levels of a candidate:
// the score test of a variance component against zero, in its own standard
// deviations. Above zero the marginal likelihood rises when the term is let
// in. With r the weighted errors summed over a level and d what is left of the
// level's weight once the fit has taken its part, the errors of a fit that
// needs no such term have E r² = noise × d.
func (t *trial) evidence(c *candidate, errors []float64) float64 {
	byLevel := t.rowsByLevel(c)
	sum := make([]float64, t.design.columns)
	touched := make([]uint64, (t.design.columns+63)/64) // a bit for each column of sum
	excess, variance := 0.0, 0.0
	var line sparse
	for _, members := range byLevel[:min(len(byLevel), judgedLevels)] {
		line.reset()
		r, weight := 0.0, 0.0
		for _, i := range members {
			x, row := c.values[i], &t.lines[i]
			r += x * errors[i]
			weight += x * x * t.rows[i].weight
			said := x * t.rows[i].weight
			for a, col := range row.cols {
				sum[col] += said * row.vals[a]
				touched[col/64] |= 1 << (col % 64)
			}
		}
		for w, left := range touched {
			for ; left != 0; left &= left - 1 {
				col := 64*w + bits.TrailingZeros64(left)
				if v := sum[col]; v != 0 {
					line.add(col, v)
				}
				sum[col] = 0
			}
			touched[w] = 0
		}
		d := max(weight-t.sol.quadratic(&line), 0)
		excess += square(r)/t.comp.noise - d
		variance += 2 * square(d)
	}
	if variance <= 0 {
		return 0
	}
	return excess / math.Sqrt(variance)
}

// rowsByLevel lists the rows of each level of a candidate, the largest level first.
func (t *trial) rowsByLevel(c *candidate) [][]int32 {
	sizes := make([]int, c.count)
	counts := func(i int) bool { return c.cells[i] != noLevel && t.rows[i].weight > 0 }
	for i, cell := range c.cells {
		if counts(i) {
			sizes[cell]++
		}
	}
	byLevel, room := make([][]int32, c.count), make([]int32, len(c.cells))
	for level, n := range sizes {
		byLevel[level], room = room[:0:n], room[n:]
	}
	for i, cell := range c.cells {
		if counts(i) {
			byLevel[cell] = append(byLevel[cell], int32(i))
		}
	}
	slices.SortStableFunc(byLevel, func(a, b []int32) int { return cmp.Compare(len(b), len(a)) })
	return byLevel
}

func setKey(factors, slopes []int) string {
	var key []byte
	for _, f := range factors {
		key = append(key, byte(f), byte(f>>8))
	}
	key = append(key, 255, 255)
	for _, j := range slopes {
		key = append(key, byte(j), byte(j>>8))
	}
	return string(key)
}
