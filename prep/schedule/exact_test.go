package schedule

import (
	"context"
	"math/rand/v2"
	"testing"
)

// exact finds the best weighted completion by trying, with plain minute-by-
// minute books, every order of the tasks and every worker for each, each
// task as early as it goes. For objectives that never gain from finishing
// later some such schedule is best: shift any best schedule left until nothing
// moves, and list its tasks by start. Only branches that already cost as
// much as the best are left out.
type exact struct {
	p         Problem
	objective Objective
	horizon   int
	works     [][]bool     // worker, minute: on duty
	busy      [][]bool     // worker, minute
	held      [][]int      // resource, minute
	together  [][]bool     // group, minute
	rounds    [][]Interval // worker: stretches of work, as marked
	of        [][]Task     // worker: the task of each stretch
	finish    []int        // -1: not placed
	best      int
}

func bruteForce(p Problem, objective Objective, horizon int) int {
	x := &exact{p: p, objective: objective, horizon: horizon, best: 1 << 60, finish: make([]int, len(p.Tasks))}
	for _, w := range p.Workers {
		on := make([]bool, horizon)
		for _, v := range w.Hours {
			for t := v.From; t < v.To; t++ {
				on[t] = true
			}
		}
		x.works = append(x.works, on)
		x.busy = append(x.busy, make([]bool, horizon))
		x.rounds, x.of = append(x.rounds, nil), append(x.of, nil)
	}
	for _, r := range p.Resources {
		held := make([]int, horizon)
		for _, c := range r.Closed {
			for t := c.From; t < c.To; t++ {
				held[t] += c.Amount
			}
		}
		x.held = append(x.held, held)
	}
	groups := 0
	for _, a := range p.Tasks {
		groups = max(groups, a.Group+1)
	}
	for range groups {
		x.together = append(x.together, make([]bool, horizon))
	}
	for i := range x.finish {
		x.finish[i] = -1
	}
	x.branch(0, 0)
	return x.best
}

func (x *exact) branch(placed, cost int) {
	if cost >= x.best {
		return
	}
	if placed == len(x.p.Tasks) {
		x.best = cost
		return
	}
next:
	for i, a := range x.p.Tasks {
		if x.finish[i] >= 0 {
			continue
		}
		ready := a.Release
		for _, l := range a.After {
			if x.finish[l.Pred] < 0 {
				continue next
			}
			ready = max(ready, x.finish[l.Pred]+l.Lag)
		}
		for w := -1; w < len(x.p.Workers); w++ {
			if !x.may(a, w) {
				continue
			}
			start, finish := x.earliest(a, w, ready)
			if finish < 0 {
				continue
			}
			x.mark(a, w, start, finish, true)
			x.finish[i] = finish
			more := a.Weight*finish + a.LateWeight*max(0, finish-a.Due)
			if x.objective == Makespan {
				more = max(cost, finish) - cost
			}
			x.branch(placed+1, cost+more)
			x.finish[i] = -1
			x.mark(a, w, start, finish, false)
		}
	}
}

func (x *exact) may(a Task, w int) bool {
	if a.Skill == None || a.Duration == 0 {
		return w == -1
	}
	if w == -1 {
		return false
	}
	for _, s := range x.p.Workers[w].Skills {
		if s == a.Skill {
			return true
		}
	}
	return false
}

func (x *exact) earliest(a Task, w, ready int) (start, finish int) {
	if a.Duration == 0 {
		return ready, ready
	}
	for start := ready; start < x.horizon; start++ {
		if w >= 0 && !x.works[w][start] {
			continue
		}
		left := a.Duration
		for t := start; t < x.horizon && x.open(a, w, t); t++ {
			if w < 0 || x.works[w][t] {
				left--
			}
			if left == 0 && x.reached(a, w, start, t+1) {
				return start, t + 1
			}
		}
	}
	return -1, -1
}

// reached reports whether a worker gets to a task at [start, finish) from what is
// before it, and from it to what is after.
func (x *exact) reached(a Task, w, start, finish int) bool {
	if w < 0 || x.p.Travel == nil {
		return true
	}
	for k, v := range x.rounds[w] {
		b := x.of[w][k]
		if v.To <= start && !x.way(w, v.To, start, b.Leaves, a.Site) || finish <= v.From && !x.way(w, finish, v.From, a.Leaves, b.Site) {
			return false
		}
	}
	return true
}

// way reports whether a worker has the minutes for a way within [from, to), or a
// stretch off so long that the way does not count. What else is done in between
// only helps: no way by a third site is shorter.
func (x *exact) way(w, from, to, site, next int) bool {
	worked, off := 0, 0
	for t := from; t < to; t++ {
		if x.works[w][t] {
			worked, off = worked+1, 0
		} else if off++; off > x.p.ShiftApart {
			return true
		}
	}
	return site == next || worked >= x.p.Travel[site][next]
}

func (x *exact) open(a Task, w, t int) bool {
	if w >= 0 && x.busy[w][t] || a.Group != None && x.together[a.Group][t] {
		return false
	}
	for _, u := range a.Uses {
		if x.held[u.Resource][t]+u.Amount > x.p.Resources[u.Resource].Capacity {
			return false
		}
	}
	return true
}

