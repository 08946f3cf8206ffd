package prep

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// strata is the number of equally likely hours that stand for a job's estimate
// in the simulation.
const strata = 24

// readyP80 returns, for each van, the day by which it is ready four times in
// five when hours fall as the estimates say and everybody keeps to the order
// of the plan. The hours of jobs of one skill on one van are correlated as in
// CostOf. The draws are seeded by the policy, so a night's answer can be had
// again.
func (p *planning) readyP80(solved schedule.Plan, work []Work, policy data.Policy, asOf data.Date) ([]data.Date, error) {
	late := make([]data.Date, len(work))
	if len(p.tasks) == 0 {
		return late, nil
	}
	runs := min(max(100_000/len(p.tasks), 20), 200)
	hours := p.likelyMinutes(work)
	order, workers := followed(solved)
	drawn := p.problem
	drawn.Activities = slices.Clone(p.problem.Activities)
	rng := rand.New(rand.NewPCG(uint64(policy.Seed), 0x5eed))
	common := make([]float64, len(p.skills))
	finishes := make([][]int, len(work))
	for range runs {
		for i, t := range p.tasks {
			if t.job < 0 { // a van's last activity: the next van has its own luck
				continue
			}
			if i == 0 || p.tasks[i-1].work != t.work {
				for s := range common {
					common[s] = rng.NormFloat64() * math.Sqrt(betweenHours)
				}
			}
			z := rng.NormFloat64() * math.Sqrt(1-betweenHours)
			if s := p.problem.Activities[i].Skill; s >= 0 {
				z += common[s]
			}
			k := int(distuv.UnitNormal.CDF(z) * strata)
			drawn.Activities[i].Duration = hours[i][min(k, strata-1)]
		}
		one, err := schedule.Arrange(drawn, schedule.WeightedCompletion, order, workers)
		if err != nil {
			return nil, err
		}
		for w := range work {
			if a := one.Assignments[p.ready[w]]; a.Placed() {
				finishes[w] = append(finishes[w], a.Finish)
			}
		}
	}
	for w, f := range finishes {
		if len(f) > 0 {
			slices.Sort(f)
			late[w] = dayOf(f[(4*len(f)+4)/5-1], asOf) // the first that four in five don't exceed
		}
	}
	return late, nil
}

// likelyMinutes returns, for each activity that is a job, its minutes in
// strata of equal chance, the shortest first.
func (p *planning) likelyMinutes(work []Work) [][]int {
	hours := make([][]int, len(p.tasks))
	for i, t := range p.tasks {
		if t.job < 0 {
			continue
		}
		left := work[t.work].Jobs[t.job].left()
		hours[i] = make([]int, strata)
		for k := range strata {
			hours[i][k] = max(1, minutes(left.Quantile((float64(k)+0.5)/strata)))
		}
	}
	return hours
}
