package schedule

// heap is a binary heap of task numbers. The standard library's needs an
// interface and boxes every number.
type heap struct {
	items  []int
	before func(a, b int) bool
}

func (h *heap) push(v int) {
	h.items = append(h.items, v)
	i := len(h.items) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !h.before(h.items[i], h.items[up]) {
			return
		}
		h.items[i], h.items[up] = h.items[up], h.items[i]
		i = up
	}
}

func (h *heap) pop() int {
	top := h.items[0]
	last := len(h.items) - 1
	h.items[0] = h.items[last]
	h.items = h.items[:last]
	for i := 0; ; {
		least := i
		for _, child := range [2]int{2*i + 1, 2*i + 2} {
			if child < last && h.before(h.items[child], h.items[least]) {
				least = child
			}
		}
		if least == i {
			return top
		}
		h.items[i], h.items[least] = h.items[least], h.items[i]
		i = least
	}
}
