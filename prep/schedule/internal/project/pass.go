package project

// pass builds schedules by the serial scheme: each task of a list, in its
// turn, takes the earliest start that its predecessors and the resources
// allow. The memory is kept between schedules.
type pass struct {
	*network
	free  []uint64 // horizon × words: free capacity by period
	dirty int32    // periods of free that may be in use
}

func newPass(net *network) *pass {
	return &pass{network: net, free: make([]uint64, int(net.horizon+1)*net.words), dirty: net.horizon + 1}
}

// serial schedules the list, which must hold each task after those that
// before says it waits for, and returns the makespan. Starts go to start.
// Given the arcs in reverse it builds from the end, with time counted from
// there.
func (p *pass) serial(list, start []int32, before *arcs) int32 {
	if p.words == 1 {
		return p.one(list, start, before)
	}
	return p.many(list, start, before)
}

// one is the pass for networks whose lanes fit into one word.
func (p *pass) one(list, start []int32, before *arcs) int32 {
	free, guard := p.free, p.guard[0]
	idle := free[:p.dirty]
	for t := range idle {
		idle[t] = p.full[0]
	}
	makespan := int32(0)
	for _, i := range list {
		t := int32(0)
		for _, j := range before.of(i) {
			t = max(t, start[j]+p.duration[j])
		}
		length, need := p.duration[i], p.need[i]
		if need != 0 {
			t = earliest(free, t, length, need, guard)
			for u, end := t, t+length; u < end; u++ {
				free[u] -= need
			}
		}
		start[i] = t
		makespan = max(makespan, t+length)
	}
	p.dirty = makespan
	return makespan
}

// earliest returns the first time from t on from which length periods have
// room for the need. Each window is searched from its end, so that a period
// without room moves the window past it at once; periods known to have room
// are not looked at again.
func earliest(free []uint64, t, length int32, need, guard uint64) int32 {
	known := t // periods from the last clash up to here have room
	for {
		end := t + length
		u := end - 1
		for u >= known && (free[u]-need)&guard == guard {
			u--
		}
		if u < known {
			return t
		}
		t, known = u+1, end
	}
}

// many is the pass for any number of words.
func (p *pass) many(list, start []int32, before *arcs) int32 {
	words := int32(p.words)
	for t := range p.dirty {
		copy(p.free[t*words:], p.full)
	}
	makespan := int32(0)
	for _, i := range list {
		t := int32(0)
		for _, j := range before.of(i) {
			t = max(t, start[j]+p.duration[j])
		}
		length := p.duration[i]
		need := p.need[i*words : (i+1)*words]
		for u := t + length - 1; u >= t; u-- {
			if !p.room(u, need) {
				t = u + 1
				u = t + length
			}
		}
		for u := t; u < t+length; u++ {
			for w := range words {
				p.free[u*words+w] -= need[w]
			}
		}
		start[i] = t
		makespan = max(makespan, t+length)
	}
	p.dirty = makespan
	return makespan
}

func (p *pass) room(t int32, need []uint64) bool {
	base := t * int32(p.words)
	for w, n := range need {
		if (p.free[base+int32(w)]-n)&p.guard[w] != p.guard[w] {
			return false
		}
	}
	return true
}
