package schedule

import (
	"cmp"
	"slices"
	"sort"
)

// pool is everybody who has one of some skills, taken as one worker who does
// all work that needs those skills, at any speed their hours allow together.
// No plan does that work sooner, so its finishes bound those of plans. The
// places of a resource make a pool as well, in the hours of those who may work
// in them.
type pool struct {
	needs []bool // by task: whether it is work for the pool
	work  int    // minutes of it
	// done[i] minutes can be worked until times[i]; both ascend, and work is
	// within the last.
	times, done []int
	integral    []float64 // of the time over the minutes worked, at each of them
}

// maxPairedSkills bounds the number of sets that pools returns: of skills that
// different people have, so many are taken two by two.
const maxPairedSkills = 12

// pools returns the sets of skills worth a bound: each alone, each two, and
// all, with what else only the same people can do.
func (m *model) pools() [][]int {
	var all []int
	people := make(map[int][]bool) // of each skill
	for i, a := range m.Tasks {
		if a.Skill == None || a.Duration == 0 || m.reasons[i] != "" || people[a.Skill] != nil {
			continue
		}
		all = append(all, a.Skill)
		people[a.Skill] = make([]bool, len(m.Workers))
		for w, worker := range m.Workers {
			people[a.Skill][w] = slices.Contains(worker.Skills, a.Skill)
		}
	}
	slices.Sort(all)
	var sets [][]int
	add := func(skills ...int) {
		var set []int
		for _, s := range all {
			within := true
			for w, able := range people[s] {
				within = within && (!able || slices.ContainsFunc(skills, func(k int) bool { return people[k][w] }))
			}
			if within {
				set = append(set, s)
			}
		}
		if !slices.ContainsFunc(sets, func(t []int) bool { return slices.Equal(t, set) }) {
			sets = append(sets, set)
		}
	}
	var distinct []int // one skill of each set of people
	for _, s := range all {
		if !slices.ContainsFunc(distinct, func(t int) bool { return slices.Equal(people[s], people[t]) }) {
			distinct = append(distinct, s)
		}
	}
	for k, s := range distinct {
		add(s)
		if len(distinct) > maxPairedSkills {
			continue
		}
		for _, t := range distinct[k+1:] {
			add(s, t)
		}
	}
	if len(all) > 0 {
		add(all...)
	}
	return sets
}

// peoplePool returns nil where the hours do not suffice for the work.
func (m *model) peoplePool(skills []int) *pool {
	return m.newPool(len(m.Workers), func(t *Task) bool { return slices.Contains(skills, t.Skill) }, skills)
}

// placePool is the pool of a resource: its places, while there are people to work
// in them. It returns nil where the hours do not suffice, or where some task
// takes several places.
func (m *model) placePool(resource int) *pool {
	var skills []int
	for _, t := range m.Tasks {
		for _, u := range t.Uses {
			if u.Resource == resource && t.Duration > 0 && (u.Amount > 1 || t.Skill == None) {
				return nil
			}
			if u.Resource == resource && !slices.Contains(skills, t.Skill) {
				skills = append(skills, t.Skill)
			}
		}
	}
	within := func(t *Task) bool {
		return slices.ContainsFunc(t.Uses, func(u Demand) bool { return u.Resource == resource })
	}
	return m.newPool(m.Resources[resource].Capacity, within, skills)
}

// newPool takes the work that is within, done by at most so many at once of the
// people with the skills.
func (m *model) newPool(most int, within func(*Task) bool, skills []int) *pool {
	p := &pool{needs: make([]bool, len(m.Tasks)), times: []int{0}, done: []int{0}}
	for i := range m.Tasks {
		if t := &m.Tasks[i]; t.Duration > 0 && m.reasons[i] == "" && within(t) {
			p.needs[i] = true
			p.work += t.Duration
		}
	}
	type change struct{ at, by int }
	var changes []change
	for _, w := range m.Workers {
		if slices.ContainsFunc(w.Skills, func(s int) bool { return slices.Contains(skills, s) }) {
			for _, v := range w.Hours {
				changes = append(changes, change{v.From, 1}, change{v.To, -1})
			}
		}
	}
	slices.SortFunc(changes, func(a, b change) int { return cmp.Compare(a.at, b.at) })
	p.times, p.done = slices.Grow(p.times, len(changes)), slices.Grow(p.done, len(changes))
	present, last, done := 0, 0, 0
	for _, c := range changes {
		done += min(present, most) * (c.at - last)
		present += c.by
		last = c.at
		p.times, p.done = append(p.times, c.at), append(p.done, done)
	}
	if done < p.work {
		return nil
	}
	p.integrate()
	return p
}

// integrate fills integral.
func (p *pool) integrate() {
	p.integral = make([]float64, len(p.times))
	for i := 1; i < len(p.times); i++ {
		worked := float64(p.done[i] - p.done[i-1])
		p.integral[i] = p.integral[i-1] + worked*float64(p.times[i]+p.times[i-1])/2
	}
}

// at returns the minutes that the pool can have worked before time t.
func (p *pool) at(t int) float64 {
	i := sort.SearchInts(p.times, t)
	switch {
	case i == len(p.times):
		return float64(p.done[i-1])
	case i == 0 || p.times[i] == t:
		return float64(p.done[i])
	}
	rate := float64(p.done[i]-p.done[i-1]) / float64(p.times[i]-p.times[i-1])
	return float64(p.done[i-1]) + rate*float64(t-p.times[i-1])
}

// timeWorked is the integral of the time over the minutes worked up to u.
func (p *pool) timeWorked(u float64) float64 {
	i := sort.Search(len(p.done), func(i int) bool { return float64(p.done[i]) >= u })
	if i == 0 {
		return 0
	}
	worked := u - float64(p.done[i-1])
	slope := float64(p.times[i]-p.times[i-1]) / float64(p.done[i]-p.done[i-1])
	return p.integral[i-1] + worked*(float64(p.times[i-1])+slope*worked/2)
}

// finish returns the whole minute by which the pool has worked some minutes; 0
// for none.
func (p *pool) finish(minutes int) int {
	if minutes <= 0 {
		return 0
	}
	i := sort.SearchInts(p.done, minutes)
	t0, d0 := p.times[i-1], p.done[i-1]
	worked, rate := minutes-d0, p.done[i]-d0 // in the stretch, of so many in all
	return t0 + (worked*(p.times[i]-t0)+rate-1)/rate
}
