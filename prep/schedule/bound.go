package schedule

// bound returns a value that no plan goes below: by chains, and by the hours of
// those who have the skills.
func (m *model) bound(objective Objective) int {
	earliest := m.earliest()
	if objective == WeightedCompletion {
		bound, _ := m.weightedBound(earliest)
		return bound
	}
	best := 0
	for _, f := range earliest {
		best = max(best, f)
	}
	for _, skills := range m.pools() {
		if p := m.peoplePool(skills); p != nil {
			best = max(best, p.finish(p.work))
		}
	}
	return best
}

// earliest returns when each task finishes at best: after its own chain of
// work, lags and releases, with a worker who has nothing else to do.
func (m *model) earliest() []int {
	finish := make([]int, len(m.Tasks))
	for _, i := range m.topological(nil) {
		finish[i] = m.earliestAfter(i, finish)
	}
	return finish
}

func (m *model) earliestAfter(i int, finish []int) int {
	a := &m.Tasks[i]
	ready := m.readyAfter(i, finish)
	switch {
	case m.reasons[i] != "":
		return m.horizon
	case a.Duration == 0 || a.Skill == None:
		return min(ready+a.Duration, m.horizon)
	}
	best := m.horizon
	for _, w := range m.able[i] {
		clock := &m.clocks[w]
		if end := clock.at(ready) + a.Duration; end <= clock.total() {
			best = min(best, clock.finish(end))
		}
	}
	return best
}

// readyAfter returns when a task may start, given the finishes of those that it
// waits for.
func (m *model) readyAfter(i int, finish []int) int {
	ready := m.Tasks[i].Release
	for _, l := range m.Tasks[i].After {
		ready = max(ready, finish[l.Pred]+l.Lag)
	}
	return ready
}
