package project

import (
	"context"
	"math"
	"math/rand/v2"
)

// What the search was found to do best with, on 120 instances of PSPLIB.
const (
	stallFactor  = 30 // children without a newcomer, for each member, before a new start
	leastMembers = 10
	mostMembers  = 200
)

// meanShifts is how many tasks of a child are moved on average: 7 of 30,
// 5 of 60, fewer still of more.
func meanShifts(tasks int) int { return 3 + 120/tasks }

// search is a genetic algorithm on task lists with two populations: one of
// schedules packed from the start, one packed from the end. A child of two
// members of one population is built in their own direction and then, in the
// order of its finishes, in the other, whose population it joins if it is
// better than the worst there. The second pass is half of the well-known
// forward-backward improvement; the other half is left to the next
// generation, which costs two passes a child instead of three.
type search struct {
	*pass
	lists
	progress
	shifts int // of a child, on average
	sides  [2]side
	child  member
}

func newSearch(net *network, p progress, rng *rand.Rand) *search {
	n := len(net.duration)
	s := &search{
		pass:     newPass(net),
		lists:    newLists(net, rng),
		progress: p,
		shifts:   meanShifts(max(n, 1)),
		child:    newMember(n),
	}
	members := int(math.Sqrt(float64(p.limit)) / 2)
	members = min(max(members, leastMembers), mostMembers)
	b := newBounds(net)
	s.sides[0] = newSide(members, n, &net.before, &net.after, b.tail)
	s.sides[1] = newSide(members, n, &net.after, &net.before, b.head)
	return s
}

func (s *search) run(ctx context.Context) {
	if len(s.duration) == 0 {
		s.best = 0
		return
	}
	for !s.done(ctx) {
		s.populate(ctx)
		idle := 0
		for turn := 0; idle < stallFactor*len(s.sides[0].members) && !s.done(ctx); turn = 1 - turn {
			idle++
			if s.breed(ctx, turn) {
				idle = 0
			}
		}
	}
}

// populate fills both populations afresh: a random list that favours long
// tails, built forward, and the same turned round and built backward. The
// first two lists follow the rule itself, once through each scheme.
func (s *search) populate(ctx context.Context) {
	front, back := &s.sides[0], &s.sides[1]
	for k := range front.members {
		if s.done(ctx) {
			return
		}
		m, r := &front.members[k], &back.members[k]
		switch {
		case s.made == 0:
			s.byTail(m.list, front)
			s.build(m, front)
		case k == 1 && s.made == 2:
			s.parallel(front.tail, m.start)
			s.byStart(m.list, m.start)
			s.build(m, front)
		default:
			s.sample(m.list, front, k%2 == 0)
			s.build(m, front)
		}
		if s.done(ctx) {
			return
		}
		s.turn(r.list, m)
		s.build(r, back)
	}
}

// breed makes one child of two members of a side and offers it to the other.
func (s *search) breed(ctx context.Context, turn int) bool {
	from, to := &s.sides[turn], &s.sides[1-turn]
	a := from.pick(s.rng)
	b := from.pick(s.rng)
	if a == b {
		b = from.pick(s.rng)
	}
	c := &s.child
	s.cross(c.list, from.members[a].list, from.members[b].list)
	for range 1 + s.rng.IntN(2*s.shifts-1) {
		s.shift(c.list, s.rng.IntN(len(c.list)), from)
	}
	s.build(c, from)
	if s.done(ctx) {
		return false
	}
	s.turn(c.list, c)
	s.build(c, to)
	return to.join(c)
}

// build schedules a member's list in the direction of a side and then puts the
// list into the order of the starts.
func (s *search) build(m *member, d *side) {
	m.makespan = s.serial(m.list, m.start, d.before)
	s.made++
	if m.makespan < s.best {
		s.best = m.makespan
		for i, t := range m.start {
			if d == &s.sides[1] {
				t = m.makespan - t - s.duration[i]
			}
			s.bestStart[i] = t
		}
	}
	m.critical = 0
	for i, t := range m.start {
		if t+s.duration[i]+d.tail[i] >= m.makespan {
			m.critical++
		}
	}
	s.byStart(m.list, m.start)
}
