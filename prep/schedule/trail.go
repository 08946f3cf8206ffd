package schedule

// trail is what the decoder had planned at some places of the order that a
// search stands at. An order that begins alike is decoded from the last of them
// before the two part, which gives the same plan in less time.
type trail struct {
	every  int          // tasks from one stop to the next; 0: there are none
	known  bool         // whether stops and place are those of the order stood at
	stops  []state      // stops[k] is before the task at place (k+1) × every
	place  []Assignment // of each task
	tried  []state      // the stops of the order tried last, from passed on
	passed int          // how many of the stops that order shares
}

const (
	trailStops = 10
	longOrder  = 500 // tasks from which on stops are worth the time to make
)

func newTrail(m *model) trail {
	n := len(m.Tasks)
	if n < longOrder {
		return trail{}
	}
	return trailOf(m, n/trailStops)
}

func trailOf(m *model, every int) trail {
	n := len(m.Tasks)
	t := trail{every: every, place: make([]Assignment, n)}
	for range max(n-1, 0) / every {
		t.stops, t.tried = append(t.stops, newState(m)), append(t.tried, newState(m))
	}
	return t
}

// tryChange is try of a solution that was made by changing the one at which the
// search stands.
func (s *search) tryChange(x *solution) {
	t := &s.trail
	if t.every == 0 {
		s.try(x)
		return
	}
	t.passed = min(s.alike(x)/t.every, len(t.stops))
	if t.passed == 0 {
		s.begin()
	} else {
		s.state.copyFrom(&t.stops[t.passed-1])
		for _, i := range x.order[:t.passed*t.every] {
			s.place[i] = t.place[i]
		}
	}
	for at := t.passed * t.every; at < len(x.order); at++ {
		if k := at/t.every - 1; at%t.every == 0 && k >= t.passed {
			t.tried[k].copyFrom(&s.state)
		}
		s.take(x.order[at], x.force[x.order[at]])
	}
	s.note(x)
}

// alike returns how many tasks x begins with as the search's order does,
// where that order's trail is known.
func (s *search) alike(x *solution) int {
	if !s.trail.known {
		return 0
	}
	for at, i := range x.order {
		if s.now.order[at] != i || s.now.force[i] != x.force[i] {
			return at
		}
	}
	return len(x.order)
}

// follow makes the order tried last, and where it placed the tasks, those of
// the trail.
func (t *trail) follow(place []Assignment) {
	if t.every == 0 {
		return
	}
	for k := t.passed; k < len(t.stops); k++ {
		t.stops[k], t.tried[k] = t.tried[k], t.stops[k]
	}
	copy(t.place, place)
	t.known = true
}
