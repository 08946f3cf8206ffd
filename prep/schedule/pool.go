package schedule

import (
	"cmp"
	"slices"
	"sort"
)

// pool is everybody who has one of some skills, taken as one worker who does
// all work that needs those skills, at any speed their hours allow together.
// No plan does that work sooner, so its finishes bound those of plans.
type pool struct {
	skills []int
	work   int // minutes that need the skills
	// done[i] minutes can be worked until times[i]; both ascend, and work is
	// within the last.
	times, done []int
}

// maxPairedSkills bounds the number of sets that pools returns.
const maxPairedSkills = 12

// pools returns the sets of skills worth a bound: each alone, each two, and
// all, with what else only the same people can do.
func (m *model) pools() [][]int {
	var all []int
	people := make(map[int][]bool) // of each skill
	for i, a := range m.Activities {
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
	for k, s := range all {
		add(s)
		if len(all) > maxPairedSkills {
			continue
		}
		for _, t := range all[k+1:] {
			add(s, t)
		}
	}
	if len(all) > 0 {
		add(all...)
	}
	return sets
}

// needs reports whether activity i is work for the pool.
func (p *pool) needs(m *model, i int) bool {
	a := &m.Activities[i]
	return a.Duration > 0 && m.reasons[i] == "" && slices.Contains(p.skills, a.Skill)
}

// newPool returns nil where the hours do not suffice for the work.
func (m *model) newPool(skills []int) *pool {
	p := &pool{skills: skills, times: []int{0}, done: []int{0}}
	for i, a := range m.Activities {
		if p.needs(m, i) {
			p.work += a.Duration
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
		done += present * (c.at - last)
		present += c.by
		last = c.at
		p.times, p.done = append(p.times, c.at), append(p.done, done)
	}
	if done < p.work {
		return nil
	}
	return p
}

// finish returns the time at which the pool has worked some minutes, rounded
// down; 0 for none.
func (p *pool) finish(minutes int) int {
	if minutes <= 0 {
		return 0
	}
	i := sort.SearchInts(p.done, minutes)
	t0, d0 := p.times[i-1], p.done[i-1]
	return t0 + (minutes-d0)*(p.times[i]-t0)/(p.done[i]-d0)
}

// line is a straight line below finish: from + slope × minutes.
type line struct{ from, slope float64 }

// lines returns the edges of the lower convex hull of finish up to the work.
func (p *pool) lines() []line {
	type point struct{ x, y float64 }
	var hull []point
	add := func(x, y int) {
		q := point{float64(x), float64(y)}
		for len(hull) > 1 {
			a, b := hull[len(hull)-2], hull[len(hull)-1]
			if (b.x-a.x)*(q.y-a.y) > (q.x-a.x)*(b.y-a.y) {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, q)
	}
	first := sort.Search(len(p.done), func(i int) bool { return p.done[i] > 0 })
	add(0, p.times[first-1])
	for i := first; i < len(p.done) && p.done[i-1] < p.work; i++ {
		if p.done[i] > p.done[i-1] {
			add(p.done[i], p.times[i])
		}
	}
	var out []line
	for k := 1; k < len(hull); k++ {
		a, b := hull[k-1], hull[k]
		slope := (b.y - a.y) / (b.x - a.x)
		out = append(out, line{a.y - slope*a.x, slope})
	}
	return out
}

// share is what a weighted activity asks of a pool.
type share struct {
	weight   int
	work     int // minutes that it waits for and that no earlier share counts
	earliest int // finish by its own chain
}

// poolBound orders the shares by weight for work, which is best for one worker
// of constant speed (W. E. Smith's rule, from memory: Naval Research Logistics
// Quarterly 3, 1956), against each straight line below the pool's hours.
// Shares that their own chain delays longer than the pool does are taken out
// and counted by their chain.
func (m *model) poolBound(p *pool, bundles [][]int, earliest []int) int {
	var shares []share
	counted := make([]bool, len(m.Activities))
	for _, bundle := range bundles {
		v := bundle[0]
		s := share{weight: m.Activities[v].Weight, earliest: earliest[v]}
		for _, i := range bundle {
			if p.needs(m, i) && !counted[i] {
				counted[i] = true
				s.work += m.Activities[i].Duration
			}
		}
		shares = append(shares, s)
	}
	// A share of no work has no place in the order, and one of neither work nor
	// weight would compare as equal to all others, which are not equal.
	slices.SortStableFunc(shares, func(a, b share) int {
		return cmp.Or(cmp.Compare(min(b.work, 1), min(a.work, 1)), cmp.Compare(b.weight*a.work, a.weight*b.work))
	})
	late := 0
	for i, a := range m.Activities {
		late += a.LateWeight * max(0, earliest[i]-a.Due)
	}
	best := 0
	for _, l := range p.lines() {
		best = max(best, l.bound(shares)+late)
	}
	return best
}

func (l line) bound(shares []share) int {
	best := 0.0
	byChain := make([]bool, len(shares))
	for {
		sum, minutes, moved := 0.0, 0.0, false
		for k, s := range shares {
			w, chain := float64(s.weight), float64(s.earliest)
			if byChain[k] || s.work == 0 {
				sum += w * chain
				continue
			}
			minutes += float64(s.work)
			finish := l.from + l.slope*minutes
			sum += w * finish
			if chain > finish {
				byChain[k], moved = true, true
			}
		}
		best = max(best, sum)
		if !moved {
			break
		}
	}
	// Float sums of this size are exact to well within a thousandth.
	return int(best * (1 - 1e-9))
}
