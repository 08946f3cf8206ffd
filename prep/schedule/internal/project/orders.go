package project

// orders is a schedule of a disjunctive project, held as the order of the users
// of each resource: the disjunctive graph with all its edges directed. The
// place of a task on one of its resources is a slot.
type orders struct {
	*network
	slots      arcs    // resources of each task; the index into to is the slot
	prev, next []int32 // by slot: the neighbour on the resource, or -1
	first      []int32 // by resource: its first user, or -1
	last       []int32 // by resource, for load

	// A person is a resource too, numbered after the others. Who does an
	// task can change, so the resource of this slot does.
	hands []int32 // by task: the slot of its person, or -1 where no person is needed

	list  []int32 // an order of all tasks that the graph allows
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
	hands := make([]int32, n)
	for i := range int32(n) {
		for r := range net.capacity {
			if net.uses(i, r) {
				pairs = append(pairs, [2]int32{i, int32(r)})
			}
		}
		hands[i] = -1
		if able := net.able.of(i); len(able) > 0 {
			hands[i] = int32(len(pairs))
			pairs = append(pairs, [2]int32{i, net.person(able[0])})
		}
	}
	return &orders{
		network: net,
		hands:   hands,
		slots:   newArcs(n, pairs),
		prev:    make([]int32, len(pairs)),
		next:    make([]int32, len(pairs)),
		first:   make([]int32, len(net.capacity)+net.people),
		last:    make([]int32, len(net.capacity)+net.people),
		list:    make([]int32, n),
		place:   make([]int32, n),
		head:    make([]int32, n),
		tail:    make([]int32, n),
		moved:   make([]bool, n),
		spare:   make([]int32, n),
		fresh:   make([]int32, n),
	}
}

// person returns the resource that stands for a person.
func (net *network) person(w int32) int32 { return int32(len(net.capacity)) + w }

// load takes the orders from a list that holds each task after those it
// waits for, and from who does each, and computes the schedule. people holds
// resources; where no person is needed it says nothing.
func (o *orders) load(list, people []int32) {
	copy(o.list, list)
	for i, s := range o.hands {
		if s >= 0 {
			o.slots.to[s] = people[i]
		}
	}
	for r := range o.last {
		o.first[r], o.last[r] = -1, -1
	}
	for k, i := range o.list {
		o.place[i] = int32(k)
		for s := o.slots.from[i]; s < o.slots.from[i+1]; s++ {
			r := o.slots.to[s]
			o.prev[s], o.next[s] = o.last[r], -1
			if j := o.last[r]; j >= 0 {
				o.next[o.slot(j, r)] = i
			} else {
				o.first[r] = i
			}
			o.last[r] = i
		}
	}
	o.heads(0)
	o.tails(len(o.list) - 1)
}

// slot returns where a task keeps its neighbours on one of its resources.
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
