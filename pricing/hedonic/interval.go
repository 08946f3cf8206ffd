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
// own standard deviations, how much the row counts, and the log price said.
type scored struct{ score, say, middle float64 }

// learnIntervals finds the multiple of the standard deviation that holds the
// asked share of sales that a fit has not seen. moved is by how much trees that
// did not see them move the log prices of the first rows.
func (m *Model) learnIntervals(o Options, moved []float64) intervals {
	if m.table.len() <= o.RefitRows {
		return intervalsOf(m.foldScores(), o.Level)
	}
	var scores []scored
	var s sparse
	for i, r := range m.table.head(min(len(moved), sampleRows)) {
		m.design.row(r.e, &s)
		err, sd := leaveOut(m.sol, m.comp, nil, r, &s)
		noise, say := m.comp.noise/r.base, r.say()
		doubt := square(sd) - noise
		sd = m.rest.sd * math.Sqrt(noise*m.scatter.without(&s, square(err), noise, doubt, say)+doubt)
		scores = append(scores, scored{math.Abs(err-moved[i]) / sd, say, r.y - err + moved[i]})
	}
	return intervalsOf(scores, o.Level)
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
		trees, _ := learnRest(t.design, t.sol, t.comp, t.scatter, t.rows, func(i int, s *sparse) { *s = t.lines[i] })
		for _, r := range test {
			t.design.row(r.e, &s)
			sd := trees.sd * math.Sqrt(t.comp.noise*t.scatter.of(&s)/r.base+uncertainty(t.sol, t.comp, &s))
			middle := trees.logPrice(t.sol.dot(&s), restInputs(t.design, t.sol, r.e, &s))
			out = append(out, scored{math.Abs(r.y-middle) / sd, r.say(), middle})
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

// intervals is what multiplies LogSD to give half the interval, by the price said:
// cheap things often scatter more, and a multiple right for all of them together
// is then too small where they are.
type intervals struct {
	middles []float64 // mean log price of each group, ascending
	factors []float64
}

const (
	// intervalGroups is the number of groups of neighbouring prices at most, and
	// groupRows the rows that each should have.
	intervalGroups = 8
	groupRows      = 15
	// wholeRows is the weight, in rows, with which a group's factor leans on that
	// of all rows.
	wholeRows = 10
)

func intervalsOf(scores []scored, level float64) intervals {
	slices.SortStableFunc(scores, func(a, b scored) int { return cmp.Compare(a.middle, b.middle) })
	groups := max(1, min(intervalGroups, len(scores)/groupRows))
	whole := factorOf(slices.Clone(scores), level)
	var v intervals
	for g := range groups {
		group := slices.Clone(scores[len(scores)*g/groups : len(scores)*(g+1)/groups])
		say, middle := 0.0, 0.0
		for _, s := range group {
			say += s.say
			middle += s.middle
		}
		own := whole
		if groups > 1 {
			own = factorOf(group, level)
		}
		v.middles = append(v.middles, middle/float64(max(len(group), 1)))
		v.factors = append(v.factors, (say*own+wholeRows*whole)/(say+wholeRows))
	}
	return v
}

// factor is the multiple for a log price, on a line between those of the groups.
func (v intervals) factor(middle float64) float64 {
	i, _ := slices.BinarySearch(v.middles, middle)
	switch i {
	case 0:
		return v.factors[0]
	case len(v.middles):
		return v.factors[i-1]
	}
	low, high := v.middles[i-1], v.middles[i]
	return v.factors[i-1] + (v.factors[i]-v.factors[i-1])*(middle-low)/(high-low)
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
