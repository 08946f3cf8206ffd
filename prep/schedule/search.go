package schedule

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// What the search was found to do best with.
const (
	pollEvery   = 64   // schedules between looks at the context
	leastRound  = 1000 // schedules of one cooling, at least
	roundByTask = 100  // and for each task
	warmth      = 0.01 // first rise accepted, against the gap shared among the bundles
	nearby      = 12   // places that a short move spans
)

// search improves an order of tasks, and for some of them the worker, by
// simulated annealing: it changes a little, decodes, and keeps what is better,
// or at first a little worse. Small problems are cooled many times over, large
// ones once.
type search struct {
	*decoder
	rng     *rand.Rand
	limit   int
	lower   int
	made    int
	now     solution
	next    solution
	best    solution
	fixed   int     // leading places of the order that never change
	bundles [][]int // tasks that are worth moving together
	choice  []int   // tasks outside the lead that several workers can do
	spot    []int   // place of each task in the order that is being changed
	marked  []bool
	trail   trail
	starts  []solution // to begin with; their values are not known
	told    []Told
}

// solution is what the decoder turns into a plan.
type solution struct {
	order []int
	force []int // the worker of each task; None: the one who finishes it first
	value int
}

func newSolution(n int) solution {
	return solution{order: make([]int, n), force: make([]int, n), value: math.MaxInt}
}

func (s *solution) copyFrom(t *solution) {
	copy(s.order, t.order)
	copy(s.force, t.force)
	s.value = t.value
}

func newSearch(d *decoder, limit int, seed uint64, lower int) *search {
	n := len(d.Tasks)
	s := &search{
		decoder: d,
		rng:     rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15)),
		limit:   limit,
		lower:   lower,
		now:     newSolution(n),
		next:    newSolution(n),
		best:    newSolution(n),
		fixed:   len(d.lead),
		bundles: d.bundles(),
		spot:    make([]int, n),
		marked:  make([]bool, n),
		trail:   newTrail(d.model),
	}
	for _, i := range d.lead {
		s.marked[i] = true
	}
	for i, able := range d.able {
		if len(able) > 1 && !s.marked[i] {
			s.choice = append(s.choice, i)
		}
	}
	return s
}

// startFrom adds an order to begin with. workers may be nil.
func (s *search) startFrom(order, workers []int) {
	x := newSolution(len(order))
	copy(x.order, order)
	for i := range x.force {
		x.force[i] = None
	}
	copy(x.force, workers)
	s.starts = append(s.starts, x)
}

// run leaves the best solution in s.best.
func (s *search) run(ctx context.Context) {
	for k := range s.starts {
		s.now.copyFrom(&s.starts[k])
		s.try(&s.now)
		if s.done(ctx) {
			return
		}
	}
	if len(s.Tasks)-s.fixed < 2 && len(s.choice) == 0 {
		return
	}
	round := max(leastRound, roundByTask*len(s.Tasks))
	for !s.done(ctx) {
		s.now.copyFrom(&s.best)
		s.trail.known = false
		s.cool(ctx, min(round, s.limit-s.made))
	}
}

func (s *search) done(ctx context.Context) bool {
	return s.made >= s.limit || s.best.value <= s.lower || s.made%pollEvery == 0 && ctx.Err() != nil
}

// try decodes a solution and remembers it if it is the best.
func (s *search) try(x *solution) {
	s.decode(x.order, x.force)
	s.note(x)
}

// note remembers the solution that was decoded if it is the best, with what its
// changes cost.
func (s *search) note(x *solution) {
	x.value = s.value
	for i := range s.told {
		x.value += s.told[i].change(s.place)
	}
	s.made++
	if x.value < s.best.value {
		s.best.copyFrom(x)
	}
}

