package hedonic

import (
	"fmt"
	"math"
	"slices"
)

// Model is a fitted price model. It is safe for concurrent use.
type Model struct {
	enc         *encoder
	design      *design
	centre      float64 // median log price, taken off before the fit
	comp        components
	sol         *solution
	scatter     scatter
	rest        rest
	mean        []float64 // mean effect of each term over the fitted rows
	intervals   intervals
	comparables comparables
	table       *table // the rows of the fit, kept for Nearest
}

// sampleRows is the number of rows on which variances, products and intervals
// are learned. A larger table adds to the coefficients and their levels.
const sampleRows = 3000

// Fit learns a price model from rows. Rows of weight 0 are left out; they may
// have no target. Fit returns an error, and no model, where the Spec or a row
// breaks its own rules or fewer than MinRows rows remain.
func Fit(rows []Row, spec Spec, opts Options) (*Model, error) {
	if opts.Level == 0 {
		opts.Level = 0.90
	}
	if opts.RefitRows == 0 {
		opts.RefitRows = defaultRefitRows
	}
	if !(opts.Level > 0.5 && opts.Level < 1) {
		return nil, fmt.Errorf("level is %g, want above 0.5 and below 1", opts.Level)
	}
	if err := spec.validate(); err != nil {
		return nil, err
	}
	if len(rows) > math.MaxInt32 {
		return nil, fmt.Errorf("%d rows are more than a model can hold", len(rows))
	}
	for i, r := range rows {
		if err := spec.validateSale(r); err != nil {
			return nil, fmt.Errorf("row %d: %w", i, err)
		}
	}
	order := canonicalOrder(rows)
	if len(order) < MinRows {
		return nil, fmt.Errorf("%w: %d usable, want %d", ErrTooFewRows, len(order), MinRows)
	}
	m := &Model{enc: learnEncoder(rows, order, spec)}
	m.table, m.centre = newTable(m.enc, rows, order)
	if err := m.fit(opts); err != nil {
		return nil, err
	}
	return m, nil
}

func (m *Model) fit(o Options) error {
	t, err := newTrial(m.enc, m.table.head(min(m.table.len(), sampleRows)))
	if err != nil {
		return err
	}
	m.design, m.comp, m.sol, m.scatter = t.design, t.comp, t.sol, t.scatter
	for i, r := range t.rows {
		m.table.weight[i] = r.weight
	}
	if m.table.len() > len(t.rows) {
		if err := m.extend(t.spread); err != nil {
			return err
		}
	}
	moved := m.learnRest()
	m.learnMeans()
	m.learnComparables()
	m.intervals = m.learnIntervals(o, moved)
	return nil
}

// learnRest grows trees on what the fit leaves over, and returns by how much those
// that did not see a row move its log price.
func (m *Model) learnRest() (moved []float64) {
	rows := m.table.head(min(m.table.len(), restRows))
	m.rest, moved = learnRest(m.design, m.sol, m.comp, m.scatter, rows, func(i int, s *sparse) { m.design.row(rows[i].e, s) })
	return moved
}

// log is the middle log price of a row, less the centre.
func (m *Model) log(e encoded, s *sparse) float64 {
	model := m.sol.dot(s)
	if len(m.rest.grown) == 0 {
		return model
	}
	return m.rest.logPrice(model, restInputs(m.design, m.sol, e, s))
}

// learnMeans finds the mean effect of each term over the sample, which Explain
// takes as the reference.
func (m *Model) learnMeans() {
	m.mean = make([]float64, len(m.design.terms))
	var s sparse
	total := 0.0
	for _, r := range m.table.head(min(m.table.len(), sampleRows)) {
		m.design.row(r.e, &s)
		total += r.weight
		for t, v := range m.effects(&s) {
			m.mean[t] += r.weight * v
		}
	}
	for t := range m.mean {
		m.mean[t] /= max(total, 1e-12)
	}
}

// effects splits the linear predictor of s, less the intercept, by term.
func (m *Model) effects(s *sparse) []float64 {
	out := make([]float64, len(m.design.terms))
	t := 0
	for a, c := range s.cols {
		if c == 0 {
			continue
		}
		for int(c) >= m.design.terms[t].first+m.design.terms[t].count {
			t++
		}
		out[t] += m.sol.beta[c] * s.vals[a]
	}
	return out
}

// spreadOf is a standard deviation from the median absolute deviation, or the
// plain one where more than half of the values agree.
func spreadOf(v []float64) float64 {
	centre := median(v)
	abs := make([]float64, len(v))
	squares := 0.0
	for i, x := range v {
		abs[i] = math.Abs(x - centre)
		squares += square(x - centre)
	}
	if s := 1.4826 * median(abs); s > 1e-9 {
		return s
	}
	return math.Sqrt(squares / float64(len(v)))
}

func median(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return quantileSorted(s, 0.5)
}

func square(x float64) float64 { return x * x }
