package prep

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// candidate is a plan with what it is expected to come to.
type candidate struct {
	plan   schedule.Plan
	order  []int // in which work is taken
	ahead  int   // what that leads to in the futures, the mean in the engine's units
	idle   int   // what the plan costs more than its own order of work, where all goes as is likely
	likely Likely
	rule   struct { // the best of Rules in the same terms
		number, value int
	}
}

// solve finds the plan to follow, and what comes of it in the futures.
//
// First it looks for the best plan as though nobody had been told anything: for what
// is likely from the order of the most pounds a day, for the futures from all of
// Rules. Then, from the last plan and from that one, for the best where each job of
// the next working days that moves to another day or person costs the policy's
// ChangeCost. Where a rule's order is expected to cost less than the best so far, its
// plan is one more to choose from. The last plan stands where it can still be followed
// to the minute and no other is expected to cost less, changes included: a second run
// on the same yard changes nothing.
func (in planInput) solve(ctx context.Context, previous []Block, options schedule.Options) (*outlook, candidate, error) {
	fair := in
	fair.begunBy = nil // whatever people have been told
	p := fair.buildProblem(nil)
	o := p.outlook()
	last := p.recall(previous)
	p.told = p.dueSoon(last)
	fresh, err := o.find(ctx, options, nil, o.byRule(pounds))
	if err != nil {
		return nil, candidate{}, err
	}
	robust, err := o.robust(fresh)
	if err != nil {
		return nil, candidate{}, err
	}
	var best candidate
	var foresight *outlook
	cost := math.MaxInt
	seen := []*outlook{o}
	consider := func(plan schedule.Plan) error {
		own, c, err := in.judge(ctx, p, plan, &seen)
		if err != nil {
			return err
		}
		if total := c.ahead + c.idle + p.changes(plan.Assignments); total < cost {
			best, foresight, cost = c, own, total
		}
		return nil
	}
	exact := false
	if len(last) > 0 {
		var same schedule.Plan
		if same, exact, err = p.beginning(in, last).repeat(previous); err == nil {
			err = consider(same)
		}
		if err != nil {
			return nil, candidate{}, err
		}
	}
	stands := cost
	if err := cmp.Or(consider(robust), consider(fresh)); err != nil {
		return nil, candidate{}, err
	}
	if len(p.told) > 0 && !(exact && stands == cost) {
		kept, err := p.keep(ctx, in, last, robust, options)
		for _, plan := range kept {
			err = cmp.Or(err, consider(plan))
		}
		if err != nil {
			return nil, candidate{}, err
		}
	}
	if err := best.compare(ctx, foresight); err != nil {
		return nil, candidate{}, err
	}
	if best.rule.value < best.ahead {
		plan, err := o.arrange(o.byRule(best.rule.number))
		before := cost
		if err == nil {
			err = consider(plan)
		}
		if err == nil && cost < before {
			err = best.compare(ctx, foresight)
		}
		if err != nil {
			return nil, candidate{}, err
		}
	}
	best.likely = Likely{p.problem, fresh}
	best.plan.LowerBound, best.plan.Schedules = min(fresh.LowerBound, best.plan.Value), fresh.Schedules
	return foresight, best, nil
}

// compare finds the best of Rules in the terms of the plan.
func (c *candidate) compare(ctx context.Context, o *outlook) error {
	var rules [][]int
	for rule := range Rules {
		rules = append(rules, o.byRule(rule))
	}
	ahead, err := o.foresee(ctx, rules...)
	for rule, value := range ahead {
		if rule == 0 || value < c.rule.value {
			c.rule.number, c.rule.value = rule, value
		}
	}
	return err
}

// judge says what a plan is expected to come to. What begins before an order could
// be in keeps its parts: the same shares come out when the next run asks for them.
// Futures are drawn once for all plans under which the tasks are the same.
func (in planInput) judge(ctx context.Context, p *planModel, plan schedule.Plan, seen *[]*outlook) (*outlook, candidate, error) {
	in.begunBy = map[jobKey]string{}
	for i := range p.tasks {
		if a := plan.Assignments[i]; a.Placed() && a.Worker != schedule.None {
			for _, j := range p.jobs(i) {
				in.begunBy[keyOf(j)] = p.shop.Team[a.Worker].Name
			}
		}
	}
	own := in.buildProblem(p.begins(plan))
	own.told = p.told
	var o *outlook
	for _, other := range *seen {
		if like, ok := other.like(own); ok {
			o = like
			break
		}
	}
	if o == nil {
		o = own.outlook()
		*seen = append(*seen, o)
	}
	order := o.turns(plan.Assignments)
	ahead, err := o.foresee(ctx, order)
	if err != nil {
		return nil, candidate{}, err
	}
	c := candidate{plan: plan.In(own.problem), order: order, ahead: ahead[0]}
	// The futures know a plan by its order alone. One that was told once and has holes now
	// is no good though its order still is.
	at, err := o.likely(order)
	if err != nil {
		return nil, candidate{}, err
	}
	c.idle = max(0, o.value(c.plan.Assignments)-o.value(at))
	return o, c, nil
}

