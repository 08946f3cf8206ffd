package hedonic

import (
	"cmp"
	"math"
	"slices"
)

// calibrate finds the multiple of the standard deviation that holds the asked
// share of left-out rows: a split of trust between the model's variances and
// what the rows show. Rows doubted as gross errors don't count.
func (m *Model) calibrate() {
	errs, sds := m.leftOut()
	type scored struct{ t, w float64 }
	var all []scored
	total := 0.0
	for i, r := range m.rows {
		w := r.weight / r.base
		all = append(all, scored{math.Abs(errs[i]) / sds[i], w})
		total += w
	}
	slices.SortStableFunc(all, func(a, b scored) int { return cmp.Compare(a.t, b.t) })
	// The (n+1)-th row is the one to be priced: split conformal's correction.
	want := m.level * (total + 1)
	sum := 0.0
	for _, s := range all {
		m.factor = s.t
		if sum += s.w; sum >= want {
			break
		}
	}
	m.factor = max(m.factor, 1e-3)
}
