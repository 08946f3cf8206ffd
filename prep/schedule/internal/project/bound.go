package project

import (
	"cmp"
	"slices"
)

// Bounding by refutation takes time with the square or cube of the number of
// tasks, so beyond these sizes the cheaper bounds have to do.
const (
	maxPairs  = 2_000
	maxEnergy = 150
)

// lowerBound returns a makespan that no schedule goes below: the longest of
//
//   - the longest chain of durations;
//   - for each resource, the work of tasks with late heads and long
//     tails spread over its whole capacity, between that head and that tail;
//   - the smallest makespan that refuted cannot rule out.
func lowerBound(net *network) int32 {
	b := newBounds(net)
	lb := max(b.chain(), b.spread())
	if len(net.duration) > maxPairs {
		return lb
	}
	// Gallop to a makespan that is not ruled out, then halve the stretch.
	step := int32(1)
	for b.refuted(lb + step - 1) {
		lb += step
		step *= 2
	}
	low, high := lb, lb+step-1
	for low < high {
		if mid := (low + high) / 2; b.refuted(mid) {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low
}

// bounds holds the time windows of the tasks: head is the earliest
// start, tail the least time from the finish to the end of the project.
type bounds struct {
	*network
	head, tail []int32
	pairs      [][2]int32 // cannot run at once, and either may come first
}

func newBounds(net *network) *bounds {
	n := len(net.duration)
	b := &bounds{network: net, head: make([]int32, n), tail: make([]int32, n)}
	for i := range int32(n) {
		for _, j := range net.before.of(i) {
			b.head[i] = max(b.head[i], b.head[j]+net.duration[j])
		}
	}
	for i := int32(n) - 1; i >= 0; i-- {
		for _, j := range net.after.of(i) {
			b.tail[i] = max(b.tail[i], b.tail[j]+net.duration[j])
		}
	}
	if n <= maxPairs {
		b.findPairs()
	}
	return b
}

// findPairs lists the pairs that together need more of a resource than there
// is and that no chain of precedence puts in order.
func (b *bounds) findPairs() {
	n := int32(len(b.duration))
	follows := make([][]bool, n)
	for i := n - 1; i >= 0; i-- {
		follows[i] = make([]bool, n)
		for _, j := range b.after.of(i) {
			follows[i][j] = true
			for k, f := range follows[j] {
				follows[i][k] = follows[i][k] || f
			}
		}
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			if !follows[i][j] && !follows[j][i] && b.clash(i, j) {
				b.pairs = append(b.pairs, [2]int32{i, j})
			}
		}
	}
}

// clash reports whether two tasks need more together than there is. One
// that takes no time may fall into the middle of any other.
func (b *bounds) clash(i, j int32) bool {
	if b.duration[i] == 0 || b.duration[j] == 0 {
		return false
	}
	for r, capacity := range b.capacity {
		if b.demand(i, r)+b.demand(j, r) > capacity {
			return true
		}
	}
	return false
}

// chain is the length of the longest chain.
func (b *bounds) chain() int32 {
	longest := int32(0)
	for i, d := range b.duration {
		longest = max(longest, b.head[i]+d+b.tail[i])
	}
	return longest
}

// spread is the bound by resource: tasks whose head is at least h and
// tail at least q fit between h and q only if their work does.
func (b *bounds) spread() int32 {
	order := make([]int, len(b.duration))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(b.tail[j], b.tail[i]) })
	heads := slices.Clone(b.head)
	slices.Sort(heads)
	best := int64(0)
	for _, h := range slices.Compact(heads) {
		for r, capacity := range b.capacity {
			work := int64(0)
			for _, i := range order {
				if b.head[i] < h || capacity == 0 {
					continue
				}
				work += b.demand(int32(i), r) * int64(b.duration[i])
				best = max(best, int64(h)+(work+capacity-1)/capacity+int64(b.tail[i]))
			}
		}
	}
	return int32(best)
}

// refuted reports whether no schedule can end by the given makespan. It
// narrows the windows by precedence and by pairs of which one order has become
// impossible, and then weighs the work that must lie in each interval against
// what a resource can do there (energetic reasoning). False means nothing.
func (b *bounds) refuted(makespan int32) bool {
	w := bounds{network: b.network, head: slices.Clone(b.head), tail: slices.Clone(b.tail), pairs: b.pairs}
	for {
		changed, dead := w.narrow(makespan)
		if dead {
			return true
		}
		if !changed {
			break
		}
	}
	return len(b.duration) <= maxEnergy && w.overloaded(makespan)
}

func (b *bounds) narrow(makespan int32) (changed, dead bool) {
	put := func(i, j int32) { // i comes before j
		if h := b.head[i] + b.duration[i]; h > b.head[j] {
			b.head[j] = h
			changed = true
		}
		if q := b.tail[j] + b.duration[j]; q > b.tail[i] {
			b.tail[i] = q
			changed = true
		}
	}
	for i := range int32(len(b.duration)) {
		for _, j := range b.after.of(i) {
			put(i, j)
		}
	}
	for _, p := range b.pairs {
		i, j := p[0], p[1]
		both := b.duration[i] + b.duration[j]
		first := b.head[i]+both+b.tail[j] <= makespan
		second := b.head[j]+both+b.tail[i] <= makespan
		switch {
		case !first && !second:
			return changed, true
		case first && !second:
			put(i, j)
		case second && !first:
			put(j, i)
		}
	}
	for i, d := range b.duration {
		if b.head[i]+d+b.tail[i] > makespan {
			return changed, true
		}
	}
	return changed, false
}

// overloaded looks at the intervals from any head to any deadline.
func (b *bounds) overloaded(makespan int32) bool {
	from := slices.Compact(slices.Sorted(slices.Values(b.head)))
	var until []int32
	for _, q := range b.tail {
		until = append(until, makespan-q)
	}
	slices.Sort(until)
	until = slices.Compact(until)
	inside := make([]int64, len(b.duration))
	for _, t1 := range from {
		for _, t2 := range until {
			if t2 <= t1 {
				continue
			}
			for i, d := range b.duration {
				left := b.head[i] + d - t1               // inside if started as early as can be
				right := t2 - (makespan - b.tail[i] - d) // and if as late
				inside[i] = int64(max(0, min(d, left, right, t2-t1)))
			}
			for r, capacity := range b.capacity {
				work := int64(0)
				for i, v := range inside {
					work += v * b.demand(int32(i), r)
				}
				if work > capacity*int64(t2-t1) {
					return true
				}
			}
		}
	}
	return false
}