// find searches for the best order of work.
func (o *outlook) find(ctx context.Context, options schedule.Options, told []schedule.Told, starts ...[]int) (schedule.Plan, error) {
	options.Told = told
	options.Schedules = o.schedules(options)
	for _, order := range starts {
		options.Starts = append(options.Starts, schedule.Start{Order: order})
	}
	plan, err := schedule.Solve(ctx, o.problem, options)
	if err != nil {
		return plan, err
	}
	return o.without(plan), nil
}

// schedules is how many orders a search tries: half as many as the engine would by
// itself, since what is likely is not all that counts.
func (o *outlook) schedules(options schedule.Options) int {
	return cmp.Or(options.Schedules, (schedule.DefaultSchedules(o.planModel.problem)+1)/2)
}

// without takes the room for hidden work out of a plan.
func (o *outlook) without(plan schedule.Plan) schedule.Plan {
	plan.Assignments = plan.Assignments[:len(o.tasks)]
	plan.Unplaced = slices.DeleteFunc(plan.Unplaced, func(u schedule.Unplaced) bool { return u.Task >= len(o.tasks) })
	return plan.In(o.planModel.problem)
}

// arrange makes the plan in which tasks are taken in an order.
func (o *outlook) arrange(order []int) (schedule.Plan, error) {
	plan, err := schedule.Arrange(o.problem, schedule.WeightedCompletion, order, nil)
	if err != nil {
		return plan, err
	}
	return o.without(plan), nil
}

// keep finds plans that keep to what people have been told: one in which what is soon
// keeps its day, person and turn as far as that costs no more, and the best where
// changes cost.
func (p *planModel) keep(ctx context.Context, in planInput, last []hold, fresh schedule.Plan, options schedule.Options) ([]schedule.Plan, error) {
	o := p.beginning(in, p.told).outlook()
	start := o.lastOrder(last, fresh)
	holds, err := o.feasible(start)
	if err != nil {
		return nil, err
	}
	held, err := o.holdSome(o.turns(fresh.Assignments), holds)
	if err != nil {
		return nil, err
	}
	// A quarter of the search will do: most of what is soon is settled.
	options.Schedules = max(o.schedules(options)/4, 1)
	options.Bound = fresh.LowerBound
	options.Starts = []schedule.Start{start}
	soft, err := o.find(ctx, options, o.toldTasks(), o.turns(held.Assignments), o.turns(fresh.Assignments))
	return []schedule.Plan{held, soft}, err
}

// lastOrder is the last plan's order, in which what it did not know has the place
// that the fresh plan gives it, and who was told what.
func (o *outlook) lastOrder(last []hold, fresh schedule.Plan) schedule.Start {
	n := len(o.problem.Tasks)
	key, workers := make([]int, n), make([]int, n)
	for i := range key {
		workers[i] = schedule.None
		if i < len(o.tasks) && fresh.Assignments[i].Placed() {
			key[i] = fresh.Assignments[i].Start
		}
	}
	for _, h := range last {
		key[h.task] = h.start
	}
	for _, h := range o.told {
		workers[h.task] = h.worker
	}
	return schedule.Start{Order: o.byKey(key), Workers: workers}
}

// beginning is the same problem where jobs have been told when to begin, which
// decides who gets the parts on the shelf.
func (p *planModel) beginning(in planInput, holds []hold) *planModel {
	begin := map[jobKey]int{}
	for _, h := range holds {
		for _, j := range p.jobs(h.task) {
			begin[keyOf(j)] = h.start
		}
	}
	other := in.buildProblem(begin)
	other.told = p.told
	return other
}

// instruction is what people were told of a job.
type instruction struct {
	technician    string
	start, finish int // minutes from asOf
}

