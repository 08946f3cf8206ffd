package project

import "math/bits"

const maxCapacity = 1<<31 - 1

// network is a project made ready for the passes. Dummy ends, which take no
// time and wait for nothing or let nothing wait, are left out.
type network struct {
	task     []int   // number in the project
	duration []int32 // by own number, as all below
	before   arcs
	after    arcs
	horizon  int32 // sum of durations

	// All resources of a period are kept side by side in lanes of one or more
	// words, each lane topped by a guard bit. Subtracting a demand from the
	// free capacity clears a guard exactly where a lane runs short, so one
	// subtraction tests all lanes of a word.
	words int
	need  []uint64 // words for each task
	full  []uint64 // words: free capacity of an idle period, guards set
	guard []uint64

	demands  [][]int // of the project, by project number
	capacity []int64

	people int
	able   arcs // people who may do each task
}

func (net *network) demand(i int32, resource int) int64 {
	return int64(net.demands[net.task[i]][resource])
}

// arcs lists neighbours of all tasks in one slice.
type arcs struct {
	from []int32 // where the neighbours of task i begin; one more than tasks
	to   []int32
}

func (a *arcs) of(i int32) []int32 { return a.to[a.from[i]:a.from[i+1]] }

func newArcs(n int, pairs [][2]int32) arcs {
	a := arcs{from: make([]int32, n+1), to: make([]int32, len(pairs))}
	for _, p := range pairs {
		a.from[p[0]+1]++
	}
	for i := range n {
		a.from[i+1] += a.from[i]
	}
	next := append([]int32(nil), a.from...)
	for _, p := range pairs {
		a.to[next[p[0]]] = p[1]
		next[p[0]]++
	}
	return a
}

func newNetwork(p Project) *network {
	net := network{demands: p.Demands}
	for _, c := range p.Capacities {
		net.capacity = append(net.capacity, int64(c))
	}
	hasBefore := make([]bool, len(p.Durations))
	for _, successors := range p.Successors {
		for _, s := range successors {
			hasBefore[s] = true
		}
	}
	number := make([]int32, len(p.Durations))
	for _, i := range p.topological() {
		number[i] = -1
		if p.Durations[i] == 0 && (!hasBefore[i] || len(p.Successors[i]) == 0) {
			continue
		}
		number[i] = int32(len(net.task))
		net.task = append(net.task, i)
		net.duration = append(net.duration, int32(p.Durations[i]))
		net.horizon += int32(p.Durations[i])
	}
	var forward, backward [][2]int32
	for _, i := range net.task {
		for _, s := range p.Successors[i] {
			if a, b := number[i], number[s]; b >= 0 {
				forward = append(forward, [2]int32{a, b})
				backward = append(backward, [2]int32{b, a})
			}
		}
	}
	net.after = newArcs(len(net.task), forward)
	net.before = newArcs(len(net.task), backward)
	var able [][2]int32
	for k, i := range net.task {
		for _, w := range p.able(i) {
			able = append(able, [2]int32{int32(k), int32(w)})
		}
	}
	net.people, net.able = p.People, newArcs(len(net.task), able)
	net.pack(p)
	return &net
}

// pack lays the resources out in lanes.
func (net *network) pack(p Project) {
	type lane struct {
		word  int
		shift int
	}
	lanes := make([]lane, len(p.Capacities))
	used := 64
	for r, c := range p.Capacities {
		width := bits.Len(uint(c)) + 1
		if used+width > 64 {
			net.full = append(net.full, 0)
			net.guard = append(net.guard, 0)
			used = 0
		}
		w := len(net.full) - 1
		lanes[r] = lane{w, used}
		top := uint64(1) << (used + width - 1)
		net.guard[w] |= top
		net.full[w] |= top | uint64(c)<<used
		used += width
	}
	net.words = max(len(net.full), 1)
	if len(net.full) == 0 {
		net.full, net.guard = []uint64{0}, []uint64{0}
	}
	net.need = make([]uint64, len(net.task)*net.words)
	for k, i := range net.task {
		if p.Durations[i] == 0 {
			continue
		}
		for r, need := range p.Demands[i] {
			net.need[k*net.words+lanes[r].word] |= uint64(need) << lanes[r].shift
		}
	}
}
