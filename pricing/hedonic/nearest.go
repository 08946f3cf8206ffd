package hedonic

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Neighbour is a sale of the fit that is like a row asked about.
type Neighbour struct {
	Index         int     // in the rows given to Fit
	Distance      float64 // how far the two may differ in log price: 0 is alike in every feature
	AdjustmentLog float64 // added to the sale's log price to bring it to the row asked about
}

const (
	// searchedRows is the size of the fair sample that Nearest always looks
	// through. In a larger table it also looks at the sales of the same level
	// of the category with the most levels, among the first keptRows rows.
	searchedRows = 2000
	keptRows     = 200_000
)

// comparables holds what Nearest compares of each sale.
type comparables struct {
	effects []float32         // by row, then by term
	widest  int               // the factor with the most levels, -1 for none
	same    map[int32][]int32 // rows beyond the sample by level of widest
}

func (m *Model) learnComparables() {
	c := comparables{widest: -1, same: map[int32][]int32{}}
	for f := range m.enc.factors() {
		if c.widest < 0 || m.enc.factorLevels(f) > m.enc.factorLevels(c.widest) {
			c.widest = f
		}
	}
	var s sparse
	n := min(m.table.len(), keptRows)
	c.effects = make([]float32, 0, n*len(m.design.terms))
	for i := range n {
		e := m.table.encoded(i)
		m.design.row(e, &s)
		for _, v := range m.effects(&s) {
			c.effects = append(c.effects, float32(v))
		}
		if i >= searchedRows && c.widest >= 0 {
			level := e.codes[c.widest]
			c.same[level] = append(c.same[level], int32(i))
		}
	}
	m.comparables = c
}

// Nearest lists the k sales most like r, nearest first, ties in the order of
// the rows. Sales doubted as gross errors are left out. Distance counts a
// feature by what it does to the price: the difference of its effects and, for
// a category that differs, how much its levels scatter. In tables of more than
// searchedRows rows the list is the best of a sample and of r's own kind.
func (m *Model) Nearest(r Row, k int) ([]Neighbour, error) {
	if err := m.enc.spec.validateShape(r); err != nil {
		return nil, fmt.Errorf("row %w", err)
	}
	e := m.enc.newEncoded()
	m.enc.encode(r, e)
	var s sparse
	m.design.row(e, &s)
	here := m.log(e, &s)
	mine := make([]float32, len(m.design.terms))
	for t, v := range m.effects(&s) {
		mine[t] = float32(v)
	}
	spreads := make([]float64, m.enc.factors())
	for f := range spreads {
		spreads[f] = m.levelSpread(f)
	}

	type near struct {
		row, index int32
		squared    float64
	}
	var all []near
	look := func(row int32) {
		if m.table.weight[row] < m.table.base[row]/2 {
			return
		}
		all = append(all, near{row, m.table.index[row], m.squaredDistance(row, mine, e, spreads)})
	}
	for row := range min(m.table.len(), searchedRows) {
		look(int32(row))
	}
	if c := m.comparables; c.widest >= 0 {
		for _, row := range c.same[e.codes[c.widest]] {
			look(row)
		}
	}
	slices.SortFunc(all, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.squared, b.squared), cmp.Compare(a.index, b.index))
	})
	var out []Neighbour
	for _, n := range all[:min(max(k, 0), len(all))] {
		there := m.table.encoded(int(n.row))
		m.design.row(there, &s)
		out = append(out, Neighbour{int(n.index), math.Sqrt(n.squared), here - m.log(there, &s)})
	}
	return out, nil
}

func (m *Model) squaredDistance(row int32, mine []float32, e encoded, spreads []float64) float64 {
	sum := 0.0
	for t, v := range m.comparables.effects[int(row)*len(mine) : (int(row)+1)*len(mine)] {
		sum += square(float64(v - mine[t]))
	}
	for f, code := range m.table.encoded(int(row)).codes {
		if code != e.codes[f] || code == noLevel {
			sum += spreads[f]
		}
	}
	return sum
}

// levelSpread is twice the prior variance of factor f's own effect: that of the
// difference of two of its levels.
func (m *Model) levelSpread(f int) float64 {
	for i, t := range m.design.terms {
		if len(t.factors) == 1 && t.factors[0] == f && len(t.slopes) == 0 {
			return 2 * m.comp.term[i]
		}
	}
	return 0
}
