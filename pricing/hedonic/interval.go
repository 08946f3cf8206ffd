package hedonic

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// calibrate finds the multiple of the standard deviation that holds the asked
// share of left-out rows: a split of trust between the model's variances and
// what the rows show. Rows doubted as gross errors don't count.
func (m *Model) calibrate(t *trial) {
	scores, weights := m.foldScores()
	if scores == nil {
		errs, sds := t.leftOut()
		for i, r := range t.rows {
			scores = append(scores, math.Abs(errs[i])/sds[i])
			weights = append(weights, r.weight/r.base)
		}
	}
	m.factor = max(factorOf(scores, weights, m.level), 1e-3)
}

var cvMax = int(envf("CVMAX", 400))

// foldScores fits the whole procedure anew without each fold.
func (m *Model) foldScores() (scores, weights []float64) {
	n := len(m.rows)
	if n > cvMax {
		return nil, nil
	}
	folds := min(n, int(envf("K", 20)))
	if n > 100 {
		folds = 10
	}
	for k := range folds {
		var train []fitted
		for i, r := range m.rows {
			if i%folds != k {
				r.weight = r.base
				train = append(train, r)
			}
		}
		t, err := newTrial(m.enc, train)
		if err != nil {
			continue
		}
		var s sparse
		for i, r := range m.rows {
			if i%folds == k {
				t.design.row(r.e, &s)
				sd := predictiveSD(t.design, t.comp, t.sol, &s, r.base)
				scores = append(scores, math.Abs(r.y-t.sol.dot(&s))/sd)
				weights = append(weights, r.weight/r.base)
			}
		}
	}
	return scores, weights
}

func predictiveSD(d *design, c components, sol *solution, s *sparse, w float64) float64 {
	v := c.noise * (1/w + sol.quadratic(s))
	for _, u := range s.unseen {
		v += c.term[u.term] * u.square
	}
	return math.Sqrt(v)
}

var blendRows = envf("BLEND", 40)

func factorOf(scores, weights []float64, level float64) float64 {
	type scored struct{ t, w float64 }
	var all []scored
	total := 0.0
	for i, t := range scores {
		all = append(all, scored{t, weights[i]})
		total += weights[i]
	}
	slices.SortStableFunc(all, func(a, b scored) int { return cmp.Compare(a.t, b.t) })
	want := level * (total + 1) // of the total+1 places among the ordered scores
	sum, prev, prevT := 0.0, 0.0, 0.0
	q := math.NaN()
	squares := 0.0
	for _, s := range all {
		squares += s.w * min(s.t, 4) * min(s.t, 4)
		sum += s.w
		if math.IsNaN(q) && sum >= want {
			q = prevT
			if sum > prev {
				q += (s.t - prevT) * (want - prev) / (sum - prev)
			}
		}
		prev, prevT = sum, s.t
	}
	if math.IsNaN(q) {
		q = prevT
	}
	normal := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: max(total-3, 3)}.Quantile(0.5+level/2) * math.Sqrt(squares/total)
	return (total*q + blendRows*normal) / (total + blendRows)
}