// cool anneals from s.now during the given count of schedules.
func (s *search) cool(ctx context.Context, schedules int) {
	start := warmth * float64(s.best.value-s.lower+1) / float64(max(len(s.bundles), 1))
	for k := range schedules {
		left := 1 - float64(k)/float64(schedules)
		s.next.copyFrom(&s.now)
		s.change(&s.next)
		s.tryChange(&s.next)
		if float64(s.next.value-s.now.value) <= start*left*left*s.rng.ExpFloat64() {
			s.now, s.next = s.next, s.now
			s.trail.follow(s.place)
		}
		if s.done(ctx) {
			return
		}
	}
}

// change makes one random move. Most move a bundle: orders in which what
// belongs together stays together were found to lead to the best plans, and
// moves of single tasks to add the last few parts in a hundred.
func (s *search) change(x *solution) {
	free := len(x.order) - s.fixed
	switch dice := s.rng.IntN(10); {
	case dice < 1 && len(s.choice) > 0 || free < 2:
		s.reassign(x)
	case dice < 8 && len(s.bundles) > 1:
		s.moveBundle(x)
	default:
		s.shift(x, s.fixed+s.rng.IntN(free))
	}
}

// reassign names another worker for a task, or leaves the choice open.
func (s *search) reassign(x *solution) {
	if len(s.choice) == 0 {
		return
	}
	i := s.choice[s.rng.IntN(len(s.choice))]
	able := s.able[i]
	if k := s.rng.IntN(len(able) + 1); k < len(able) && x.force[i] != able[k] {
		x.force[i] = able[k]
	} else {
		x.force[i] = None
	}
}

// shift moves the task at place k to another place between the last that
// it waits for and the first that waits for it.
func (s *search) shift(x *solution, k int) {
	i := x.order[k]
	low, high := s.fixed, len(x.order)-1
	if s.rng.IntN(2) == 0 {
		low, high = max(low, k-nearby), min(high, k+nearby)
	}
	for place := k - 1; place >= low; place-- {
		if s.waitsFor(i, x.order[place]) {
			low = place + 1
		}
	}
	for place := k + 1; place <= high; place++ {
		if s.waitsFor(x.order[place], i) {
			high = place - 1
		}
	}
	to := low + s.rng.IntN(high-low+1)
	if to > k {
		copy(x.order[k:to], x.order[k+1:to+1])
	} else {
		copy(x.order[to+1:k+1], x.order[to:k])
	}
	x.order[to] = i
}

func (m *model) waitsFor(i, j int) bool {
	for _, l := range m.Tasks[i].After {
		if l.Pred == j {
			return true
		}
	}
	return false
}

// moveBundle takes a bundle out of the order and puts it back as a block
// elsewhere. What the block waits for moves before it where need be.
func (s *search) moveBundle(x *solution) {
	bundle := s.bundles[s.rng.IntN(len(s.bundles))]
	clear(s.marked)
	for _, i := range bundle {
		s.marked[i] = true
	}
	block := s.spot[:0]
	rest := len(x.order)
	for k := len(x.order) - 1; k >= s.fixed; k-- {
		if i := x.order[k]; s.marked[i] {
			block = append(block, i)
		} else {
			rest--
			x.order[rest] = i
		}
	}
	// The others now fill the order's end from rest on; the block is in
	// reverse. Move others down to the place where the block goes in.
	slices.Reverse(block)
	others := x.order[rest:]
	before := s.rng.IntN(len(others) + 1)
	moved := copy(x.order[s.fixed:], others[:before])
	copy(x.order[s.fixed+moved:], block)
	s.repair(x)
}

// repair puts each task after those it waits for, moving those forward.
func (s *search) repair(x *solution) {
	clear(s.marked)
	copy(s.spot, x.order)
	k := 0
	var put func(i int)
	put = func(i int) {
		if s.marked[i] {
			return
		}
		s.marked[i] = true
		for _, l := range s.Tasks[i].After {
			put(l.Pred)
		}
		x.order[k] = i
		k++
	}
	for _, i := range s.spot {
		put(i)
	}
}