// toldOf gathers the blocks of each job.
func (p *planModel) toldOf(blocks []Block) map[jobKey]instruction {
	midnight := p.asOf.Time()
	all := map[jobKey]instruction{}
	for _, b := range blocks {
		key := jobKey{b.StockID, b.Job}
		start, finish := int(b.Start.Sub(midnight)/time.Minute), int(b.Finish.Sub(midnight)/time.Minute)
		if was, ok := all[key]; ok {
			if was.start < start {
				b.Technician, start = was.technician, was.start
			}
			finish = max(finish, was.finish)
		}
		all[key] = instruction{b.Technician, start, finish}
	}
	return all
}

// recall finds the tasks that the last plan had, with somebody who is still here
// and has the skill, by start. The first job of a visit speaks for it.
func (p *planModel) recall(previous []Block) []hold {
	blocks := p.toldOf(previous)
	var last []hold
	for i, t := range p.tasks {
		first, found := instruction{start: math.MaxInt}, false
		for _, j := range p.jobs(i) {
			if was, ok := blocks[keyOf(j)]; ok && was.start < first.start {
				first, found = was, true
			}
		}
		if !found {
			continue
		}
		worker := slices.IndexFunc(p.shop.Team, func(t data.Technician) bool { return t.Name == first.technician })
		if worker < 0 || !slices.Contains(p.problem.Workers[worker].Skills, p.problem.Tasks[i].Skill) {
			continue
		}
		start := workedBefore(p.problem.Workers[worker].Hours, first.start, t.bringIn)
		if start < 0 && first.start >= 0 {
			start = first.start // the van was to be brought in the evening before, and is brought in now
		}
		last = append(last, hold{i, worker, start})
	}
	slices.SortStableFunc(last, func(a, b hold) int { return cmp.Compare(a.start, b.start) })
	return last
}

// workedBefore returns the time from which on somebody works some minutes until
// a time; before the first of the hours time runs on.
func workedBefore(hours schedule.Calendar, at, minutes int) int {
	for _, v := range slices.Backward(hours) {
		if minutes == 0 || v.From >= at {
			continue
		}
		at = min(at, v.To)
		step := min(minutes, at-v.From)
		at, minutes = at-step, minutes-step
	}
	return at - minutes
}

// repeat follows the last plan to the minute, as far as that can be done, and reports
// whether that is to the last minute, with nothing new to do besides.
func (p *planModel) repeat(previous []Block) (plan schedule.Plan, exact bool, err error) {
	problem := p.problem
	problem.Tasks = slices.Clone(p.problem.Tasks)
	for _, was := range p.recall(previous) {
		a := &problem.Tasks[was.task]
		if p.awayAt(was) || a.Pinned && a.Worker != was.worker {
			continue
		}
		a.Pinned, a.Worker, a.Release = true, was.worker, max(a.Release, was.start)
	}
	if plan, err = schedule.Arrange(problem, schedule.WeightedCompletion, nil, nil); err != nil {
		return plan, false, err
	}
	plan = plan.In(p.problem)
	was, now := p.toldOf(previous), p.toldOf(p.blocks(plan))
	for i := range p.tasks {
		for _, j := range p.jobs(i) {
			if key := keyOf(j); was[key] != now[key] {
				return plan, false, nil
			}
		}
	}
	return plan, true, nil
}

// followed returns the tasks of a plan by start, and who does each.
func followed(plan schedule.Plan) (order, workers []int) {
	order, workers = make([]int, len(plan.Assignments)), make([]int, len(plan.Assignments))
	for i, a := range plan.Assignments {
		order[i], workers[i] = i, a.Worker
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(plan.Assignments[a].Start, plan.Assignments[b].Start), cmp.Compare(a, b))
	})
	return order, workers
}

// begunByWhom says of work that has begun, and of which nobody wrote by whom, who
// was told to do it.
func (in planInput) begunByWhom(previous []Block) map[jobKey]string {
	by := map[jobKey]string{}
	for _, b := range previous {
		if key := (jobKey{b.StockID, b.Job}); by[key] == "" {
			by[key] = b.Technician
		}
	}
	return by
}

// awayAt reports whether somebody does not work at the time that they were told.
func (p *planModel) awayAt(was hold) bool {
	return !slices.ContainsFunc(p.problem.Workers[was.worker].Hours, func(v schedule.Interval) bool { return v.From <= was.start && was.start < v.To })
}
