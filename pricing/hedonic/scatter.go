package hedonic

import "math"

// scatter is how much more or less than the rest the prices of some levels
// vary: ratios of noise variance, multiplied over groups.
type scatter []scatterGroup

type scatterGroup struct {
	span  span // columns of the term whose levels these are
	ratio []float64
	rows  []float64 // rows of each level, by their say
	mean  float64   // mean squared score before these ratios
}

const (
	// scatterRows is the weight, in rows, with which a level's variance leans
	// on that of all.
	scatterRows = 10
	// scatterGain is the gain in log-likelihood, each row judged by the
	// others of its level, at which a term's levels get ratios of their own.
	scatterGain = 4
	maxScatter  = 3 // terms with ratios
)

// of is the ratio for a design row.
func (sc scatter) of(s *sparse) float64 {
	v := 1.0
	for _, g := range sc {
		if l := g.span.level(s); l >= 0 {
			v *= g.ratio[l]
		}
	}
	return v
}

// without is the ratio for a row of the fit as the other rows give it: a row
// must not widen the interval that it is judged by. squared is the square of
// its error left out, noise and rest what its variance is made of.
func (sc scatter) without(s *sparse, squared, noise, rest, say float64) float64 {
	v := 1.0
	for _, g := range sc {
		if l := g.span.level(s); l >= 0 {
			own := say * min(squared/(noise*v+rest), square(scoreCap)) / g.mean
			v *= max(g.ratio[l]*(g.rows[l]+scatterRows)-own, 0.1*scatterRows) / max(g.rows[l]-say+scatterRows, 0.1*scatterRows)
		}
	}
	return v
}

// level is the place in the span of the column that s has there, or -1.
func (p span) level(s *sparse) int {
	for _, c := range s.cols {
		if p.has(int(c)) {
			return int(c) - p.first
		}
	}
	return -1
}

// learnScatter picks the terms whose levels differ most in how far their
// left-out prices lie off, one after the other.
func (t *trial) learnScatter() {
	for range maxScatter {
		scores := t.scores()
		var best scatterGroup
		most := float64(scatterGain)
		for _, term := range t.design.terms {
			if len(term.factors) == 0 || len(term.slopes) > 0 {
				continue
			}
			g, gain := t.scatterOf(span{term.first, term.count}, scores)
			if gain > most {
				best, most = g, gain
			}
		}
		if best.ratio == nil {
			return
		}
		t.scatter = append(t.scatter, best)
	}
}

// scores are the squared standard scores of the rows left out.
func (t *trial) scores() []float64 {
	errs, sds := t.leftOut()
	out := make([]float64, len(errs))
	for i := range errs {
		out[i] = square(min(math.Abs(errs[i])/sds[i], scoreCap))
	}
	return out
}

func (t *trial) scatterOf(sp span, scores []float64) (scatterGroup, float64) {
	sums, rows := make([]float64, sp.count), make([]float64, sp.count)
	total, all := 0.0, 0.0
	for i, r := range t.rows {
		say := r.say()
		total += say * scores[i]
		all += say
		if l := sp.level(&t.lines[i]); l >= 0 {
			sums[l] += say * scores[i]
			rows[l] += say
		}
	}
	mean := max(total/max(all, 1e-12), 1e-12)
	g := scatterGroup{sp, make([]float64, sp.count), rows, mean}
	for l := range g.ratio {
		g.ratio[l] = (sums[l]/mean + scatterRows) / (rows[l] + scatterRows)
	}
	gain := 0.0
	for i, r := range t.rows {
		if l := sp.level(&t.lines[i]); l >= 0 {
			say, own := r.say(), scores[i]/mean
			others := (sums[l]/mean - say*own + scatterRows) / (rows[l] - say + scatterRows)
			gain += say * (own - own/others - math.Log(others)) / 2
		}
	}
	return g, gain
}
