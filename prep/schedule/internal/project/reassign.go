package project

import "math"

// reassignment gives task u to another person, behind v in that person's
// work, or first of it where v is -1.
type reassignment struct {
	u, v     int32
	resource int32 // that stands for the person
	estimate int32 // longest way through u then, by the heads and tails of now
}

// reassignments calls do for the best place of each task of a critical path
// in the work of each other person who may do it. The places are those that
// surely leave the graph without a cycle; the idea of looking at all of them is
// that of Mastrolilli and Gambardella for the flexible job shop (Journal of
// Scheduling 3, 2000), from memory, with heads and tails that u still takes
// part in.
func (o *orders) reassignments(path []node, do func(reassignment)) {
	for _, at := range path {
		u := at.task
		hand := o.hands[u]
		if hand < 0 || o.able.from[u+1]-o.able.from[u] < 2 {
			continue
		}
		ready, after := o.without(u)
		for _, w := range o.able.of(u) {
			if r := o.person(w); r != o.slots.to[hand] {
				if best := o.bestPlace(u, r, ready, after); best.estimate < math.MaxInt32 {
					do(best)
				}
			}
		}
	}
}

// without returns the earliest start of u and the longest way behind its finish
// as they follow from all but its person.
func (o *orders) without(u int32) (ready, after int32) {
	for _, j := range o.before.of(u) {
		ready = max(ready, o.head[j]+o.duration[j])
	}
	for _, j := range o.after.of(u) {
		after = max(after, o.tail[j])
	}
	for s := o.slots.from[u]; s < o.slots.from[u+1]; s++ {
		if s == o.hands[u] {
			continue
		}
		if j := o.prev[s]; j >= 0 {
			ready = max(ready, o.head[j]+o.duration[j])
		}
		if j := o.next[s]; j >= 0 {
			after = max(after, o.tail[j])
		}
	}
	return ready, after
}

func (o *orders) bestPlace(u, resource, ready, after int32) reassignment {
	best := reassignment{u, -1, resource, math.MaxInt32}
	p, s := int32(-1), o.first[resource]
	for {
		start, behind := ready, after
		if p >= 0 {
			start = max(start, o.head[p]+o.duration[p])
		}
		if s >= 0 {
			behind = max(behind, o.tail[s])
		}
		estimate := start + o.duration[u] + behind
		if estimate < best.estimate && o.fits(u, p, s) {
			best.v, best.estimate = p, estimate
		}
		if s < 0 {
			return best
		}
		p, s = s, o.next[o.slot(s, resource)]
	}
}

// fits reports whether u can surely go between p and s on another person: no
// way leads from what waits for u to p, nor from s to what u waits for.
func (o *orders) fits(u, p, s int32) bool {
	if p >= 0 {
		for _, j := range o.after.of(u) {
			if j == p || o.leads(j, p) {
				return false
			}
		}
		for k := o.slots.from[u]; k < o.slots.from[u+1]; k++ {
			if j := o.next[k]; k != o.hands[u] && j >= 0 && (j == p || o.leads(j, p)) {
				return false
			}
		}
	}
	if s >= 0 {
		for _, j := range o.before.of(u) {
			if j == s || o.leads(s, j) {
				return false
			}
		}
		for k := o.slots.from[u]; k < o.slots.from[u+1]; k++ {
			if j := o.prev[k]; k != o.hands[u] && j >= 0 && (j == s || o.leads(s, j)) {
				return false
			}
		}
	}
	return true
}

// reassign makes a reassignment and recomputes the schedule.
func (o *orders) reassign(m reassignment) {
	hand := o.hands[m.u]
	from, to := o.place[m.u], o.place[m.u]
	o.unlink(hand, o.slots.to[hand])
	o.slots.to[hand] = m.resource
	next := o.first[m.resource]
	if m.v >= 0 {
		next = o.next[o.slot(m.v, m.resource)]
	}
	o.link(m.v, m.u, next, m.resource)
	switch {
	case m.v >= 0 && o.place[m.v] > from:
		to = o.place[m.v]
		o.delay(m.u, o.list[from:to+1])
	case next >= 0 && o.place[next] < to:
		from = o.place[next]
		o.advance(m.u, o.list[from:to+1])
	}
	for k := from; k <= to; k++ {
		o.place[o.list[k]] = k
	}
	o.heads(int(from))
	o.tails(int(to))
}

// allot gives each task of the list to begin with to the person who can
// start it first; of those, to the one who was free last, and then to the one
// listed first.
func (t *tabuSearch) allot() {
	clear(t.free)
	start := t.local.start
	for _, i := range t.begin {
		ready := int32(0)
		for _, j := range t.before.of(i) {
			ready = max(ready, start[j]+t.duration[j])
		}
		for s := t.slots.from[i]; s < t.slots.from[i+1]; s++ {
			if s != t.hands[i] {
				ready = max(ready, t.free[t.slots.to[s]])
			}
		}
		best := int32(-1)
		for _, w := range t.able.of(i) {
			r := t.person(w)
			at, free := max(ready, t.free[r]), t.free[r]
			if best < 0 || at < max(ready, t.free[best]) || at == max(ready, t.free[best]) && free > t.free[best] {
				best = r
			}
		}
		if best >= 0 {
			ready = max(ready, t.free[best])
		}
		t.hand[i], start[i] = best, ready
		for s := t.slots.from[i]; s < t.slots.from[i+1]; s++ {
			if s != t.hands[i] {
				t.free[t.slots.to[s]] = ready + t.duration[i]
			}
		}
		if best >= 0 {
			t.free[best] = ready + t.duration[i]
		}
	}
}
