package rcpsp

// orders is a schedule of a disjunctive project, held as the order of the users
// of each resource: the disjunctive graph with all its edges directed. The
// place of an activity on one of its resources is a slot.
type orders struct {
	*network
	slots      arcs    // resources of each activity; the index into to is the slot
	prev, next []int32 // by slot: the neighbour on the resource, or -1
	last       []int32 // by resource, for load

	list  []int32 // an order of all activities that the graph allows
	place []int32 // in list
	head  []int32 // earliest start
	tail  []int32 // longest way from the start to the end of the project, own time included

	moved []bool  // for delay and advance
	fresh []int32 // for estimate
	spare []int32 // for delay, advance and estimate
}

func newOrders(net *network) *orders {
	n := len(net.duration)
	var pairs [][2]int32
	for i := range int32(n) {
		for r := range net.capacity {
			if net.uses(i, r) {
				pairs = append(pairs, [2]int32{i, int32(r)})
			}
		}
	}
	return &orders{
		network: net,
		slots:   newArcs(n, pairs),
		prev:    make([]int32, len(pairs)),
		next:    make([]int32, len(pairs)),
		last:    make([]int32, len(net.capacity)),
		list:    make([]int32, n),
		place:   make([]int32, n),
		head:    make([]int32, n),
		tail:    make([]int32, n),
		moved:   make([]bool, n),
		spare:   make([]int32, n),
		fresh:   make([]int32, n),
	}
}

// load takes the orders from a list that holds each activity after those it
// waits for, and computes the schedule.
func (o *orders) load(list []int32) {
	copy(o.list, list)
	for r := range o.last {
		o.last[r] = -1
	}
	for k, i := range o.list {
		o.place[i] = int32(k)
		for s := o.slots.from[i]; s < o.slots.from[i+1]; s++ {
			r := o.slots.to[s]
			o.prev[s], o.next[s] = o.last[r], -1
			if j := o.last[r]; j >= 0 {
				o.next[o.slot(j, r)] = i
			}
			o.last[r] = i
		}
	}
	o.heads(0)
	o.tails(len(o.list) - 1)
}

// slot returns where an activity keeps its neighbours on one of its resources.
func (o *orders) slot(i, resource int32) int32 {
	s := o.slots.from[i]
	for o.slots.to[s] != resource {
		s++
	}
	return s
}

// heads recomputes the heads from a place in the list on.
func (o *orders) heads(from int) {
	for _, i := range o.list[from:] {
		h := int32(0)
		for _, j := range o.before.of(i) {
			h = max(h, o.head[j]+o.duration[j])
		}
		for _, j := range o.prev[o.slots.from[i]:o.slots.from[i+1]] {
			if j >= 0 {
				h = max(h, o.head[j]+o.duration[j])
			}
		}
		o.head[i] = h
	}
}

// tails recomputes the tails from a place in the list back.
func (o *orders) tails(from int) {
	for k := from; k >= 0; k-- {
		i := o.list[k]
		q := int32(0)
		for _, j := range o.after.of(i) {
			q = max(q, o.tail[j])
		}
		for _, j := range o.next[o.slots.from[i]:o.slots.from[i+1]] {
			if j >= 0 {
				q = max(q, o.tail[j])
			}
		}
		o.tail[i] = q + o.duration[i]
	}
}

func (o *orders) makespan() int32 {
	longest := int32(0)
	for i, h := range o.head {
		longest = max(longest, h+o.duration[i])
	}
	return longest
}
