package schedule

import "math"

// decoder turns an order of tasks into a plan: each takes, in its turn,
// the place where it can finish first, without moving those before it (the
// serial schedule generation scheme). It keeps its memory between plans.
type decoder struct {
	*model
	state
	objective Objective
	durations []int // minutes of work of each task
	place     []Assignment
	soonest   []int // scratch, one for each worker
}

// state is what the tasks planned so far leave.
type state struct {
	busy     []diary    // of each worker, in minutes worked
	together []bookings // of each group
	free     []places   // of each resource
	value    int        // of the objective
}

func newState(m *model) state {
	return state{
		busy:     make([]diary, len(m.Workers)),
		together: make([]bookings, m.groups),
		free:     make([]places, len(m.Resources)),
	}
}

// copyFrom makes s the same as another state of the same model, in memory of its
// own.
func (s *state) copyFrom(from *state) {
	for w, d := range from.busy {
		d.booked = append(s.busy[w].booked[:0], d.booked...)
		d.ends = append(s.busy[w].ends[:0], d.ends...)
		s.busy[w] = d
	}
	for g, b := range from.together {
		s.together[g] = append(s.together[g][:0], b...)
	}
	for r := range from.free {
		s.free[r].copyFrom(&from.free[r])
	}
	s.value = from.value
}

func newDecoder(m *model, objective Objective) *decoder {
	d := &decoder{
		model:     m,
		state:     newState(m),
		objective: objective,
		durations: make([]int, len(m.Tasks)),
		place:     make([]Assignment, len(m.Tasks)),
		soonest:   make([]int, len(m.Workers)),
	}
	for i, a := range m.Tasks {
		d.durations[i] = a.Duration
	}
	d.measure()
	return d
}

// measure finds the shortest work of each worker. It is called when durations
// have changed.
func (d *decoder) measure() {
	for w := range d.busy {
		d.busy[w].shortest = math.MaxInt
	}
	for i, length := range d.durations {
		if length == 0 {
			continue
		}
		for _, w := range d.able[i] {
			d.busy[w].shortest = min(d.busy[w].shortest, length)
		}
	}
}

// decode plans the tasks in the given order, in which none may come
// before one it waits for. Where force is not nil and force[i] not None, only
// worker force[i] may do task i. The plan is in d.place until the next
// call, its value in d.value.
func (d *decoder) decode(order, force []int) {
	d.begin()
	for _, i := range order {
		worker := None
		if force != nil {
			worker = force[i]
		}
		d.take(i, worker)
	}
}

// begin forgets the last plan.
func (d *decoder) begin() {
	for w := range d.busy {
		d.busy[w].clear()
	}
	for g := range d.together {
		d.together[g] = d.together[g][:0]
	}
	for r := range d.free {
		d.free[r].restore(d.profiles[r])
	}
	d.value = 0
}

// take plans one more task, by the worker named or, for None, anybody.
func (d *decoder) take(i, worker int) {
	d.put(i, worker)
	d.value = d.add(d.value, i, d.place[i].Finish)
}

// add returns the objective with one more task finished.
func (d *decoder) add(value, i, finish int) int {
	if finish < 0 {
		finish = d.horizon
	}
	if d.objective == Makespan {
		return max(value, finish)
	}
	a := &d.Tasks[i]
	return value + a.Weight*finish + a.LateWeight*max(0, finish-a.Due)
}

func (d *decoder) put(i, force int) {
	d.place[i] = unplaced
	a := &d.Tasks[i]
	ready := a.Release
	for _, l := range a.After {
		if !d.place[l.Pred].Placed() {
			return
		}
		ready = max(ready, d.place[l.Pred].Finish+l.Lag)
	}
	switch {
	case d.reasons[i] != "":
		return
	case d.durations[i] == 0:
		d.place[i] = Assignment{Worker: None, Start: ready, Finish: ready}
		return
	}
	ready, ok := d.open(i, ready)
	switch {
	case !ok:
		return
	case a.Skill == None:
		if finish := ready + d.durations[i]; finish <= d.horizon {
			d.place[i] = Assignment{Worker: None, Start: ready, Finish: finish}
		}
	case force != None:
		d.place[i] = d.fit(i, force, ready, d.horizon+1)
	default:
		d.place[i] = d.fitAny(i, ready)
	}
	if p := d.place[i]; p.Placed() {
		d.book(i, p)
	}
}

