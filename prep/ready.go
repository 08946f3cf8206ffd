package prep

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// strata is the number of equally likely hours that stand for a job's estimate
// in the simulation.
const strata = 24

// readyP80 returns, for each van, the day by which it is ready four times in
// five when hours fall as the estimates say and everybody keeps to the order
// of the plan. The draws are seeded by the policy, so a night's answer can be
// had again.
func readyP80(p planning, solved schedule.Plan, work []Work, policy data.Policy, asOf data.Date) []data.Date {
	late := make([]data.Date, len(work))
	if len(p.tasks) == 0 {
		return late
	}
	runs := min(max(40_000/len(p.tasks), 20), 200)
	hours := make([][]int, len(p.tasks)) // equally likely minutes of each activity
	workers := make([]int, len(p.tasks))
	order := make([]int, len(p.tasks))
	for i, t := range p.tasks {
		order[i] = i
		workers[i] = solved.Assignments[i].Worker
		if t.job < 0 {
			continue
		}
		left := work[t.work].Jobs[t.job].left()
		hours[i] = make([]int, strata)
		for k := range strata {
			hours[i][k] = max(1, minutes(left.Quantile((float64(k)+0.5)/strata)))
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(solved.Assignments[a].Start, solved.Assignments[b].Start), cmp.Compare(a, b))
	})

	drawn := p.problem
	drawn.Activities = slices.Clone(p.problem.Activities)
	rng := rand.New(rand.NewPCG(uint64(policy.Seed), 0x5eed))
	finishes := make([][]int, len(work))
	for range runs {
		for i := range drawn.Activities {
			if hours[i] != nil {
				drawn.Activities[i].Duration = hours[i][rng.IntN(strata)]
			}
		}
		one, err := schedule.Arrange(drawn, schedule.WeightedCompletion, order, workers)
		if err != nil {
			return late // the same problem was accepted by Solve
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
			late[w] = dayOf(f[(len(f)*4)/5], asOf)
		}
	}
	return late
}
