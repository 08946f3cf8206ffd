package schedule

import (
	"cmp"
	"slices"
)

// rulesTried is how many orders a search begins with at least.
const rulesTried = 4

// rules returns keys for the first schedules, lower first: by weight for work,
// by due time, by number as the caller listed them, and by longest chain.
func (m *model) rules() [][]int {
	weight, due := m.pull()
	tail := m.tails()
	return [][]int{
		m.ranked(func(i, j int) int {
			return cmp.Or(cmp.Compare(weight[j], weight[i]), cmp.Compare(tail[j], tail[i]))
		}),
		m.ranked(func(i, j int) int { return cmp.Or(cmp.Compare(due[i], due[j]), cmp.Compare(weight[j], weight[i])) }),
		m.ranked(func(i, j int) int { return cmp.Compare(i, j) }),
		m.ranked(func(i, j int) int { return cmp.Compare(tail[j], tail[i]) }),
	}
}

// ranked returns each task's place in the order of the comparison.
func (m *model) ranked(compare func(i, j int) int) []int {
	order := make([]int, len(m.Tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, compare)
	key := make([]int, len(order))
	for rank, i := range order {
		key[i] = rank
	}
	return key
}

// pull returns, for each task, the most weight for the minutes of work
// still before it among what it leads to, and the earliest due time there.
func (m *model) pull() (weight []float64, due []int) {
	weight, due = make([]float64, len(m.Tasks)), make([]int, len(m.Tasks))
	for i := range due {
		due[i] = m.horizon
	}
	for _, bundle := range m.bundles() {
		a := m.Tasks[bundle[0]]
		work := 1
		for _, i := range bundle {
			work += m.Tasks[i].Duration
		}
		for _, i := range bundle {
			weight[i] = max(weight[i], float64(a.Weight+a.LateWeight)/float64(work))
			if a.LateWeight > 0 {
				due[i] = min(due[i], a.Due)
			}
		}
	}
	return weight, due
}

// bundles lists, for each task with a weight, itself first and then all
// that it waits for, directly or not.
func (m *model) bundles() [][]int {
	var out [][]int
	seen := make([]int, len(m.Tasks))
	for v, a := range m.Tasks {
		if a.Weight+a.LateWeight == 0 {
			continue
		}
		bundle := []int{v}
		seen[v] = v + 1
		for k := 0; k < len(bundle); k++ {
			for _, l := range m.Tasks[bundle[k]].After {
				if seen[l.Pred] != v+1 {
					seen[l.Pred] = v + 1
					bundle = append(bundle, l.Pred)
				}
			}
		}
		out = append(out, bundle)
	}
	return out
}
