package schedule

import (
	"fmt"
	"slices"
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
	// A search asks the clock millions of times: these give the first span
	// that can hold the answer, and the next one or two are looked at.
	byTime []int // by time over timeGrain: the first span that ends after
	byWork []int // by minutes worked over workGrain: the span in which they fall
	shift  []int // of each span: the minutes worked until the end of its shift
}

// A day and an hour and a bit: few spans begin within them.
const (
	timeGrain = 24 * 60
	workGrain = 64
)

func newWorkClock(c Calendar, shiftApart int) workClock {
	k := workClock{spans: c, worked: make([]int, len(c)+1)}
	work, end := 0, 0
	for _, v := range c {
		work, end = work+v.To-v.From, v.To
	}
	k.byTime, k.byWork = make([]int, 0, end/timeGrain+1), make([]int, 0, work/workGrain+1)
	for i, v := range c {
		k.worked[i+1] = k.worked[i] + v.To - v.From
		for len(k.byTime)*timeGrain < v.To {
			k.byTime = append(k.byTime, i)
		}
		for len(k.byWork)*workGrain < k.worked[i+1] {
			k.byWork = append(k.byWork, i)
		}
	}
	k.shift = make([]int, len(c))
	for i := range slices.Backward(c) {
		k.shift[i] = k.worked[i+1]
		if i+1 < len(c) && c[i+1].From-c[i].To <= shiftApart {
			k.shift[i] = k.shift[i+1]
		}
	}
	return k
}

// shiftEnd returns the minutes worked until the end of the shift in which worked
// minute w, below total, falls.
func (k *workClock) shiftEnd(w int) int { return k.shift[k.span(w)] }

// span returns the span in which worked minute w, below total, falls.
func (k *workClock) span(w int) int {
	i := k.byWork[w/workGrain]
	for k.worked[i+1] <= w {
		i++
	}
	return i
}

func (k *workClock) total() int { return k.worked[len(k.spans)] }

// at returns the minutes worked before time t.
func (k *workClock) at(t int) int {
	if len(k.spans) == 0 || t >= k.spans[len(k.spans)-1].To {
		return k.total()
	}
	i := k.byTime[t/timeGrain]
	for k.spans[i].To <= t {
		i++
	}
	return k.worked[i] + max(0, t-k.spans[i].From)
}

// start returns the time at which worked minute w, below total, begins.
func (k *workClock) start(w int) int {
	i := k.span(w)
	return k.spans[i].From + w - k.worked[i]
}

// finish returns the time at which w minutes, 1 to total, have been worked.
func (k *workClock) finish(w int) int { return k.start(w-1) + 1 }
