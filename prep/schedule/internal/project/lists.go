package project

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// lists holds the operators on task lists and the memory they share.
type lists struct {
	net    *network
	rng    *rand.Rand
	key    []int32
	spare  []int32
	count  []int32 // for sorting by counting
	mark   []bool
	ready  []int32
	waits  []int32
	weight []float64
}

func newLists(net *network, rng *rand.Rand) lists {
	n := len(net.duration)
	return lists{
		net:    net,
		rng:    rng,
		key:    make([]int32, n),
		spare:  make([]int32, n),
		count:  make([]int32, net.horizon+2),
		mark:   make([]bool, n),
		ready:  make([]int32, 0, n),
		waits:  make([]int32, n),
		weight: make([]float64, n),
	}
}

// sort writes the tasks of from into list by key, ties in their order.
// from and list must not share memory.
func (l *lists) sort(list, from, key []int32) {
	count := l.count[:slices.Max(key)+2]
	clear(count)
	for _, k := range key {
		count[k+1]++
	}
	for t := 1; t < len(count); t++ {
		count[t] += count[t-1]
	}
	for _, i := range from {
		list[count[key[i]]] = i
		count[key[i]]++
	}
}

// byStart puts a list into the order of the starts.
func (l *lists) byStart(list, start []int32) {
	copy(l.spare, list)
	l.sort(list, l.spare, start)
}

// turn writes the member's tasks into list by descending finish: the
// order in which the opposite direction builds the same schedule or one that
// ends no later. Ties keep the reverse of the member's order. The list may be
// the member's own.
func (l *lists) turn(list []int32, m *member) {
	for i, t := range m.start {
		l.key[i] = m.makespan - t - l.net.duration[i]
	}
	copy(l.spare, m.list)
	slices.Reverse(l.spare)
	l.sort(list, l.spare, l.key)
}

// byTail lists the tasks by descending tail, their own time included.
func (l *lists) byTail(list []int32, d *side) {
	slices.SortStableFunc(list, func(a, b int32) int {
		return cmp.Compare(d.tail[b]+l.net.duration[b], d.tail[a]+l.net.duration[a])
	})
}

// sample lists the tasks at random, each step one of those whose
// predecessors are listed, with odds by how much longer its tail is than the
// shortest among them, or by the square of that.
func (l *lists) sample(list []int32, d *side, square bool) {
	l.ready = l.ready[:0]
	for i := range l.waits {
		l.waits[i] = int32(len(d.before.of(int32(i))))
		if l.waits[i] == 0 {
			l.ready = append(l.ready, int32(i))
		}
	}
	for k := range list {
		e := l.draw(d.tail, square)
		i := l.ready[e]
		l.ready[e] = l.ready[len(l.ready)-1]
		l.ready = l.ready[:len(l.ready)-1]
		list[k] = i
		for _, j := range d.after.of(i) {
			if l.waits[j]--; l.waits[j] == 0 {
				l.ready = append(l.ready, j)
			}
		}
	}
}

func (l *lists) draw(tail []int32, square bool) int {
	shortest := tail[l.ready[0]]
	for _, i := range l.ready {
		shortest = min(shortest, tail[i])
	}
	total := 0.0
	for e, i := range l.ready {
		odds := float64(tail[i]-shortest) + 1
		if square {
			odds *= odds
		}
		l.weight[e] = odds
		total += odds
	}
	x := l.rng.Float64() * total
	for e := range l.ready {
		if x -= l.weight[e]; x < 0 {
			return e
		}
	}
	return len(l.ready) - 1
}

// cross writes a child of two lists: the places outside a random stretch in
// the order of a, those inside in the order of b (two-point crossover). It
// keeps every order that both lists keep, so precedence too.
func (l *lists) cross(child, a, b []int32) {
	n := len(child)
	from := l.rng.IntN(n)
	to := from + 1 + l.rng.IntN(n-from)
	clear(l.mark)
	k := copy(child, a[:from])
	for _, i := range a[:from] {
		l.mark[i] = true
	}
	for _, i := range b {
		if k == to {
			break
		}
		if !l.mark[i] {
			l.mark[i] = true
			child[k] = i
			k++
		}
	}
	for _, i := range a {
		if !l.mark[i] {
			child[k] = i
			k++
		}
	}
}

// shift moves the task at place k to a random place between its last
// predecessor and its first successor in the list.
func (l *lists) shift(list []int32, k int, d *side) {
	i := list[k]
	low, high := k, k
	for low > 0 && !slices.Contains(d.before.of(i), list[low-1]) {
		low--
	}
	for high+1 < len(list) && !slices.Contains(d.after.of(i), list[high+1]) {
		high++
	}
	to := low + l.rng.IntN(high-low+1)
	if to > k {
		copy(list[k:to], list[k+1:to+1])
	} else {
		copy(list[to+1:k+1], list[to:k])
	}
	list[to] = i
}
