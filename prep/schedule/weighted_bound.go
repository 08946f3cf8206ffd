package schedule

import (
	"cmp"
	"math"
)

// weightedBound returns a weighted completion that no plan goes below.
//
// Each weighted task v waits for work of several pools, and finishes no sooner
// than any of them lets it: its weight is split over them, each pool is bounded
// by itself, and the sum of the bounds is a bound whatever the split (Lagrangian
// relaxation). Splits are improved step by step. A pool by itself works at any
// speed that its people allow, on what has the most weight for its minutes among
// what is released; v then finishes no sooner than the mean time at which it is
// worked on and what must come behind (the mean busy time relaxation of Goemans
// and others, SIAM Journal on Discrete Mathematics 15, 2002, from memory).
//
// The finishes that the best split gives put the tasks into an order to begin a
// search with, returned as a key.
func (m *model) weightedBound(earliest []int) (bound int, key []int) {
	b := newSplitBound(m, earliest)
	best := b.value()
	finish := b.finishes()
	for round := 1; round <= b.rounds(); round++ {
		b.improve(round)
		if value := b.value(); value > best {
			best = value
			copy(finish, b.finishes())
		}
	}
	soonest := make([]float64, len(m.Tasks))
	for i := range soonest {
		soonest[i] = math.Inf(1)
	}
	for v, bundle := range m.bundles() {
		for _, i := range bundle {
			soonest[i] = min(soonest[i], finish[v])
		}
	}
	tail := m.tails()
	key = m.ranked(func(i, j int) int { return cmp.Or(cmp.Compare(soonest[i], soonest[j]), cmp.Compare(tail[j], tail[i])) })
	// Float sums of this size are exact to well within a thousandth.
	return int(best * (1 - 1e-9)), key
}

// finishes returns when each claim finishes on average over its pools.
func (b *splitBound) finishes() []float64 {
	out := make([]float64, len(b.claims))
	for v := range b.claims {
		out[v] = b.claims[v].mean
	}
	return out
}

// splitBound holds a split of the weights.
type splitBound struct {
	claims []claim
	pools  []poolShares
}

// claim is a weighted task.
type claim struct {
	weight, late float64
	due          float64
	alone        float64 // finish where it has all people for itself
	hurry        float64 // share of late that counts, 0 to 1: what comes before due lessens the bound
	byItself     float64 // share of the weight that its finish alone answers for
	mean         float64 // of the finishes that the pools give it, by their shares
}

// What the improvement of splits was found to do best with: more rounds gain
// less than a hundredth.
const (
	firstStep   = 0.5
	leastRounds = 12
	mostRounds  = 60
	pieceRounds = 1_200_000 // pieces worked in all rounds together
)

// rounds is how many splits are tried.
func (b *splitBound) rounds() int {
	pieces := 1
	for _, p := range b.pools {
		pieces += len(p.pieces)
	}
	return min(max(pieceRounds/pieces, leastRounds), mostRounds)
}

func newSplitBound(m *model, earliest []int) *splitBound {
	b := &splitBound{}
	w := newWaits(m, earliest)
	owner := make([]int, len(m.Tasks)) // claim that a task's work is counted for
	for i := range owner {
		owner[i] = None
	}
	bundles := m.bundles()
	for _, bundle := range bundles {
		t := m.Tasks[bundle[0]]
		for _, i := range bundle {
			if owner[i] == None && earliest[i] < m.horizon {
				owner[i] = len(b.claims)
			}
		}
		b.claims = append(b.claims, claim{weight: float64(t.Weight), late: float64(t.LateWeight), due: float64(t.Due), hurry: 1})
	}
	add := func(p *pool) {
		if p == nil {
			return
		}
		if s, ok := newPoolShares(m, p, w, owner, len(b.claims)); ok {
			b.pools = append(b.pools, s)
		}
	}
	for _, skills := range m.pools() {
		add(m.peoplePool(skills))
	}
	for r := range m.Resources {
		add(m.placePool(r))
	}
	for v, bundle := range bundles {
		w.look(bundle)
		b.claims[v].alone = w.alone(bundle)
		for k := range b.pools {
			b.pools[k].claim(v, w)
		}
	}
	for v := range b.claims {
		b.start(v)
	}
	return b
}

// start splits a claim's weight evenly.
func (b *splitBound) start(v int) {
	parts := 1.0
	for _, p := range b.pools {
		if p.work[v] > 0 {
			parts++
		}
	}
	c := &b.claims[v]
	c.byItself = 1 / parts
	for k := range b.pools {
		if b.pools[k].work[v] > 0 {
			b.pools[k].share[v] = 1 / parts
		}
	}
	if c.alone < c.due {
		c.hurry = 0.5
	}
}

// value returns the bound of the split, and leaves in each pool the finishes
// that it stands on.
func (b *splitBound) value() float64 {
	sum := 0.0
	for v := range b.claims {
		c := &b.claims[v]
		weight := c.weight + c.hurry*c.late
		c.mean = c.byItself * c.alone
		sum += weight*c.byItself*c.alone - c.hurry*c.late*c.due
	}
	for k := range b.pools {
		p := &b.pools[k]
		p.run(b.claims)
		for v, share := range p.share {
			if share > 0 {
				c := &b.claims[v]
				sum += (c.weight + c.hurry*c.late) * share * p.finish[v]
				c.mean += share * p.finish[v]
			}
		}
	}
	return sum
}

// improve moves weight towards the pools that give a claim the latest finish.
func (b *splitBound) improve(round int) {
	spread, count := 0.0, 0.0
	for v := range b.claims {
		c := &b.claims[v]
		spread += c.byItself * math.Abs(c.alone-c.mean)
		count++
		for k := range b.pools {
			if p := &b.pools[k]; p.share[v] > 0 {
				spread += p.share[v] * math.Abs(p.finish[v]-c.mean)
			}
		}
	}
	step := firstStep / math.Sqrt(float64(round)) / math.Max(spread/math.Max(count, 1), 1)
	for v := range b.claims {
		c := &b.claims[v]
		c.byItself *= grow(step * (c.alone - c.mean))
		total := c.byItself
		for k := range b.pools {
			if p := &b.pools[k]; p.share[v] > 0 {
				p.share[v] *= grow(step * (p.finish[v] - c.mean))
				total += p.share[v]
			}
		}
		c.byItself /= total
		for k := range b.pools {
			b.pools[k].share[v] /= total
		}
		if c.late > 0 {
			c.hurry = min(max(c.hurry+step/4*(c.mean-c.due), 0), 1)
		}
	}
}

// grow is e to the power of a step that is kept within reason.
func grow(step float64) float64 { return math.Exp(min(max(step, -2), 2)) }
