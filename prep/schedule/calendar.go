package schedule

import (
	"fmt"
	"sort"
)

// Interval is the stretch of minutes [From, To).
type Interval struct {
	From, To int
}

// Calendar is a list of working intervals, sorted and disjoint, none empty and
// none before the origin. What lies outside is free time. It should reach
// well beyond the end of the work: what does not fit is not planned.
type Calendar []Interval

func (c Calendar) check() error {
	end := 0
	for i, v := range c {
		if v.From >= v.To {
			return fmt.Errorf("working interval %d: [%d, %d) is empty", i, v.From, v.To)
		}
		if v.From < end {
			return fmt.Errorf("working interval %d: starts at %d, before minute %d", i, v.From, end)
		}
		end = v.To
	}
	return nil
}

// workClock converts between elapsed time and minutes worked. Worked minutes
// make a worker's bookings plain intervals: nights and absences vanish.
type workClock struct {
	spans  []Interval
	worked []int // minutes worked before spans[i]; one more than spans
}

func newWorkClock(c Calendar) workClock {
	k := workClock{spans: c, worked: make([]int, len(c)+1)}
	for i, v := range c {
		k.worked[i+1] = k.worked[i] + v.To - v.From
	}
	return k
}

func (k *workClock) total() int { return k.worked[len(k.spans)] }

// at returns the minutes worked before time t.
func (k *workClock) at(t int) int {
	i := sort.Search(len(k.spans), func(i int) bool { return k.spans[i].To > t })
	if i == len(k.spans) {
		return k.total()
	}
	return k.worked[i] + max(0, t-k.spans[i].From)
}

// start returns the time at which worked minute w, below total, begins.
func (k *workClock) start(w int) int {
	i := sort.Search(len(k.spans), func(i int) bool { return k.worked[i+1] > w })
	return k.spans[i].From + w - k.worked[i]
}

// finish returns the time at which w minutes, 1 to total, have been worked.
func (k *workClock) finish(w int) int {
	i := sort.Search(len(k.spans), func(i int) bool { return k.worked[i+1] >= w })
	return k.spans[i].From + w - k.worked[i]
}
