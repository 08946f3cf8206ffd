package hedonic

import "math"

const (
	// extendSteps settles the variances once all rows are in; the sample has
	// brought them near.
	extendSteps = 2
	// lookFrom is the error, in noise standard deviations, at which a row's
	// own hold on the fit is worth working out.
	lookFrom = 2.5
)

// extend carries a fit of the sample over to the whole table: every level gets
// its column, and rows are taken one at a time. Gross errors are first judged
// by the sample's fit, which knows none of them, and then by that of the whole.
func (m *Model) extend(spread float64) error {
	m.doubtRest()
	all := func(yield func(encoded) bool) {
		for i := range m.table.len() {
			if !yield(m.table.encoded(i)) {
				return
			}
		}
	}
	m.design.learnLevels(m.enc, all, m.table.len())
	m.scatter = nil // its levels have new columns
	n := newNormal(m.design.columns)
	var s sparse
	for i := range m.table.len() {
		m.design.row(m.table.encoded(i), &s)
		n.add(&s, m.table.y[i], m.table.weight[i])
	}
	var err error
	if m.comp, m.sol, err = m.design.estimate(n, m.comp, spread, extendSteps); err != nil {
		return err
	}
	if m.doubtAll(n) {
		if m.comp, m.sol, err = m.design.estimate(n, m.comp, spread, extendSteps); err != nil {
			return err
		}
	}
	t := &trial{design: m.design, comp: m.comp, sol: m.sol, rows: m.table.head(sampleRows)}
	t.draw()
	t.learnScatter()
	m.scatter = t.scatter
	return nil
}

// doubtRest judges the rows beyond the sample by a fit that they are not in.
func (m *Model) doubtRest() {
	var s sparse
	for i := sampleRows; i < m.table.len(); i++ {
		m.design.row(m.table.encoded(i), &s)
		err := m.table.y[i] - m.sol.dot(&s)
		if math.Abs(err) < lookFrom*math.Sqrt(m.comp.noise) {
			continue
		}
		score := math.Abs(err) / max(m.sd(&s, m.table.base[i]), smallestDoubt/doubtFrom)
		m.table.weight[i] = m.table.base[i] * trust(score)
	}
}

// doubtAll judges the rows with large errors again, each left out, brings n up
// to the new weights and says whether any moved.
func (m *Model) doubtAll(n *normal) bool {
	var s sparse
	moved := false
	for i := range m.table.len() {
		r := m.table.row(i)
		m.design.row(r.e, &s)
		if math.Abs(r.y-m.sol.dot(&s)) < lookFrom*math.Sqrt(m.comp.noise) && r.weight == r.base {
			continue
		}
		err, sd := leaveOut(m.sol, m.comp, m.scatter, r, &s)
		score := math.Abs(err) / max(sd, smallestDoubt/doubtFrom)
		w := r.base * trust(score)
		n.add(&s, r.y, w-r.weight)
		m.table.weight[i] = w
		moved = moved || w != r.weight
	}
	return moved
}

// sd is the standard deviation of the log price of a sale with the design row
// s and the given weight.
func (m *Model) sd(s *sparse, weight float64) float64 {
	return math.Sqrt(m.comp.noise*m.scatter.of(s)/weight + m.uncertainty(s))
}

// uncertainty is the variance of the middle log price of s.
func (m *Model) uncertainty(s *sparse) float64 {
	return uncertainty(m.sol, m.comp, s)
}

func uncertainty(sol *solution, comp components, s *sparse) float64 {
	v := comp.noise * sol.quadratic(s)
	for _, u := range s.unseen {
		v += comp.term[u.term] * u.square
	}
	return v
}
