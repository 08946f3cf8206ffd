package schedule

import (
	"cmp"
	"slices"
)

// poolShares is a pool's part in a split of the weights.
type poolShares struct {
	*pool
	pieces []piece
	tasks  [][]int   // of each claim
	work   []float64 // minutes of each claim
	share  []float64 // of each claim's weight
	finish []float64 // of each claim, from which its weight is bounded
	behind []float64 // of each claim: from the mean time of its work to its finish at least

	rank []int // scratch: pieces by weight for work
	turn []int // place of each claim in the order by weight for work
	heap heap
	left []float64
}

// piece is the work of one task.
type piece struct {
	claim   int
	release float64 // minutes that the pool can have worked before it may begin
	work    float64
}

// newPoolShares reports false where the hours do not suffice for the work after
// its releases.
func newPoolShares(m *model, p *pool, w *waits, owner []int, claims int) (poolShares, bool) {
	s := poolShares{
		pool: p, tasks: make([][]int, claims), work: make([]float64, claims), share: make([]float64, claims),
		finish: make([]float64, claims), behind: make([]float64, claims), turn: make([]int, claims),
	}
	for i, t := range m.Tasks {
		if v := owner[i]; v != None && p.needs[i] {
			s.pieces = append(s.pieces, piece{v, p.at(w.ready[i]), float64(t.Duration)})
			s.work[v] += float64(t.Duration)
			s.tasks[v] = append(s.tasks[v], i)
		}
	}
	slices.SortStableFunc(s.pieces, func(a, b piece) int { return cmp.Compare(a.release, b.release) })
	end := 0.0
	for _, piece := range s.pieces {
		end = max(end, piece.release) + piece.work
	}
	s.left = make([]float64, len(s.pieces))
	s.rank = make([]int, 0, claims)
	s.heap.before = func(a, b int) bool {
		va, vb := s.turn[s.pieces[a].claim], s.turn[s.pieces[b].claim]
		return va < vb || va == vb && a < b
	}
	return s, len(s.pieces) > 0 && end <= float64(p.done[len(p.done)-1])
}

// claim takes what must come behind a claim's work, whose bundle has been looked
// at.
func (s *poolShares) claim(v int, w *waits) {
	if len(s.tasks[v]) > 0 {
		s.behind[v] = w.behind(s.tasks[v])
	}
}

// run lets the pool work, always on the released piece of the most weight for
// work.
func (s *poolShares) run(claims []claim) {
	s.order(claims)
	for v, work := range s.work {
		if work > 0 {
			s.finish[v] = 0
		}
	}
	for k, p := range s.pieces {
		s.left[k] = p.work
	}
	s.heap.items = s.heap.items[:0]
	now, next := 0.0, 0
	area := s.timeWorked(0)
	for next < len(s.pieces) || len(s.heap.items) > 0 {
		if len(s.heap.items) == 0 && s.pieces[next].release > now {
			now = s.pieces[next].release
			area = s.timeWorked(now)
		}
		for next < len(s.pieces) && s.pieces[next].release <= now {
			s.heap.push(next)
			next++
		}
		k := s.heap.items[0]
		until := now + s.left[k]
		done := next == len(s.pieces) || until <= s.pieces[next].release
		if !done {
			until = s.pieces[next].release
		}
		to := s.timeWorked(until)
		s.finish[s.pieces[k].claim] += to - area
		s.left[k] -= until - now
		now, area = until, to
		if done {
			s.heap.pop()
		}
	}
	for v, work := range s.work {
		if work > 0 {
			s.finish[v] = s.finish[v]/work + s.behind[v]
		}
	}
}

// order gives each claim with work its turn.
func (s *poolShares) order(claims []claim) {
	s.rank = s.rank[:0]
	for v, work := range s.work {
		if work > 0 {
			s.rank = append(s.rank, v)
		}
	}
	pull := func(v int) float64 {
		return s.share[v] * (claims[v].weight + claims[v].hurry*claims[v].late) / s.work[v]
	}
	slices.SortStableFunc(s.rank, func(a, b int) int { return cmp.Compare(pull(b), pull(a)) })
	for turn, v := range s.rank {
		s.turn[v] = turn
	}
}
