package hedonic

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// defaultRefitRows is the number of rows up to which the whole procedure is
	// repeated without each fold; beyond it the choice of products and
	// variances costs too little to matter, and rows are left out one by one
	// with these kept.
	defaultRefitRows = 1000
	// normalRows is the weight, in rows, of the factor that the scores would
	// have if they were normal: a quantile read from forty rows alone is
	// unsteady.
	normalRows = 40
	// scoreCap keeps one wild row from widening every interval.
	scoreCap = 4
)

// scored is how far a price lay from what a fit without it said, in that fit's
// own standard deviations, and how much the row counts.
type scored struct{ score, say float64 }

// intervalFactor finds the multiple of the standard deviation that holds the
// asked share of sales that a fit has not seen.
func (m *Model) intervalFactor(o Options) float64 {
	if m.table.len() <= o.RefitRows {
		return factorOf(m.foldScores(), o.Level)
	}
	var scores []scored
	var s sparse
	for _, r := range m.table.head(min(m.table.len(), sampleRows)) {
		m.design.row(r.e, &s)
		err, sd := leaveOut(m.sol, m.comp, nil, r, &s)
		noise, say := m.comp.noise/r.base, r.say()
		rest := square(sd) - noise
		sd = math.Sqrt(noise*m.scatter.without(&s, square(err), noise, rest, say) + rest)
		scores = append(scores, scored{math.Abs(err) / sd, say})
	}
	return factorOf(scores, o.Level)
}

// foldScores fits the whole procedure anew without each fold. Doubt is that of
// the full fit: a price that is wrong by a gross error says nothing of how
// sound prices scatter.
func (m *Model) foldScores() []scored {
	k := foldsFor(m.table.len())
	var out []scored
	var s sparse
	for fold := range k {
		var train, test []fitted
		for i, r := range m.table.head(m.table.len()) {
			if i%k == fold {
				test = append(test, r)
				continue
			}
			r.weight = r.base
			train = append(train, r)
		}
		t, err := newTrial(m.enc, train)
		if err != nil {
			continue // the full table was fitted; its own scores remain
		}
		for _, r := range test {
			t.design.row(r.e, &s)
			sd := math.Sqrt(t.comp.noise*t.scatter.of(&s)/r.base + uncertainty(t.sol, t.comp, &s))
			out = append(out, scored{math.Abs(r.y-t.sol.dot(&s)) / sd, r.say()})
		}
	}
	return out
}

// foldsFor gives small tables more folds, so that each fit sees most of one.
func foldsFor(rows int) int {
	switch {
	case rows <= 100:
		return min(rows, 20)
	case rows <= 400:
		return 10
	}
	return 5
}

// factorOf is the score that holds the share level, with the correction of
// split conformal prediction for the one sale to come (V. Vovk, A. Gammerman
// and G. Shafer, Algorithmic Learning in a Random World, 2005, from memory),
// steadied by the factor of a Student distribution of the same spread.
func factorOf(scores []scored, level float64) float64 {
	slices.SortStableFunc(scores, func(a, b scored) int { return cmp.Compare(a.score, b.score) })
	total, squares := 0.0, 0.0
	for _, s := range scores {
		total += s.say
		squares += s.say * square(min(s.score, scoreCap))
	}
	student := distuv.StudentsT{Sigma: 1, Nu: max(total-3, 3)}.Quantile(0.5 + level/2)
	if total < 1 {
		return student
	}
	student *= math.Sqrt(squares / total)
	return max((total*weightedQuantile(scores, level*(total+1))+normalRows*student)/(total+normalRows), 1e-3)
}

// weightedQuantile is the score, ascending, below which the says sum to want.
func weightedQuantile(scores []scored, want float64) float64 {
	sum, last := 0.0, 0.0
	for _, s := range scores {
		if s.say > 0 && sum+s.say >= want {
			return last + (s.score-last)*(want-sum)/s.say
		}
		if s.say > 0 {
			sum, last = sum+s.say, s.score
		}
	}
	return last
}
