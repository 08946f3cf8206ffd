package prep

import (
	"maps"
	"math"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// Cost is what a van's preparation may come to, ex VAT.
type Cost struct {
	P50    data.Money // the named jobs at their middle hours; equals Total of the jobs
	P80    data.Money // four times in five it costs no more, hidden defects counted
	Risk   data.Money // what hidden defects come to on average
	Spread Spread     // the whole distribution
}

// The correlation between two uncertain costs in one system of a van: of the
// hours of jobs that are known, since what makes one damp repair longer tends
// to make the next longer; and of defects that may be hidden, since neglect
// seldom stops at one point. Common practice, no source.
const (
	betweenHours  = 0.5
	betweenHidden = 0.1
)

// percentile is the chance with which preparation stays within Cost.P80.
const percentile = 0.8

// CostOf returns what the jobs and the untested points of one van come to.
//
// The model: each open job's hours follow its three-point estimate; each
// untested point hides a defect with its book's chance, and that defect costs
// its job at mean hours, once for all the points that share the job. Costs within one system are correlated, systems are
// independent. The hours of the named jobs together are a gamma distribution
// with their mean and variance above their lowest sum; the hidden defects are
// added to it exactly, cell by cell on a grid of pounds. Nothing is simulated,
// and what is added to a cost never lowers a quantile of it.
func CostOf(jobs []Job, untested []appraise.Untested, body data.Body, books *data.Books, policy data.Policy) Cost {
	rate := policy.LabourCostPerHour.InexactFloat64()
	cost := Cost{P50: Total(jobs)}
	wanted := map[string]bool{}
	for _, j := range jobs {
		wanted[j.Code] = true
	}
	w := workingsOf.Get().(*workings)
	defer workingsOf.Put(w)
	floor, named := namedCost(jobs, rate)
	w.sum = append(w.sum[:0], named...)
	systems := map[string][]defect{}
	risk := 0.0
	for _, h := range hiddenJobs(untested, func(job string) bool { return wanted[job] }) {
		if c := hiddenCost(h.code, body, books, rate); c > 0 {
			q := min(h.Chance, 0.999)
			risk += q * c
			systems[h.System] = append(systems[h.System], defect{q, c})
		}
	}
	for _, system := range slices.Sorted(maps.Keys(systems)) {
		w.add(w.hidden(systems[system], betweenHidden))
	}
	cost.Risk = data.Pounds(risk)
	cost.Spread = w.sum.spread(floor)
	// The larger of the two, so that P80 is never the smaller figure where the
	// work left is nearly certain.
	cost.P80 = cost.P50
	if q := data.Pounds(cost.Spread.Quantile(percentile)); q.GreaterThan(cost.P50) {
		cost.P80 = q
	}
	return cost
}

// namedCost returns the pounds that the named jobs cost at the least, and the
// distribution of what comes on top.
func namedCost(jobs []Job, rate float64) (floor float64, above masses) {
	mean := 0.0
	skills := map[string][]float64{} // standard deviations
	for _, j := range jobs {
		left := j.left()
		m, v, _ := left.Moments()
		floor += (j.HoursSpent.InexactFloat64()+left.Low)*rate + j.PartsCost.InexactFloat64()
		mean += (m - left.Low) * rate
		skills[j.Skill] = append(skills[j.Skill], math.Sqrt(v)*rate)
	}
	variance := 0.0
	for _, skill := range slices.Sorted(maps.Keys(skills)) {
		variance += correlated(skills[skill], betweenHours)
	}
	sd := math.Sqrt(variance)
	if sd < 0.01 || mean < 0.01 {
		return floor + mean, masses{1}
	}
	return floor, gammaMasses(mean, sd)
}

// correlated is the variance of a sum of terms with these standard deviations
// and one correlation ρ between each two: Σσ² (1−ρ) + (Σσ)² ρ.
func correlated(sds []float64, correlation float64) float64 {
	sum, squares := 0.0, 0.0
	for _, sd := range sds {
		sum += sd
		squares += sd * sd
	}
	return squares*(1-correlation) + sum*sum*correlation
}

// hiddenCost is the cost in pounds of one unit of a job at mean hours.
func hiddenCost(code string, body data.Body, books *data.Books, rate float64) float64 {
	book, ok := books.Job(code)
	if !ok {
		return 0
	}
	cost := bookHours(book, body, 1).Mean() * rate
	for _, use := range book.Parts {
		if p, ok := books.Part(use.Part); ok {
			cost += p.UnitCost.InexactFloat64() * float64(use.Qty)
		}
	}
	return cost
}
