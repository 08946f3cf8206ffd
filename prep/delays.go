package prep

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// Delay is a job that holds the queue up.
type Delay struct {
	Rank    int // 1 costs most
	StockID string
	Job     string
	Title   string
	Reason  string
	Pounds  data.Money // what the queue would save without it
}

// mostDelays is how many are named, and tryActivities how many activities may be
// planned again to find them.
const (
	mostDelays    = 5
	tryActivities = 400_000
)

// relief is a job made easier: its hours at their lowest, or its parts at hand.
type relief struct {
	activity int
	saved    int     // minutes that the job itself wins
	promise  float64 // what that might be worth; only the order counts
	parts    bool
}

// delays names the jobs whose ease would save most: for each, the plan is kept
// in its order with the job at its lowest hours, or without its wait for parts,
// and its value compared. Which jobs are tried, where there are too many to try
// all, follows from the minutes they would win and the value of the vans whose
// work comes after on the same person or van.
func (p *planning) delays(solved schedule.Plan, work []Work, short map[jobKey][]string) ([]Delay, error) {
	order, workers := followed(solved)
	base, err := schedule.Arrange(p.problem, schedule.WeightedCompletion, order, workers)
	if err != nil {
		return nil, err
	}
	reliefs := p.reliefs(solved, work)
	tries := max(tryActivities/max(len(p.tasks), 1), 20)
	worth := map[int]Delay{} // by activity: the better of the two reliefs
	for _, r := range reliefs[:min(len(reliefs), tries)] {
		eased := p.problem
		eased.Activities = slices.Clone(p.problem.Activities)
		a := &eased.Activities[r.activity]
		if r.parts {
			a.Release = p.tasks[r.activity].dryAt
		} else {
			a.Duration -= r.saved
		}
		plan, err := schedule.Arrange(eased, schedule.WeightedCompletion, order, workers)
		if err != nil {
			return nil, err
		}
		saved := poundsOf(base.Value - plan.Value)
		if saved.IsPositive() && saved.GreaterThan(worth[r.activity].Pounds) {
			t := p.tasks[r.activity]
			j := work[t.work].Jobs[t.job]
			worth[r.activity] = Delay{0, j.StockID, j.Code, j.Title, r.reason(j, short), saved}
		}
	}
	var all []Delay
	for _, d := range worth {
		all = append(all, d)
	}
	slices.SortFunc(all, func(a, b Delay) int {
		return cmp.Or(b.Pounds.Cmp(a.Pounds), cmp.Compare(a.StockID, b.StockID), cmp.Compare(a.Job, b.Job))
	})
	all = all[:min(len(all), mostDelays)]
	for i := range all {
		all[i].Rank = i + 1
	}
	return all, nil
}

// reliefs lists what may be eased, the most promising first.
func (p *planning) reliefs(solved schedule.Plan, work []Work) []relief {
	// What a minute is worth after each activity, on its worker and on its van.
	behind := p.behind(solved)
	var out []relief
	for i, t := range p.tasks {
		if t.job < 0 || !solved.Assignments[i].Placed() {
			continue
		}
		duration := p.problem.Activities[i].Duration
		least := max(1, minutes(work[t.work].Jobs[t.job].left().Low))
		if least < duration {
			saved := duration - least
			out = append(out, relief{i, saved, float64(saved) * behind[i], false})
		}
		if t.partsAt > t.dryAt {
			// A wait is of elapsed time: a fifth of it is a week's working hours.
			saved := (t.partsAt - t.dryAt) / 5
			if solved.Assignments[i].Start > t.partsAt+minutesPerDay {
				saved /= 4 // something else holds it up as well
			}
			out = append(out, relief{i, saved, float64(saved) * behind[i], true})
		}
	}
	slices.SortStableFunc(out, func(a, b relief) int { return cmp.Compare(b.promise, a.promise) })
	return out
}

// behind adds up, for each activity, the weights of the vans that have work on
// the same person at or after it; its own van counts in any case.
func (p *planning) behind(solved schedule.Plan) []float64 {
	order, workers := followed(solved)
	seen := map[[2]int]bool{} // worker and van
	sum := map[int]float64{}
	out := make([]float64, len(p.tasks))
	for _, i := range slices.Backward(order) {
		t, w := p.tasks[i], workers[i]
		if t.job < 0 || w == schedule.None {
			continue
		}
		if key := [2]int{w, t.work}; !seen[key] {
			seen[key] = true
			ready := p.problem.Activities[p.ready[t.work]]
			sum[w] += float64(ready.Weight + ready.LateWeight)
		}
		out[i] = sum[w]
	}
	return out
}

func (r relief) reason(j Job, short map[jobKey][]string) string {
	if !r.parts {
		return fmt.Sprintf("%s h at its middle, %s h at the least", data.FormatHours(j.HoursLeft), data.FormatHours(data.Hours(j.left().Low)))
	}
	parts := short[jobKey{j.StockID, j.Code}]
	if len(parts) == 0 {
		return "awaits parts"
	}
	return "awaits part " + joinWords(parts)
}

// joinWords writes a, b and c.
func joinWords(words []string) string {
	text := ""
	for i, w := range words {
		switch {
		case i == 0:
			text = w
		case i == len(words)-1:
			text += " and " + w
		default:
			text += ", " + w
		}
	}
	return text
}

// poundsOf turns a plan's value, in pence a day × minutes, into pounds.
func poundsOf(value int) data.Money {
	return data.Pence(data.Share(decimal.New(int64(value), -2), minutesPerDay))
}
