package prep

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/vanwright/vanwright/prep/schedule"
)

// Rules are the orders in which a foreman takes vans without a plan.
var Rules = []string{"first come, first served", "most pounds a day per hour left", "shortest first", "due date first"}

const pounds = 1 // the place in Rules of the most pounds a day per hour left

// byRule returns the order of work in which vans go by one of Rules.
func (o *outlook) byRule(rule int) []int { return o.inTurn(o.vansBy(o.ruleRank(rule))) }

// ruleRank ranks vans by one of Rules, the first lowest.
func (p *planModel) ruleRank(rule int) func(w int) float64 {
	return func(w int) float64 {
		v := p.work[w]
		switch rule {
		case pounds:
			return -v.ValuePerDay.InexactFloat64() / p.hoursLeft(w)
		case 2:
			return p.hoursLeft(w)
		case 3:
			if v.Van.PromisedOn.IsZero() {
				return math.MaxInt32 + float64(v.Van.Acquired)
			}
			return float64(v.Van.PromisedOn)
		}
		return float64(v.Van.Acquired)
	}
}

// urgent ranks vans by pounds a day per hour left, where a day of a promised van
// counts for more the less time is left beyond its work: what a late day costs, times
// e to the minus spare days over patience (after the apparent tardiness cost of
// Vepsalainen and Morton, Management Science 33, 1987, from memory).
func (p *planModel) urgent(patience float64) func(w int) float64 {
	return func(w int) float64 {
		ready := p.problem.Tasks[p.ready[w]]
		spare := float64(ready.Due-p.alone(w)) / minutesPerDay
		weight := float64(ready.Weight) + float64(ready.LateWeight)*math.Exp(-max(spare, 0)/patience)
		return -weight / p.hoursLeft(w)
	}
}

func (p *planModel) hoursLeft(w int) float64 {
	hours := 0.0
	for i := range p.work[w].Jobs {
		hours += p.work[w].Jobs[i].HoursLeft.InexactFloat64()
	}
	return max(hours, 0.1)
}

// vansBy lists the vans by rank, the lowest first.
func (p *planModel) vansBy(rank func(w int) float64) []int {
	vans, ranks := make([]int, len(p.work)), make([]float64, len(p.work))
	for w := range vans {
		vans[w], ranks[w] = w, rank(w)
	}
	slices.SortStableFunc(vans, func(a, b int) int {
		return cmp.Or(cmp.Compare(ranks[a], ranks[b]), cmp.Compare(p.work[a].Van.StockID, p.work[b].Van.StockID))
	})
	return vans
}

// inTurn is the order of work in which vans go in turn.
func (o *outlook) inTurn(vans []int) []int {
	turn := make([]int, len(vans))
	for k, w := range vans {
		turn[w] = k
	}
	key := make([]int, len(o.problem.Tasks))
	for i := range key {
		key[i] = turn[o.vanOf(i)]
	}
	return o.byKey(key)
}

// How an order of vans is improved. The trials are futures of their own, so that no
// order is judged by what it was chosen by.
const (
	trials     = 8
	trialTasks = 150_000 // in all trials of all orders
	mostOrders = 200
	nearTurns  = 10
)

// robust looks for the order of vans that is expected to cost least: from the rules,
// from the plan that costs least when all goes as expected and from what is urgent,
// by moving one van at a time. A plan that is made for what is likely alone is
// brittle.
func (o *outlook) robust(fresh schedule.Plan) (schedule.Plan, error) {
	hours := o.likelyMinutes()
	var ahead []*schedule.Ahead
	for k := range trials {
		a, err := schedule.NewAhead(o.draw(1<<20+uint64(k), hours), schedule.WeightedCompletion)
		if err != nil {
			return fresh, err
		}
		ahead = append(ahead, a)
	}
	cost := func(vans []int) int {
		order, sum := o.inTurn(vans), 0
		for _, a := range ahead {
			_, at := a.Run(order)
			sum += o.value(at)
		}
		return sum / trials
	}
	finish := func(w int) float64 {
		if a := fresh.Assignments[o.ready[w]]; a.Placed() {
			return float64(a.Finish)
		}
		return math.Inf(1)
	}
	starts := [][]int{o.vansBy(finish), o.vansBy(o.urgent(4)), o.vansBy(o.urgent(12))}
	for rule := range Rules {
		starts = append(starts, o.vansBy(o.ruleRank(rule)))
	}
	best, least := starts[0], math.MaxInt
	for _, vans := range starts {
		if c := cost(vans); c < least {
			best, least = vans, c
		}
	}
	rng := rand.New(rand.NewPCG(uint64(o.policy.Seed), 0xb0b))
	left := min(trialTasks/(trials*max(len(o.tasks), 1)), mostOrders)
	for range left {
		if len(best) < 2 {
			break
		}
		from := rng.IntN(len(best))
		to := min(max(from+1+rng.IntN(nearTurns), 0), len(best)-1)
		if rng.IntN(2) == 0 {
			to = max(from-1-rng.IntN(nearTurns), 0)
		}
		w := best[from]
		next := slices.Insert(slices.Delete(slices.Clone(best), from, from+1), to, w)
		if c := cost(next); c < least {
			best, least = next, c
		}
	}
	return o.arrange(o.inTurn(best))
}
