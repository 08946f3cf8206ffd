package prep

import (
	"slices"

	"github.com/vanwright/vanwright/data"
)

// A person's small jobs on a van are done in one visit: no job of a visit is
// longer than smallHours, and the visit no longer than visitHours. Common
// practice, no source.
const (
	smallHours = 1.0
	visitHours = 4.0
)

// visits parts the open jobs of a van into visits, by the first job of each.
// Jobs share a visit where one person can do them one after the other in the
// same bay, with the same wait before them, and nothing else of the van has to
// come between.
func (p *planModel) visits(van VanJobs) [][]int {
	var open []int
	for i := range van.Jobs {
		if van.Jobs[i].Open() {
			open = append(open, i)
		}
	}
	before := map[int][]int{}
	for _, i := range open {
		for first := range comesAfter(van.Jobs, van.Jobs[i]) {
			if first.Open() {
				k := slices.IndexFunc(van.Jobs, func(j Job) bool { return j.Code == first.Code })
				before[i] = append(before[i], k)
			}
		}
	}
	visit := map[int]int{} // of each job: its first one
	hours := map[int]float64{}
	for _, i := range open {
		visit[i] = i
		hours[i] = van.Jobs[i].HoursLeft.InexactFloat64()
	}
	for at, i := range open {
		for _, first := range open[:at] {
			if visit[first] != first || !p.together(&van.Jobs[first], &van.Jobs[i]) || hours[first]+hours[i] > visitHours {
				continue
			}
			visit[i] = first
			if !inTurn(open, before, visit) {
				visit[i] = i
				continue
			}
			hours[first] += hours[i]
			break
		}
	}
	return ordered(open, before, visit)
}

// together reports whether two jobs of a van are small and alike in who can do
// them, where and from when.
func (p *planModel) together(a, b *Job) bool {
	return isSmall(a) && isSmall(b) && a.Skill == b.Skill && a.Bay == b.Bay && p.first[keyOf(a)] == p.first[keyOf(b)]
}

// isSmall reports whether a job may share a visit. A drive to another site may not:
// what comes after it is done there.
func isSmall(j *Job) bool {
	return j.State == data.JobOpen && j.Code != transferJob && j.DryingHours == 0 && j.HoursLeft.InexactFloat64() <= smallHours
}

// inTurn reports whether visits can be put into an order.
func inTurn(open []int, before map[int][]int, visit map[int]int) bool {
	done := map[int]bool{}
	for range open {
		for _, v := range open {
			if visit[v] != v || done[v] {
				continue
			}
			waits := false
			for _, i := range open {
				waits = waits || visit[i] == v && slices.ContainsFunc(before[i], func(k int) bool { return visit[k] != v && !done[visit[k]] })
			}
			done[v] = !waits
		}
	}
	return !slices.ContainsFunc(open, func(v int) bool { return visit[v] == v && !done[v] })
}

// ordered lists the jobs of each visit, each after those of it that come first.
func ordered(open []int, before map[int][]int, visit map[int]int) [][]int {
	var out [][]int
	for _, v := range open {
		if visit[v] != v {
			continue
		}
		var jobs []int
		var add func(i int)
		add = func(i int) {
			if visit[i] != v || slices.Contains(jobs, i) {
				return
			}
			for _, k := range before[i] {
				add(k)
			}
			jobs = append(jobs, i)
		}
		for _, i := range open {
			add(i)
		}
		out = append(out, jobs)
	}
	return out
}
