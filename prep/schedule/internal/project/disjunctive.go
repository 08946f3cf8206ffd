package project

// maxDisjunctive is the most tasks for which machine orders are searched:
// the tabu memory takes four bytes for each pair of them.
const maxDisjunctive = 2_000

// disjunctive reports whether every resource is a machine: any two of its
// users need more of it together than there is, so that they run one after the
// other, as in a job shop and as with people. Then a schedule is settled by who
// does each task and by the order of the users of each resource and of
// each person's work. A project where nothing clashes is not one: no order is
// left to search.
func disjunctive(net *network) bool {
	n := int32(len(net.duration))
	if n > maxDisjunctive {
		return false
	}
	clash := len(net.able.to) > 0
	for r, capacity := range net.capacity {
		least, next := int64(0), int64(0) // the two smallest needs; 0: none yet
		for i := range n {
			switch need := net.demand(i, r); {
			case !net.uses(i, r):
			case least == 0 || need < least:
				least, next = need, least
			case next == 0 || need < next:
				next = need
			}
		}
		if next == 0 {
			continue
		}
		if least+next <= capacity {
			return false
		}
		clash = true
	}
	return clash
}

// Suits reports whether Solve takes a project: one with people must be
// disjunctive, as only the search on orders gives work to people.
func (p Project) Suits() bool {
	net := newNetwork(p)
	return len(net.able.to) == 0 || disjunctive(net)
}

// uses reports whether a task takes anything of a resource. What takes no
// time holds nothing.
func (net *network) uses(i int32, resource int) bool {
	return net.duration[i] > 0 && net.demand(i, resource) > 0
}
