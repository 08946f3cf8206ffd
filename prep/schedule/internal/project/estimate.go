package project

// estimate is the length of the longest way through the tasks that a move
// puts into a new order, with the heads before and the tails behind them as
// they are now. It builds no schedule.
func (o *orders) estimate(m move) int32 {
	r := m.resource
	ready := int32(0)
	if p := o.prev[o.slot(m.u, r)]; p >= 0 {
		ready = o.head[p] + o.duration[p]
	}
	row := o.spare[:0]
	if !m.behind {
		row = append(row, m.v)
	}
	for i := m.u; i != m.v; i = o.next[o.slot(i, r)] {
		if i != m.u || !m.behind {
			row = append(row, i)
		}
	}
	if m.behind {
		row = append(row, m.v, m.u)
	}
	return o.longest(row, ready, r, m)
}

// longest is the estimate for a row of tasks in their new order; ready is
// when the resource is free for the first.
func (o *orders) longest(row []int32, ready, resource int32, m move) int32 {
	after := int32(0)
	if s := o.next[o.slot(m.v, resource)]; s >= 0 {
		after = o.tail[s]
	}
	heads := o.fresh[:len(row)]
	for k, i := range row {
		for _, j := range o.before.of(i) {
			ready = max(ready, o.head[j]+o.duration[j])
		}
		for s := o.slots.from[i]; s < o.slots.from[i+1]; s++ {
			if j := o.prev[s]; j >= 0 && o.slots.to[s] != resource && j != m.u {
				ready = max(ready, o.head[j]+o.duration[j])
			}
		}
		heads[k] = ready
		ready += o.duration[i]
	}
	longest := int32(0)
	for k := len(row) - 1; k >= 0; k-- {
		i := row[k]
		for _, j := range o.after.of(i) {
			after = max(after, o.tail[j])
		}
		for s := o.slots.from[i]; s < o.slots.from[i+1]; s++ {
			if j := o.next[s]; j >= 0 && o.slots.to[s] != resource && j != m.v {
				after = max(after, o.tail[j])
			}
		}
		after += o.duration[i]
		longest = max(longest, heads[k]+after)
	}
	return longest
}
