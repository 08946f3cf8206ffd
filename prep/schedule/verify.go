package schedule

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
)

// ErrPlan is wrapped by every error of Verify.
var ErrPlan = errors.New("the plan breaks a rule")

// Verify checks a plan against the problem from first principles: it counts
// minutes and overlaps afresh and shares no code with the search. It returns
// nil, or the first rule that the plan breaks.
func Verify(p Problem, plan Plan) error {
	if err := verify(p, plan); err != nil {
		return fmt.Errorf("%w: %w", ErrPlan, err)
	}
	return nil
}

func verify(p Problem, plan Plan) error {
	if len(plan.Assignments) != len(p.Tasks) {
		return fmt.Errorf("%d assignments for %d tasks", len(plan.Assignments), len(p.Tasks))
	}
	if err := verifyUnplaced(p, plan); err != nil {
		return err
	}
	for i := range p.Tasks {
		if err := verifyTask(p, plan, i); err != nil {
			return fmt.Errorf("task %s: %w", label(p.Tasks[i].Name, i), err)
		}
	}
	if err := verifyApart(p, plan); err != nil {
		return err
	}
	for r := range p.Resources {
		if err := verifyResource(p, plan, r); err != nil {
			return fmt.Errorf("resource %s: %w", label(p.Resources[r].Name, r), err)
		}
	}
	return verifyValue(p, plan)
}

func verifyUnplaced(p Problem, plan Plan) error {
	listed := make([]bool, len(p.Tasks))
	for _, u := range plan.Unplaced {
		if u.Task < 0 || u.Task >= len(listed) || listed[u.Task] || u.Reason == "" {
			return fmt.Errorf("unplaced task %d is unknown, listed twice or without a reason", u.Task)
		}
		listed[u.Task] = true
	}
	for i, a := range plan.Assignments {
		if a.Placed() == listed[i] {
			return fmt.Errorf("task %d is placed: %t, and listed as unplaced: %t", i, a.Placed(), listed[i])
		}
	}
	return nil
}

// verifyTask looks at one task alone: its worker, hours and waits.
func verifyTask(p Problem, plan Plan, i int) error {
	a, got := p.Tasks[i], plan.Assignments[i]
	if !got.Placed() {
		return nil
	}
	if got.Start < a.Release {
		return fmt.Errorf("starts at %d, before its release at %d", got.Start, a.Release)
	}
	for _, l := range a.After {
		pred := plan.Assignments[l.Pred]
		if !pred.Placed() || got.Start < pred.Finish+l.Lag {
			return fmt.Errorf("starts at %d, too soon after task %d", got.Start, l.Pred)
		}
	}
	if a.Duration == 0 || a.Skill == None {
		if got.Worker != None || got.Finish != got.Start+a.Duration {
			return fmt.Errorf("runs [%d, %d) with worker %d", got.Start, got.Finish, got.Worker)
		}
		return nil
	}
	if got.Worker < 0 || got.Worker >= len(p.Workers) {
		return fmt.Errorf("worker %d does not exist", got.Worker)
	}
	if !slices.Contains(p.Workers[got.Worker].Skills, a.Skill) {
		return fmt.Errorf("worker %d has not skill %d", got.Worker, a.Skill)
	}
	if a.Pinned && a.Worker != None && a.Worker != got.Worker {
		return fmt.Errorf("is pinned to worker %d, not %d", a.Worker, got.Worker)
	}
	blocks := plan.Blocks(p, i)
	if len(blocks) == 0 || blocks[0].From != got.Start || blocks[len(blocks)-1].To != got.Finish {
		return fmt.Errorf("[%d, %d) does not begin and end in the hours of worker %d", got.Start, got.Finish, got.Worker)
	}
	worked := 0
	for _, b := range blocks {
		worked += b.To - b.From
	}
	if worked != a.Duration {
		return fmt.Errorf("gets %d minutes of %d", worked, a.Duration)
	}
	return nil
}

