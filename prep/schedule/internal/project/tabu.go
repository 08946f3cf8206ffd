package project

import (
	"context"
	"math"
	"math/rand/v2"
)

// What the tabu search was found to do best with, on the job shop FT10.
const (
	elites      = 5
	patience    = 10 // schedules without a gain, for each task, that end a climb
	elitePauses = 25 // climbs without a newcomer among the elite before a new start
	leastTenure = 3  // turns for which a move may not be undone
	moreTenure  = 8  // and as many more as are drawn below this
)

// tabuSearch improves schedules of a disjunctive project by moves on a critical
// path: in the orders of resources and people, and from one person to another.
// It makes the move of the least estimate, for worse or better, that
// brings back no order it has given up of late (tabu). Climbs from random lists
// make an elite of a few; later climbs start from crossings of two of those,
// which lie between them.
//
// Each exact computation of a complete schedule counts as one; estimates of
// moves build none and are not counted.
//
// The moves are the known ones for the job shop, after Nowicki and Smutnicki
// (1996) and Balas and Vazacopoulos (1998); climbing from between two elite
// schedules is after the path relinking of Nowicki and Smutnicki (2005). All of
// them from memory.
type tabuSearch struct {
	*orders
	lists
	progress
	elite side
	begin []int32 // list a climb starts from
	hand  []int32 // and who does each task then, as a resource
	free  []int32 // by resource, for allot
	stall int     // schedules without a gain that end a climb
	local member  // best of the present climb
	until []int32 // by pair a, b: the turn up to which a may not be put before b again
	back  []int32 // by task and person: the turn up to which the person may not get it back
	now   int32
	path  []node
	open  []move
}

func newTabuSearch(net *network, p progress, rng *rand.Rand) *tabuSearch {
	n := len(net.duration)
	return &tabuSearch{
		orders:   newOrders(net),
		lists:    newLists(net, rng),
		progress: p,
		elite:    newSide(elites, n, &net.before, &net.after, newBounds(net).tail),
		begin:    make([]int32, n),
		hand:     make([]int32, n),
		free:     make([]int32, len(net.capacity)+net.people),
		stall:    patience * n,
		local:    newMember(n),
		until:    make([]int32, n*n),
		back:     make([]int32, n*net.people),
		path:     make([]node, 0, n),
		open:     make([]move, 0, 4*n),
	}
}

func (t *tabuSearch) run(ctx context.Context) {
	for !t.done(ctx) {
		t.populate(ctx)
		for idle := 0; idle < elitePauses && !t.done(ctx); idle++ {
			a := t.rng.IntN(elites)
			b := (a + 1 + t.rng.IntN(elites-1)) % elites
			t.cross(t.begin, t.elite.members[a].list, t.elite.members[b].list)
			for i := range t.hand {
				t.hand[i] = t.elite.members[a].people[i]
				if t.rng.IntN(2) == 0 {
					t.hand[i] = t.elite.members[b].people[i]
				}
			}
			t.climb(ctx)
			if t.elite.join(&t.local) {
				idle = -1
			}
		}
	}
}

// populate fills the elite afresh with the ends of climbs from random lists
// that favour long tails.
func (t *tabuSearch) populate(ctx context.Context) {
	for k := range t.elite.members {
		if t.done(ctx) {
			return
		}
		t.sample(t.begin, &t.elite, k%2 == 0)
		t.allot()
		t.climb(ctx)
		t.elite.members[k], t.local = t.local, t.elite.members[k]
	}
}

// climb goes from the first list from schedule to schedule until no gain comes
// for a while; the best is left in local.
func (t *tabuSearch) climb(ctx context.Context) {
	clear(t.until)
	clear(t.back)
	t.now = 0
	t.load(t.begin, t.hand)
	t.local.makespan = math.MaxInt32
	t.note()
	for idle := 0; idle < t.stall && !t.done(ctx) && t.moveOn(); idle++ {
		if t.note() {
			idle = 0
		}
	}
}

// note counts the present schedule and reports whether it is the best of the
// climb, which it then keeps.
func (t *tabuSearch) note() bool {
	t.made++
	makespan := t.makespan()
	if makespan < t.best {
		t.best = makespan
		copy(t.bestStart, t.head)
		for i, s := range t.hands {
			t.bestPerson[i] = -1
			if s >= 0 {
				t.bestPerson[i] = t.slots.to[s] - int32(len(t.capacity))
			}
		}
	}
	if makespan >= t.local.makespan {
		return false
	}
	t.local.makespan = makespan
	copy(t.local.list, t.list)
	copy(t.local.start, t.head)
	for i, s := range t.hands {
		if s >= 0 {
			t.local.people[i] = t.slots.to[s]
		}
	}
	t.local.critical = 0
	for i, h := range t.head {
		if h+t.tail[i] == makespan {
			t.local.critical++
		}
	}
	return true
}

// moveOn makes the best move: the one of the least estimate, ties drawn, among
// those that are not tabu or promise a new best; any if there is none. It
// reports false if the path has no move, which ends the climb.
func (t *tabuSearch) moveOn() bool {
	t.path = t.criticalPath(t.path[:0], t.makespan(), t.rng)
	t.open = t.moves(t.open[:0], t.path)
	t.now++
	pick, least, ties := -1, int32(math.MaxInt32), 0
	better := func(estimate int32) bool {
		if estimate > least {
			return false
		}
		if estimate < least {
			least, ties = estimate, 0
		}
		ties++
		return ties == 1 || t.rng.IntN(ties) == 0
	}
	for k, m := range t.open {
		if e := t.estimate(m); e <= least && (e < t.local.makespan || !t.tabu(m)) && better(e) {
			pick = k
		}
	}
	other, handOn := reassignment{}, false
	t.reassignments(t.path, func(m reassignment) {
		if (m.estimate < t.local.makespan || *t.banned(m.u, m.resource) < t.now) && better(m.estimate) {
			other, handOn = m, true
		}
	})
	switch {
	case handOn:
		*t.banned(other.u, t.slots.to[t.hands[other.u]]) = t.tenure()
		t.reassign(other)
		return true
	case len(t.open) == 0:
		return false
	case pick < 0:
		pick = t.rng.IntN(len(t.open))
	}
	t.forbid(t.open[pick])
	t.apply(t.open[pick])
	return true
}

// tenure draws the turn up to which a move made now may not be undone.
func (t *tabuSearch) tenure() int32 { return t.now + int32(leastTenure+t.rng.IntN(moreTenure)) }

// tabu reports whether a move brings back an order given up of late.
func (t *tabuSearch) tabu(m move) bool {
	for i := m.u; i != m.v; {
		next := t.next[t.slot(i, m.resource)]
		a, b := next, m.u // the order that the move would make
		if !m.behind {
			a, b = m.v, i
		}
		if *t.ban(a, b) >= t.now {
			return true
		}
		i = next
	}
	return false
}

// forbid bans the orders that a move is about to give up.
func (t *tabuSearch) forbid(m move) {
	until := t.tenure()
	for i := m.u; i != m.v; {
		next := t.next[t.slot(i, m.resource)]
		if m.behind {
			*t.ban(m.u, next) = until
		} else {
			*t.ban(i, m.v) = until
		}
		i = next
	}
}

// banned is the turn up to which a task may not go back to the person that a
// resource stands for.
func (t *tabuSearch) banned(i, resource int32) *int32 {
	return &t.back[int(i)*t.people+int(resource)-len(t.capacity)]
}

func (t *tabuSearch) ban(a, b int32) *int32 { return &t.until[int(a)*len(t.duration)+int(b)] }
