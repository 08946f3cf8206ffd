package schedule

// decoder turns an order of activities into a plan: each takes, in its turn,
// the place where it can finish first, without moving those before it (the
// serial schedule generation scheme). It keeps its memory between plans.
type decoder struct {
	*model
	objective Objective
	durations []int // minutes of work of each activity
	busy      []bookings
	together  []bookings // of each group
	free      []profile
	place     []Assignment
	value     int
}

func newDecoder(m *model, objective Objective) *decoder {
	d := &decoder{
		model:     m,
		objective: objective,
		durations: make([]int, len(m.Activities)),
		busy:      make([]bookings, len(m.Workers)),
		together:  make([]bookings, m.groups),
		free:      make([]profile, len(m.Resources)),
		place:     make([]Assignment, len(m.Activities)),
	}
	for i, a := range m.Activities {
		d.durations[i] = a.Duration
	}
	return d
}

// decode plans the activities in the given order, in which none may come
// before one it waits for. Where force is not nil and force[i] not None, only
// worker force[i] may do activity i. The plan is in d.place until the next
// call, its value in d.value.
func (d *decoder) decode(order, force []int) {
	for w := range d.busy {
		d.busy[w] = d.busy[w][:0]
	}
	for g := range d.together {
		d.together[g] = d.together[g][:0]
	}
	for r := range d.free {
		d.free[r] = append(d.free[r][:0], d.profiles[r]...)
	}
	d.value = 0
	for _, i := range order {
		worker := None
		if force != nil {
			worker = force[i]
		}
		d.put(i, worker)
		d.value = d.add(d.value, i, d.place[i].Finish)
	}
}

// add returns the objective with one more activity finished.
func (d *decoder) add(value, i, finish int) int {
	if finish < 0 {
		finish = d.horizon
	}
	if d.objective == Makespan {
		return max(value, finish)
	}
	a := &d.Activities[i]
	return value + a.Weight*finish + a.LateWeight*max(0, finish-a.Due)
}

func (d *decoder) put(i, force int) {
	d.place[i] = unplaced
	a := &d.Activities[i]
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
	case a.Skill == None:
		d.place[i] = d.fit(i, None, ready, d.horizon+1)
	case force != None:
		d.place[i] = d.fit(i, force, ready, d.horizon+1)
	default:
		best := d.horizon + 1
		for _, w := range d.able[i] {
			if p := d.fit(i, w, ready, best); p.Placed() {
				d.place[i] = p
				best = p.Finish
			}
		}
	}
	if p := d.place[i]; p.Placed() {
		d.book(i, p)
	}
}

var unplaced = Assignment{Worker: None, Start: -1, Finish: -1}

// fit finds the earliest place for activity i with a worker, or with nobody,
// that finishes before the limit. Worker, group and places each push the
// start on, never further than they must, until all agree: no later start has
// an earlier finish, so what clashes now clashes until it ends.
func (d *decoder) fit(i, worker, start, limit int) Assignment {
	a := &d.Activities[i]
	length := d.durations[i]
	for {
		finish := start + length
		if worker != None {
			clock := &d.clocks[worker]
			w := d.busy[worker].gap(clock.at(start), length)
			if w+length > clock.total() {
				return unplaced
			}
			start, finish = clock.start(w), clock.finish(w+length)
		}
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
		start = later
	}
}

func (d *decoder) book(i int, p Assignment) {
	a := &d.Activities[i]
	if p.Worker != None {
		clock := &d.clocks[p.Worker]
		w := clock.at(p.Start)
		d.busy[p.Worker].add(Interval{w, w + d.durations[i]})
	}
	if a.Group != None {
		d.together[a.Group].add(Interval{p.Start, p.Finish})
	}
	for _, u := range a.Uses {
		d.free[u.Resource].take(p.Start, p.Finish, u.Amount)
	}
}
