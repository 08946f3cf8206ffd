package schedule

// bound returns a value that no plan goes below: by chains, or by the hours of
// those who have the skills.
func (m *model) bound(objective Objective) int {
	earliest := m.earliest()
	best := m.chainBound(objective, earliest)
	bundles := m.bundles()
	for _, skills := range m.pools() {
		p := m.newPool(skills)
		if p == nil {
			continue
		}
		if objective == Makespan {
			best = max(best, p.finish(p.work))
		} else {
			best = max(best, m.poolBound(p, bundles, earliest))
		}
	}
	return best
}

// earliest returns when each activity finishes at best: after its own chain of
// work, lags and releases, with a worker who has nothing else to do.
func (m *model) earliest() []int {
	finish := make([]int, len(m.Activities))
	for _, i := range m.topological(nil) {
		finish[i] = m.earliestAfter(i, finish)
	}
	return finish
}

func (m *model) earliestAfter(i int, finish []int) int {
	a := &m.Activities[i]
	ready := a.Release
	for _, l := range a.After {
		ready = max(ready, finish[l.Pred]+l.Lag)
	}
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

// chainBound is the objective at those finishes.
func (m *model) chainBound(objective Objective, finish []int) int {
	value := 0
	for i, a := range m.Activities {
		if objective == Makespan {
			value = max(value, finish[i])
		} else {
			value += a.Weight*finish[i] + a.LateWeight*max(0, finish[i]-a.Due)
		}
	}
	return value
}
