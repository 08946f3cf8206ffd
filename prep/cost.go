package prep

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// Cost is what a van's preparation may come to, ex VAT.
type Cost struct {
	P50  data.Money // the named jobs at their middle hours; equals Total of the jobs
	P80  data.Money // four times in five it costs no more, hidden defects counted
	Risk data.Money // the part of the mean that hidden defects make up

	// Mean, SD and Skew describe the whole distribution in pounds, for the
	// chance that a bid meets its target.
	Mean, SD, Skew float64
}

// The correlation between two uncertain costs in one system of a van: of the
// hours of jobs that are known, since what makes one damp repair longer tends
// to make the next longer; and of defects that may be hidden, since neglect
// seldom stops at one point. Common practice, no source.
const (
	betweenHours  = 0.5
	betweenHidden = 0.1
)

// moments are the first three central moments of a cost in pounds.
type moments struct{ mean, variance, third float64 }

// CostOf returns what the jobs and the untested points of one van come to.
//
// The model: each open job's hours follow its three-point estimate; each
// untested point hides a defect with its book's chance, and that defect costs
// its job at middle hours. Costs within one system are correlated, systems are
// independent. Three moments of the sum are matched by a shifted
// gamma distribution (Pearson type III), whose quantile is P80; nothing is
// simulated.
func CostOf(jobs []Job, untested []appraise.Untested, body data.Body, books *data.Books, policy data.Policy) Cost {
	rate := policy.LabourCostPerHour.InexactFloat64()
	p50 := Total(jobs)
	wanted := map[string]bool{}
	known, hidden := map[string][]moments{}, map[string][]moments{}
	mean := 0.0
	for _, j := range jobs {
		wanted[j.Code] = true
		m, v, t := j.left().Moments()
		spent := j.HoursSpent.InexactFloat64()
		mean += (spent+m)*rate + j.PartsCost.InexactFloat64()
		if v > 0 {
			known[j.Skill] = append(known[j.Skill], moments{m, v * rate * rate, t * rate * rate * rate})
		}
	}
	risk := 0.0
	for _, u := range untested {
		if u.Job == "" || wanted[u.Job] || u.Chance <= 0 {
			continue // already priced as a job
		}
		c := hiddenCost(u.Job, body, books, rate)
		q := u.Chance
		risk += q * c
		hidden[u.System] = append(hidden[u.System],
			moments{q * c, q * (1 - q) * c * c, q * (1 - q) * (1 - 2*q) * c * c * c})
	}
	mean += risk
	variance, third := 0.0, 0.0
	add := func(systems map[string][]moments, correlation float64) {
		for _, system := range slices.Sorted(maps.Keys(systems)) {
			v, t := together(systems[system], correlation)
			variance += v
			third += t
		}
	}
	add(known, betweenHours)
	add(hidden, betweenHidden)
	cost := Cost{P50: p50, Risk: data.Pence(data.Pounds(risk)), Mean: mean, SD: math.Sqrt(variance)}
	if variance > 0 {
		cost.Skew = third / math.Pow(variance, 1.5)
	}
	// The larger of the two, so that P80 is never the smaller figure where the
	// work left is nearly certain.
	cost.P80 = p50
	if q := data.Pounds(cost.Quantile(0.8)); q.GreaterThan(p50) {
		cost.P80 = q
	}
	return cost
}

// Quantile returns the cost in pounds that is not exceeded with chance p.
func (c Cost) Quantile(p float64) float64 {
	if c.SD == 0 {
		return c.Mean
	}
	if c.Skew < 1e-3 {
		return c.Mean + c.SD*distuv.UnitNormal.Quantile(p)
	}
	shape := 4 / (c.Skew * c.Skew)
	standard := distuv.Gamma{Alpha: shape, Beta: 1}.Quantile(p)
	return c.Mean + c.SD*c.Skew/2*(standard-shape)
}

// ChanceWithin returns the chance that preparation costs no more than amount
// pounds.
func (c Cost) ChanceWithin(amount float64) float64 {
	if c.SD == 0 {
		if amount >= c.Mean {
			return 1
		}
		return 0
	}
	z := (amount - c.Mean) / c.SD
	if c.Skew < 1e-3 {
		return distuv.UnitNormal.CDF(z)
	}
	shape := 4 / (c.Skew * c.Skew)
	return distuv.Gamma{Alpha: shape, Beta: 1}.CDF(max(0, shape+z*2/c.Skew))
}

// together adds correlated costs of one system: the variance of a sum with
// correlation ρ is Σσ² (1−ρ) + (Σσ)² ρ; the third moments are scaled as the
// variances are, so that skewness falls as it would for independent costs.
func together(parts []moments, correlation float64) (variance, third float64) {
	sumSD, sumVar := 0.0, 0.0
	for _, m := range parts {
		sumSD += math.Sqrt(m.variance)
		sumVar += m.variance
		third += m.third
	}
	variance = sumVar*(1-correlation) + sumSD*sumSD*correlation
	return variance, third * math.Pow(variance/sumVar, 1.5)
}

// hiddenCost is the cost in pounds of one unit of a job at middle hours.
func hiddenCost(code string, body data.Body, books *data.Books, rate float64) float64 {
	book, ok := books.Job(code)
	if !ok {
		return 0
	}
	hours := Estimate{book.HoursLow, book.HoursLikely, book.HoursHigh}.Scale(book.Factor(body)).Mean()
	cost := hours * rate
	for _, use := range book.Parts {
		if p, ok := books.Part(use.Part); ok {
			cost += p.UnitCost.InexactFloat64() * float64(use.Qty)
		}
	}
	return cost
}
