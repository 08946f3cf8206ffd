package project

// move puts u right behind v on a resource where u comes first, or, if not
// behind, v right before u.
type move struct {
	u, v     int32
	resource int32
	behind   bool
}

// allowed reports whether a move surely leaves the graph without a cycle. u
// gets behind v only if no other way leads from u to v; a way from a successor
// s of u would make the tail of s at least its own time and the tail of v, and
// the head of v at least the finish of s. The same goes, turned round, for v
// before u.
func (o *orders) allowed(m move) bool {
	u, v := m.u, m.v
	near := o.next[o.slot(u, m.resource)] == v
	if m.behind {
		for _, s := range o.after.of(u) {
			if s == v || o.leads(s, v) {
				return false
			}
		}
		for k := o.slots.from[u]; k < o.slots.from[u+1]; k++ {
			s := o.next[k]
			if o.slots.to[k] == m.resource || s < 0 || s == v && near {
				continue
			}
			if s == v || o.leads(s, v) {
				return false
			}
		}
		return true
	}
	for _, p := range o.before.of(v) {
		if p == u || o.leads(u, p) {
			return false
		}
	}
	for k := o.slots.from[v]; k < o.slots.from[v+1]; k++ {
		p := o.prev[k]
		if o.slots.to[k] == m.resource || p < 0 || p == u && near {
			continue
		}
		if p == u || o.leads(u, p) {
			return false
		}
	}
	return true
}

// leads reports whether a way from a to b may exist: true may be wrong.
func (o *orders) leads(a, b int32) bool {
	return o.tail[a] >= o.duration[a]+o.tail[b] && o.head[b] >= o.head[a]+o.duration[a]
}

// apply makes a move that allowed has let pass and recomputes the schedule.
func (o *orders) apply(m move) {
	for s := o.slots.from[m.u]; s < o.slots.from[m.u+1]; s++ {
		// Neighbours that share several resources change places on each.
		if r := o.slots.to[s]; r == m.resource || o.next[s] == m.v {
			if m.behind {
				o.unlink(s, r)
				o.link(m.v, m.u, o.next[o.slot(m.v, r)], r)
			} else {
				o.unlink(o.slot(m.v, r), r)
				o.link(o.prev[s], m.v, m.u, r)
			}
		}
	}
	from, to := o.place[m.u], o.place[m.v]
	if m.behind {
		o.delay(m.u, o.list[from:to+1])
	} else {
		o.advance(m.v, o.list[from:to+1])
	}
	for k := from; k <= to; k++ {
		o.place[o.list[k]] = k
	}
	o.heads(int(from))
	o.tails(int(to))
}

func (o *orders) unlink(slot, resource int32) {
	a, b := o.prev[slot], o.next[slot]
	if a >= 0 {
		o.next[o.slot(a, resource)] = b
	} else {
		o.first[resource] = b
	}
	if b >= 0 {
		o.prev[o.slot(b, resource)] = a
	}
}

// link puts i between a and b, either of which may be -1.
func (o *orders) link(a, i, b, resource int32) {
	s := o.slot(i, resource)
	o.prev[s], o.next[s] = a, b
	if a >= 0 {
		o.next[o.slot(a, resource)] = i
	} else {
		o.first[resource] = i
	}
	if b >= 0 {
		o.prev[o.slot(b, resource)] = i
	}
}

// delay puts a stretch of the list that begins with u right again after u has
// come to wait for others in it: first what does not wait for u.
func (o *orders) delay(u int32, stretch []int32) {
	late := o.spare[:0]
	k := 0
	for _, i := range stretch {
		if i == u || o.any(o.before.of(i)) || o.any(o.prev[o.slots.from[i]:o.slots.from[i+1]]) {
			o.moved[i] = true
			late = append(late, i)
			continue
		}
		stretch[k] = i
		k++
	}
	copy(stretch[k:], late)
	for _, i := range late {
		o.moved[i] = false
	}
}

// advance is delay turned round: the stretch ends with v, for which others in
// it have come to wait.
func (o *orders) advance(v int32, stretch []int32) {
	early := o.spare[:0]
	k := len(stretch)
	for e := len(stretch) - 1; e >= 0; e-- {
		i := stretch[e]
		if i == v || o.any(o.after.of(i)) || o.any(o.next[o.slots.from[i]:o.slots.from[i+1]]) {
			o.moved[i] = true
			early = append(early, i)
			continue
		}
		k--
		stretch[k] = i
	}
	for _, i := range early {
		k--
		stretch[k] = i
		o.moved[i] = false
	}
}

func (o *orders) any(of []int32) bool {
	for _, i := range of {
		if i >= 0 && o.moved[i] {
			return true
		}
	}
	return false
}