func (x *exact) mark(a Task, w, start, finish int, on bool) {
	sign := 1
	if !on {
		sign = -1
	}
	if w >= 0 && on {
		x.rounds[w], x.of[w] = append(x.rounds[w], Interval{start, finish}), append(x.of[w], a)
	} else if w >= 0 {
		last := len(x.rounds[w]) - 1
		x.rounds[w], x.of[w] = x.rounds[w][:last], x.of[w][:last]
	}
	for t := start; t < finish; t++ {
		if w >= 0 {
			x.busy[w][t] = on
		}
		if a.Group != None {
			x.together[a.Group][t] = on
		}
		for _, u := range a.Uses {
			x.held[u.Resource][t] += sign * u.Amount
		}
	}
}

// smallProblem draws a multi-skill, weighted problem that has a plan within
// the returned number of minutes.
func smallProblem(rng *rand.Rand, tasks int) (Problem, int) {
	const skills, day, days = 3, 6, 60
	p := Problem{Resources: []Resource{
		{Capacity: 1 + rng.IntN(2), Closed: []Closure{{Interval{5, 9}, 1}}},
		{Capacity: 2},
	}}
	for w := range 2 + rng.IntN(2) {
		worker := Worker{Skills: []int{w % skills}}
		for s := range skills {
			if s != w%skills && rng.IntN(2) == 0 {
				worker.Skills = append(worker.Skills, s)
			}
		}
		for d := range days {
			if rng.IntN(5) > 0 || d > 20 {
				from := d*day + rng.IntN(2)
				worker.Hours = append(worker.Hours, Interval{from, from + 3 + rng.IntN(2)})
			}
		}
		p.Workers = append(p.Workers, worker)
	}
	known := make(map[int]bool)
	for _, w := range p.Workers {
		for _, s := range w.Skills {
			known[s] = true
		}
	}
	for i := range tasks {
		a := Task{
			Duration: 1 + rng.IntN(5),
			Skill:    rng.IntN(skills+1) - 1,
			Group:    rng.IntN(4) - 1,
			Release:  rng.IntN(4) * rng.IntN(3),
			Weight:   rng.IntN(6),
			Due:      rng.IntN(25),
		}
		if rng.IntN(8) == 0 {
			a.Duration = 0
		}
		if a.Skill != None && !known[a.Skill] {
			a.Skill = p.Workers[0].Skills[0]
		}
		if rng.IntN(3) == 0 {
			a.LateWeight = rng.IntN(10)
		}
		if rng.IntN(2) == 0 {
			a.Uses = []Demand{{rng.IntN(2), 1}}
		}
		for j := range i {
			if rng.IntN(5) == 0 {
				a.After = append(a.After, Link{j, rng.IntN(3) * rng.IntN(5)})
			}
		}
		p.Tasks = append(p.Tasks, a)
	}
	return p, days * day
}

// spread puts the tasks of a problem at two or three sites. Shifts are parted by more
// than three minutes off.
func spread(rng *rand.Rand, p *Problem) {
	sites, way := 2+rng.IntN(2), 1+rng.IntN(2)
	p.ShiftApart = 3
	for a := range sites {
		p.Travel = append(p.Travel, make([]int, sites))
		for b := range sites {
			if a != b {
				p.Travel[a][b] = way
			}
		}
	}
	for i := range p.Tasks {
		t := &p.Tasks[i]
		t.Site = rng.IntN(sites)
		if t.Leaves = t.Site; t.Duration >= way && rng.IntN(5) == 0 {
			t.Leaves = rng.IntN(sites)
		}
	}
}

func TestTheSearchFindsTheOptimumOfSmallProblems(t *testing.T) {
	cases := 240
	if testing.Short() {
		cases = 60
	}
	proven := 0
	for c := range cases {
		rng := rand.New(rand.NewPCG(uint64(c), 7))
		p, horizon := smallProblem(rng, 4+c%5)
		if c%3 == 2 {
			spread(rng, &p)
		}
		objective := WeightedCompletion
		if c%6 == 5 {
			objective = Makespan
		}
		plan, err := Solve(context.Background(), p, Options{Objective: objective, Schedules: 6_000, Seed: 1})
		if err != nil {
			t.Fatalf("case %d: %v", c, err)
		}
		if err := Verify(p, plan); err != nil {
			t.Fatalf("case %d: %v", c, err)
		}
		if len(plan.Unplaced) > 0 {
			t.Fatalf("case %d: %v", c, plan.Unplaced)
		}
		want := bruteForce(p, objective, horizon)
		if plan.Value != want {
			t.Errorf("case %d: value %d, optimum %d, %d tasks, after %d schedules", c, plan.Value, want, len(p.Tasks), plan.Schedules)
		}
		if plan.LowerBound > want {
			t.Errorf("case %d: lower bound %d is above the optimum %d", c, plan.LowerBound, want)
		}
		if plan.LowerBound == want {
			proven++
		}
	}
	t.Logf("%d of %d proven by the bound", proven, cases)
}
