package hedonic

import (
	"math"
	"math/bits"
	"slices"
)

// rest is what the mixed model leaves over and shallow trees still find: bends
// and products of features that no single term of the design stands for. A log
// price is then a share of the model's and the mean answer of some ensembles of
// boosted trees, each grown without some of the rows: J. H. Friedman, Greedy
// function approximation: a gradient boosting machine, Annals of Statistics 29
// (2001), from memory. A table whose rows left out are priced no better with
// trees gets none.
type rest struct {
	keep  float64  // share of the model's log price, less the centre, that stands beside the trees
	grown [][]tree // ensembles; none: the model stands alone
	sd    float64  // what multiplies the model's standard deviation of a log price
}

const (
	restGrown  = 8    // ensembles
	restUnseen = 3    // ensembles that do not see a row, and by whose mean it is judged
	restRate   = 0.15 // of a tree's own answer that is taken
	restTrees  = 80   // trees of an ensemble at most
	restRounds = 8    // trees after which an ensemble that gains nothing is given up
	// restFrom is the number of rows below which no trees are tried.
	restFrom = 80
	// restRows is the number of rows that trees are grown from at most.
	restRows = 6000
	// restGain is the share of the squared error that trees must take off rows
	// that they did not see; less is not worth the time.
	restGain = 0.01
	// restCap bounds the errors that trees learn from, in standard deviations.
	restCap = 3
)

// restShares are the shares of the model's log price that are tried: all of it,
// with trees that mend it, and half of it, with trees that give the other half
// their own way. Two ways that err apart are better than either alone.
var restShares = []float64{1, 0.5}

// modelAlone is a rest without trees.
func modelAlone() rest { return rest{keep: 1, sd: 1} }

// restRow is one row as the trees see it.
type restRow struct {
	x           []float64 // what is known of it, NaN where unknown
	model       float64   // log price by the fit
	err, weight float64   // error of the fit with the row itself left out
}

// restInputs is what the trees know of a row: its numerics, what the level of
// each factor adds to the price, and the price itself.
func restInputs(d *design, sol *solution, e encoded, line *sparse) []float64 {
	x := slices.Clone(e.z)
	effect := make([]float64, len(e.codes))
	for _, t := range d.terms {
		if len(t.factors) != 1 || len(t.slopes) > 0 {
			continue
		}
		if l := t.level(e); l != noLevel {
			effect[t.factors[0]] = sol.beta[t.first+int(l)]
		}
	}
	return append(append(x, effect...), sol.dot(line))
}

// learnRest grows trees on rows whose design rows are given by line. It also
// returns by how much the trees that did not see a row move its log price.
func learnRest(d *design, sol *solution, comp components, sc scatter, rows []fitted, line func(i int, s *sparse)) (rest, []float64) {
	moved := make([]float64, len(rows))
	if len(rows) < restFrom {
		return modelAlone(), moved
	}
	all := make([]restRow, len(rows))
	var s sparse
	for i, r := range rows {
		line(i, &s)
		err, sd := leaveOut(sol, comp, sc, r, &s)
		all[i] = restRow{restInputs(d, sol, r.e, &s), r.y - err, max(-restCap*sd, min(restCap*sd, err)), r.weight}
	}
	b := newBinned(all)
	best := rest{}
	var bestLeft []float64
	for _, keep := range restShares {
		trees, left := b.ensembles(all, keep)
		if len(trees[0]) == 0 {
			break // where trees mend nothing they have no way of their own
		}
		if bestLeft == nil || squaresOf(all, left) < squaresOf(all, bestLeft) {
			best, bestLeft = rest{keep: keep, grown: trees}, left
		}
	}
	if bestLeft == nil {
		return modelAlone(), moved
	}
	before, gain, doubt := 0.0, 0.0, 0.0
	for i, r := range all {
		was := r.weight * square(r.err)
		won := was - r.weight*square(bestLeft[i])
		before, gain, doubt = before+was, gain+won, doubt+square(won)
	}
	// A gain within its own standard error is luck.
	if gain < restGain*before || gain < math.Sqrt(doubt) {
		return modelAlone(), moved
	}
	best.sd = math.Sqrt(1 - gain/before)
	for i := range all {
		moved[i] = all[i].err - bestLeft[i]
	}
	return best, moved
}

func squaresOf(rows []restRow, left []float64) float64 {
	sum := 0.0
	for i, r := range rows {
		sum += r.weight * square(left[i])
	}
	return sum
}

// ensembles grows ensembles of as many trees as are best for the rows that they
// did not see, and returns the errors left there.
func (b *binned) ensembles(rows []restRow, keep float64) (grown [][]tree, left []float64) {
	growers := make([]*grower, restGrown)
	for i := range growers {
		growers[i] = b.grower(rows, keep, i)
	}
	unseen := func() []float64 {
		out := make([]float64, len(rows))
		for i := range rows {
			for _, g := range growers {
				if !sees(g.number, i) {
					out[i] += g.left[i] / restUnseen
				}
			}
		}
		return out
	}
	left = unseen()
	least, at := squaresOf(rows, left), 0
	for n := 1; n <= restTrees && n-at <= restRounds; n++ {
		for _, g := range growers {
			g.grow()
		}
		if now := unseen(); squaresOf(rows, now) < least {
			least, at, left = squaresOf(rows, now), n, now
		}
	}
	for _, g := range growers {
		grown = append(grown, g.trees[:at])
	}
	return grown, left
}

// unseenBy lists the ways to choose restUnseen of the ensembles, one bit each.
var unseenBy = func() (sets []uint) {
	for set := range uint(1 << restGrown) {
		if bits.OnesCount(set) == restUnseen {
			sets = append(sets, set)
		}
	}
	return sets
}()

// sees says whether an ensemble grows from a row.
func sees(ensemble, row int) bool { return unseenBy[row%len(unseenBy)]>>ensemble&1 == 0 }

// logPrice is the log price, less the centre, of a row that the model alone prices at
// model; x is what the trees know of it.
func (r rest) logPrice(model float64, x []float64) float64 {
	sum := 0.0
	for _, trees := range r.grown {
		for _, t := range trees {
			sum += t.of(x)
		}
	}
	return r.keep*model + sum/float64(max(len(r.grown), 1))
}