// verifyApart looks for two tasks at once on one worker or in one group.
func verifyApart(p Problem, plan Plan) error {
	var order []int
	for i, a := range plan.Assignments {
		if a.Placed() && a.Start < a.Finish {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Compare(plan.Assignments[a].Start, plan.Assignments[b].Start)
	})
	lastOf, lastIn := make(map[int]int), make(map[int]int)
	for _, i := range order {
		got := plan.Assignments[i]
		if w := got.Worker; w != None {
			if j, ok := lastOf[w]; ok && plan.Assignments[j].Finish > got.Start {
				return fmt.Errorf("worker %d does tasks %d and %d at once", w, j, i)
			} else if ok && !reaches(p, w, plan.Assignments[j].Finish, got.Start, p.Tasks[j].Leaves, p.Tasks[i].Site) {
				return fmt.Errorf("worker %d has no time to get from task %d at site %d to task %d at site %d", w, j, p.Tasks[j].Leaves, i, p.Tasks[i].Site)
			}
			lastOf[w] = i
		}
		if g := p.Tasks[i].Group; g != None {
			if j, ok := lastIn[g]; ok && plan.Assignments[j].Finish > got.Start {
				return fmt.Errorf("tasks %d and %d of group %d overlap", j, i, g)
			}
			lastIn[g] = i
		}
	}
	return nil
}

// reaches reports whether a worker who is done somewhere at one time can begin
// elsewhere at another: in the hours between there is the way, or a stretch off
// that parts shifts.
func reaches(p Problem, w, done, begin, from, to int) bool {
	if p.Travel == nil || from == to {
		return true
	}
	free, last := 0, done
	for _, v := range p.Workers[w].Hours {
		if v.To <= done || v.From > begin {
			continue
		}
		if v.From-last > p.ShiftApart {
			return true
		}
		free += max(0, min(v.To, begin)-max(v.From, done))
		last = v.To
	}
	return free >= p.Travel[from][to]
}

// verifyResource counts the places held each time that some are taken.
func verifyResource(p Problem, plan Plan, r int) error {
	type change struct{ at, by, task int }
	var changes []change
	for i, a := range plan.Assignments {
		for _, u := range p.Tasks[i].Uses {
			if u.Resource == r && a.Placed() && a.Start < a.Finish {
				changes = append(changes, change{a.Start, u.Amount, i}, change{a.Finish, -u.Amount, i})
			}
		}
	}
	for _, c := range p.Resources[r].Closed {
		changes = append(changes, change{c.From, c.Amount, None}, change{c.To, -c.Amount, None})
	}
	slices.SortFunc(changes, func(a, b change) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.by, b.by))
	})
	held, active := 0, make(map[int]bool)
	for k, c := range changes {
		held += c.by
		if c.task != None {
			active[c.task] = c.by > 0
			if c.by < 0 {
				delete(active, c.task)
			}
		}
		settled := k+1 == len(changes) || changes[k+1].at > c.at
		if settled && held > p.Resources[r].Capacity && len(active) > 0 {
			return fmt.Errorf("%d places of %d are held at %d", held, p.Resources[r].Capacity, c.at)
		}
	}
	return nil
}

func verifyValue(p Problem, plan Plan) error {
	horizon := verifyHorizon(p)
	last, cost := 0, 0
	for i, a := range p.Tasks {
		finish := plan.Assignments[i].Finish
		if !plan.Assignments[i].Placed() {
			finish = horizon
		}
		last = max(last, finish)
		cost += a.Weight*finish + a.LateWeight*max(0, finish-a.Due)
	}
	want := cost
	if plan.Objective == Makespan {
		want = last
	}
	if plan.Value != want {
		return fmt.Errorf("value is %d, not %d", want, plan.Value)
	}
	if plan.LowerBound > plan.Value {
		return fmt.Errorf("value %d is below the lower bound %d", plan.Value, plan.LowerBound)
	}
	return nil
}

// verifyHorizon is the moment at which unplaced work counts as finished.
func verifyHorizon(p Problem) int {
	end, release, serial := 0, 0, 0
	for _, w := range p.Workers {
		for _, v := range w.Hours {
			end = max(end, v.To)
		}
	}
	for _, r := range p.Resources {
		for _, c := range r.Closed {
			end = max(end, c.To)
		}
	}
	for _, a := range p.Tasks {
		release = max(release, a.Release)
		serial += a.Duration
		for _, l := range a.After {
			serial += l.Lag
		}
	}
	return end + release + serial + 365*24*60
}