var unplaced = Assignment{Worker: None, Start: -1, Finish: -1}

// open returns the first time from start on at which group and places are free
// for as long as task i takes without a break: no worker begins it sooner.
func (d *decoder) open(i, start int) (int, bool) {
	a := &d.Tasks[i]
	length := d.durations[i]
	for {
		later := start
		if a.Group != None {
			later = d.together[a.Group].gap(later, length)
		}
		for _, u := range a.Uses {
			t, ok := d.free[u.Resource].from(later, length, u.Amount)
			if !ok {
				return 0, false
			}
			later = t
		}
		if later == start || len(a.Uses) == 0 {
			return later, true
		}
		start = later
	}
}

// fitAny is the earliest place for task i with any worker who can do it;
// where several finish at once, with the first listed. Most are ruled out by the
// hours they have left, without a search.
func (d *decoder) fitAny(i, start int) Assignment {
	length, able := d.durations[i], d.able[i]
	soonest := d.soonest[:len(able)]
	first := 0
	for k, w := range able {
		clock := &d.clocks[w]
		soonest[k] = math.MaxInt
		if worked := max(clock.at(start), d.busy[w].full) + length; worked <= clock.total() {
			soonest[k] = clock.finish(worked)
		}
		if soonest[k] < soonest[first] {
			first = k
		}
	}
	best, rank := unplaced, len(able)
	limit := d.horizon + 1
	try := func(k int) {
		before := limit
		if k < rank && rank < len(able) {
			before++ // as soon as the best is better, from one listed before it
		}
		if soonest[k] >= before {
			return
		}
		if p := d.fit(i, able[k], start, before); p.Placed() {
			best, rank, limit = p, k, p.Finish
		}
	}
	try(first)
	for k := range able {
		if k != first {
			try(k)
		}
	}
	return best
}

// fit finds the earliest place for task i with a worker that finishes
// before the limit. Worker, group and places each push the start on, never
// further than they must, until all agree: no later start has an earlier
// finish, so what clashes now clashes until it ends.
func (d *decoder) fit(i, worker, start, limit int) Assignment {
	a := &d.Tasks[i]
	length := d.durations[i]
	clock := &d.clocks[worker]
	for {
		w := d.gap(i, worker, clock.at(start))
		if w+length > clock.total() {
			return unplaced
		}
		start = clock.start(w)
		finish := clock.finish(w + length)
		if finish >= limit {
			return unplaced
		}
		later := start
		if a.Group != None {
			later = d.together[a.Group].clear(start, finish)
		}
		for _, u := range a.Uses {
			t, ok := d.free[u.Resource].clear(start, finish, u.Amount)
			if !ok {
				return unplaced
			}
			later = max(later, t)
		}
		if later == start {
			return Assignment{Worker: worker, Start: start, Finish: finish}
		}
		var ok bool
		if start, ok = d.open(i, later); !ok {
			return unplaced
		}
	}
}

// gap returns the earliest worked minute from t on at which a worker is free for
// task i, and for the way to it and on to what comes next.
func (d *decoder) gap(i, worker, t int) int {
	a := &d.Tasks[i]
	if d.Travel == nil {
		return d.busy[worker].gap(t, d.durations[i])
	}
	return d.busy[worker].gapBetween(t, d.durations[i], ends{a.Site, a.Leaves}, d.Travel, &d.clocks[worker])
}

func (d *decoder) book(i int, p Assignment) {
	a := &d.Tasks[i]
	if p.Worker != None {
		clock := &d.clocks[p.Worker]
		w := clock.at(p.Start)
		if v := (Interval{w, w + d.durations[i]}); d.Travel == nil {
			d.busy[p.Worker].add(v)
		} else {
			d.busy[p.Worker].addBetween(v, ends{a.Site, a.Leaves})
		}
	}
	if a.Group != None {
		d.together[a.Group].add(Interval{p.Start, p.Finish})
	}
	for _, u := range a.Uses {
		d.free[u.Resource].take(p.Start, p.Finish, u.Amount)
	}
}
