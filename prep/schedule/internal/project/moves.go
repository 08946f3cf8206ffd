package project

import "math/rand/v2"

// node is a task of a critical path, and the resource on which it follows
// the one before it in the path, or -1 where precedence alone ties them.
type node struct {
	task     int32
	resource int32
}

// criticalPath appends a longest chain of the graph to path, from its end to
// its beginning; where chains part, the branch is drawn.
func (o *orders) criticalPath(path []node, makespan int32, rng *rand.Rand) []node {
	at, ends := int32(-1), 0
	for i, h := range o.head {
		if h+o.duration[i] == makespan && o.duration[i] > 0 {
			if ends++; ends == 1 || rng.IntN(ends) == 0 {
				at = int32(i)
			}
		}
	}
	resource := int32(-1)
	for {
		from, ties := int32(-1), 0
		if o.head[at] > 0 {
			from, ties = o.drawLast(from, ties, at, o.before.of(at), rng)
			from, _ = o.drawLast(from, ties, at, o.prev[o.slots.from[at]:o.slots.from[at+1]], rng)
		}
		if from < 0 {
			return append(path, node{at, -1})
		}
		resource = o.tie(from, at, resource)
		path = append(path, node{at, resource})
		at = from
	}
}

// drawLast takes one of the tasks that finish as i starts into a running
// draw: from is the one drawn of the ties so far.
func (o *orders) drawLast(from int32, ties int, i int32, of []int32, rng *rand.Rand) (int32, int) {
	for _, j := range of {
		if j >= 0 && o.head[j]+o.duration[j] == o.head[i] {
			if ties++; ties == 1 || rng.IntN(ties) == 0 {
				from = j
			}
		}
	}
	return from, ties
}

// tie returns the resource on which a is right before b, the preferred one if
// it is among several, or -1.
func (o *orders) tie(a, b, preferred int32) int32 {
	found := int32(-1)
	for s := o.slots.from[b]; s < o.slots.from[b+1]; s++ {
		if o.prev[s] == a && (found < 0 || o.slots.to[s] == preferred) {
			found = o.slots.to[s]
		}
	}
	return found
}

// moves appends the moves of the blocks of a critical path: stretches that
// follow one another on one resource. Only a block whose first or last task
// changes can shorten the path, so each task of a block goes before its
// first and behind its last. The very first block of the path gains nothing at
// its front, the very last nothing at its end.
func (o *orders) moves(out []move, path []node) []move {
	for e := 0; e < len(path); {
		f := e
		for path[f].resource >= 0 && path[f].resource == path[e].resource {
			f++
		}
		if f > e {
			out = o.blockMoves(out, path[e:f+1], path[e].resource, f+1 == len(path), e == 0)
		}
		e = max(f, e+1)
	}
	return out
}

// blockMoves takes the block from its last task to its first.
func (o *orders) blockMoves(out []move, block []node, resource int32, opens, closes bool) []move {
	end := len(block) - 1
	first, last := block[end].task, block[0].task
	add := func(u, v int32, behind bool) {
		m := move{u, v, resource, behind}
		if o.allowed(m) {
			out = append(out, m)
		}
	}
	if end == 1 {
		if !(opens && closes) {
			add(first, last, true)
		}
		return out
	}
	if !closes {
		for _, s := range block[1:] {
			add(s.task, last, true)
		}
		add(first, last, false)
	}
	if !opens {
		for _, s := range block[:end] {
			if closes || s.task != last { // which is there already
				add(first, s.task, false)
			}
		}
	}
	return out
}
