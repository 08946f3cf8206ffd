package rcpsp

import (
	"context"
	"math"
	"math/rand/v2"
)

// What the tabu search was found to do best with, on the job shop FT10.
const (
	elites      = 5
	patience    = 10 // schedules without a gain, for each activity, that end a climb
	elitePauses = 25 // climbs without a newcomer among the elite before a new start
	leastTenure = 3  // turns for which a move may not be undone
	moreTenure  = 8  // and as many more as are drawn below this
)

// tabuSearch improves schedules of a disjunctive project by moves on a critical
// path. It makes the move of the least estimate, for worse or better, that
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
	first []int32 // list a climb starts from
	stall int     // schedules without a gain that end a climb
	local member  // best of the present climb
	until []int32 // by pair a, b: the turn up to which a may not be put before b again
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
		first:    make([]int32, n),
		stall:    patience * n,
		local:    newMember(n),
		until:    make([]int32, n*n),
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
			t.cross(t.first, t.elite.members[a].list, t.elite.members[b].list)
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
		t.sample(t.first, &t.elite, k%2 == 0)
		t.climb(ctx)
		t.elite.members[k], t.local = t.local, t.elite.members[k]
	}
}

// climb goes from the first list from schedule to schedule until no gain comes
// for a while; the best is left in local.
func (t *tabuSearch) climb(ctx context.Context) {
	clear(t.until)
	t.now = 0
	t.load(t.first)
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
	}
	if makespan >= t.local.makespan {
		return false
	}
	t.local.makespan = makespan
	copy(t.local.list, t.list)
	copy(t.local.start, t.head)
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
	if len(t.open) == 0 {
		return false
	}
	t.now++
	pick, least, ties := -1, int32(math.MaxInt32), 0
	for k, m := range t.open {
		e := t.estimate(m)
		if e > least || e >= t.local.makespan && t.tabu(m) {
			continue
		}
		if e < least {
			ties = 0
		}
		if ties++; ties == 1 || t.rng.IntN(ties) == 0 {
			pick, least = k, e
		}
	}
	if pick < 0 {
		pick = t.rng.IntN(len(t.open))
	}
	t.forbid(t.open[pick])
	t.apply(t.open[pick])
	return true
}

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
	until := t.now + int32(leastTenure+t.rng.IntN(moreTenure))
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

func (t *tabuSearch) ban(a, b int32) *int32 { return &t.until[int(a)*len(t.duration)+int(b)] }
