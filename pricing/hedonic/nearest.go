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

// Nearest lists the k sales most like r, nearest first, ties in the order of
// the rows. Sales doubted as gross errors are left out. Distance counts a
// feature by what it does to the price: the difference of its effects and, for
// a category that differs, how much its levels scatter.
func (m *Model) Nearest(r Row, k int) ([]Neighbour, error) {
	if err := m.enc.spec.validateShape(r); err != nil {
		return nil, fmt.Errorf("row %w", err)
	}
	e := m.enc.newEncoded()
	m.enc.encode(r, e)
	var s sparse
	m.design.row(e, &s)
	here, mine := m.sol.dot(&s), m.effects(&s)
	var out []Neighbour
	for i := range m.table.len() {
		f := m.table.row(i)
		if f.weight < f.base/2 {
			continue
		}
		m.design.row(f.e, &s)
		sum := 0.0
		for t, v := range m.effects(&s) {
			sum += square(v - mine[t])
		}
		for c, code := range f.e.codes {
			if code != e.codes[c] || code == noLevel {
				sum += m.levelSpread(c)
			}
		}
		out = append(out, Neighbour{int(m.table.index[i]), math.Sqrt(sum), here - m.sol.dot(&s)})
	}
	slices.SortStableFunc(out, func(a, b Neighbour) int {
		return cmp.Or(cmp.Compare(a.Distance, b.Distance), cmp.Compare(a.Index, b.Index))
	})
	return out[:min(max(k, 0), len(out))], nil
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
