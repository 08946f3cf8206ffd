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
// CostOf. The draws are seeded, so a night's answer can be had
// again.
func (p *planModel) readyP80(solved schedule.Plan, seed int64) ([]data.Date, error) {
	late := make([]data.Date, len(p.work))
	if len(p.tasks) == 0 {
		return late, nil
	}
	runs := min(max(400_000/len(p.tasks), 50), 400)
	hours := p.likelyMinutes()
	replay, err := schedule.NewReplay(p.problem, solved)
	if err != nil {
		return nil, err
	}
	drawn := make([]int, len(p.tasks))
	rng := rand.New(rand.NewPCG(uint64(seed), 0x5eed))
	common := make([]float64, len(data.Skills))
	finishes := make([][]int, len(p.work))
	for range runs {
		for i, t := range p.tasks {
			if len(t.jobs) == 0 { // a van's last task: the next van has its own luck
				continue
			}
			if i == 0 || p.tasks[i-1].van != t.van {
				for s := range common {
					common[s] = rng.NormFloat64() * math.Sqrt(betweenHours)
				}
			}
			z := rng.NormFloat64() * math.Sqrt(1-betweenHours)
			if s := p.problem.Tasks[i].Skill; s >= 0 {
				z += common[s%len(common)]
			}
			k := int(distuv.UnitNormal.CDF(z) * strata)
			drawn[i] = hours[i][min(k, strata-1)]
		}
		at, err := replay.Run(drawn)
		if err != nil {
			return nil, err
		}
		for w := range p.work {
			if a := at[p.ready[w]]; a.Placed() {
				finishes[w] = append(finishes[w], a.Finish)
			}
		}
	}
	for w, f := range finishes {
		if len(f) > 0 {
			slices.Sort(f)
			late[w] = dayOf(f[(4*len(f)+4)/5-1], p.asOf) // the first that four in five don't exceed
		}
	}
	return late, nil
}

// likelyMinutes returns, for each task that has jobs, its minutes in strata of
// equal chance, the shortest first. Jobs of one visit run long together.
func (p *planModel) likelyMinutes() [][]int {
	all := make([][]int, len(p.tasks))
	known := map[Estimate][]float64{} // hours; most jobs have the book's estimate
	for i, t := range p.tasks {
		if len(t.jobs) == 0 {
			continue
		}
		all[i] = make([]int, strata)
		for _, j := range p.jobs(i) {
			left := j.left()
			if known[left] == nil {
				known[left] = make([]float64, strata)
				for k := range strata {
					known[left][k] = left.Quantile((float64(k) + 0.5) / strata)
				}
			}
			for k, hours := range known[left] {
				all[i][k] += max(1, minutes(hours))
			}
		}
		for k := range all[i] {
			all[i][k] = onGrid(all[i][k] + t.bringIn)
		}
	}
	return all
}
