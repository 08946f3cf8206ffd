package project

import (
	"math/rand/v2"
	"slices"
)

// member is a schedule and the list it was built from, in the time of its
// side: on the second side start counts from the end of the project.
type member struct {
	list, start []int32
	people      []int32 // who does each task, as a resource; only where the project has people
	makespan    int32
	critical    int32 // tasks with no room before the makespan: fewer is nearer to a better one
}

func newMember(n int) member {
	m := member{list: make([]int32, n), start: make([]int32, n), people: make([]int32, n)}
	for i := range m.list {
		m.list[i] = int32(i)
	}
	return m
}

func (m *member) better(than *member) bool {
	if m.makespan != than.makespan {
		return m.makespan < than.makespan
	}
	return m.critical < than.critical
}

func (m *member) same(as *member) bool {
	return m.makespan == as.makespan && m.critical == as.critical && slices.Equal(m.start, as.start)
}

// side is a population with its direction in time.
type side struct {
	before, after *arcs
	tail          []int32 // time from a task's finish to the end at least
	members       []member
}

func newSide(members, n int, before, after *arcs, tail []int32) side {
	s := side{before: before, after: after, tail: tail}
	for range members {
		s.members = append(s.members, newMember(n))
	}
	return s
}

// pick returns the better of two random members.
func (s *side) pick(rng *rand.Rand) int {
	a, b := rng.IntN(len(s.members)), rng.IntN(len(s.members))
	if s.members[b].better(&s.members[a]) {
		return b
	}
	return a
}

// join takes the child in place of the worst member, unless it is no better or
// already there. The worst member's memory becomes the child's.
func (s *side) join(child *member) bool {
	worst := 0
	for k := range s.members {
		if s.members[k].same(child) {
			return false
		}
		if s.members[worst].better(&s.members[k]) {
			worst = k
		}
	}
	if !child.better(&s.members[worst]) {
		return false
	}
	s.members[worst], *child = *child, s.members[worst]
	return true
}
