package schedule

import (
	"cmp"
	"fmt"
	"slices"
)

const minutesPerYear = 365 * 24 * 60

// model is a problem made ready for the decoder; it never changes.
type model struct {
	Problem
	serial   int // minutes after which all is done if tasks run one by one
	horizon  int
	clocks   []workClock // one for each worker
	profiles []profile   // free places of each resource while nothing is planned
	able     [][]int     // workers who may do a task, least skilled first
	reasons  []string    // why a task can never be placed; else blank
	next     [][]int     // successors
	groups   int
	lead     []int // tasks that are pinned or that a pin waits for, in order
}

// compile expects a problem that has passed Check.
func compile(p Problem) *model {
	m := &model{
		Problem: p,
		able:    make([][]int, len(p.Tasks)),
		reasons: make([]string, len(p.Tasks)),
		next:    make([][]int, len(p.Tasks)),
	}
	for _, w := range p.Workers {
		m.clocks = append(m.clocks, newWorkClock(w.Hours, p.ShiftApart))
		if n := len(w.Hours); n > 0 {
			m.horizon = max(m.horizon, w.Hours[n-1].To)
		}
	}
	for _, r := range p.Resources {
		m.profiles = append(m.profiles, newProfile(r))
		for _, c := range r.Closed {
			m.horizon = max(m.horizon, c.To)
		}
	}
	byAbility := make([]int, len(p.Workers))
	for i := range byAbility {
		byAbility[i] = i
	}
	slices.SortStableFunc(byAbility, func(a, b int) int {
		return cmp.Compare(len(p.Workers[a].Skills), len(p.Workers[b].Skills))
	})
	release := 0
	for i, a := range p.Tasks {
		release = max(release, a.Release)
		m.serial += a.Duration
		m.groups = max(m.groups, a.Group+1)
		for _, l := range a.After {
			m.serial += l.Lag
			m.next[l.Pred] = append(m.next[l.Pred], i)
		}
		m.compileAble(i, byAbility)
	}
	m.serial += release
	m.horizon += m.serial + minutesPerYear
	m.compileLead()
	return m
}

func (m *model) compileAble(i int, byAbility []int) {
	a := m.Tasks[i]
	if a.Duration == 0 {
		return
	}
	for _, u := range a.Uses {
		if r := m.Resources[u.Resource]; u.Amount > r.Capacity {
			m.reasons[i] = fmt.Sprintf("needs %d of resource %s, which has %d",
				u.Amount, label(r.Name, u.Resource), r.Capacity)
		}
	}
	if a.Skill == None {
		return
	}
	for _, w := range byAbility {
		if slices.Contains(m.Workers[w].Skills, a.Skill) && (!a.Pinned || a.Worker == None || a.Worker == w) {
			m.able[i] = append(m.able[i], w)
		}
	}
	if len(m.able[i]) > 0 {
		return
	}
	m.reasons[i] = fmt.Sprintf("nobody has skill %d", a.Skill)
	if a.Pinned && a.Worker != None {
		m.reasons[i] = fmt.Sprintf("worker %s has not skill %d", label(m.Workers[a.Worker].Name, a.Worker), a.Skill)
	}
}

// compileLead lists the pinned tasks, each after what it waits for.
func (m *model) compileLead() {
	var pins []int
	for i, a := range m.Tasks {
		if a.Pinned {
			pins = append(pins, i)
		}
	}
	slices.SortStableFunc(pins, func(a, b int) int {
		return cmp.Compare(m.Tasks[a].Release, m.Tasks[b].Release)
	})
	listed := make([]bool, len(m.Tasks))
	var list func(i int)
	list = func(i int) {
		if listed[i] {
			return
		}
		listed[i] = true
		for _, l := range m.Tasks[i].After {
			list(l.Pred)
		}
		m.lead = append(m.lead, i)
	}
	for _, i := range pins {
		list(i)
	}
}

// tails returns, for each task, the minutes from its start to the end of
// the longest chain of work and lags.
func (m *model) tails() []int {
	tail := make([]int, len(m.Tasks))
	for _, i := range slices.Backward(m.topological(nil)) {
		tail[i] += m.Tasks[i].Duration
		for _, l := range m.Tasks[i].After {
			tail[l.Pred] = max(tail[l.Pred], tail[i]+l.Lag)
		}
	}
	return tail
}

// topological returns the tasks so that none comes before one it waits
// for: the lead first, then always the ready one with the smallest key, or
// number where keys are equal or nil.
func (m *model) topological(key []int) []int {
	n := len(m.Tasks)
	order := make([]int, 0, n)
	waits := make([]int, n)
	listed := make([]bool, n)
	for i, a := range m.Tasks {
		waits[i] = len(a.After)
	}
	before := func(a, b int) bool {
		if key != nil && key[a] != key[b] {
			return key[a] < key[b]
		}
		return a < b
	}
	ready := heap{before: before}
	list := func(i int) {
		order = append(order, i)
		listed[i] = true
		for _, j := range m.next[i] {
			if waits[j]--; waits[j] == 0 {
				ready.push(j)
			}
		}
	}
	for i := range n {
		if waits[i] == 0 {
			ready.push(i)
		}
	}
	for _, i := range m.lead {
		list(i)
	}
	for len(ready.items) > 0 {
		if i := ready.pop(); !listed[i] {
			list(i)
		}
	}
	return order
}
