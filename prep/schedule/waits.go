package schedule

import (
	"cmp"
	"slices"
)

// nightGrain is the width in minutes of the table of spans.
const nightGrain = 15

// waits says how long a task waits at least before its start, and how long what
// comes behind it takes, with all people at hand. Tasks of one group never
// overlap, so what a task waits for in its own group goes one after the other.
type waits struct {
	*model
	ready []int // earliest start, by number
	clock workClock
	spans []int // elapsed minutes that some working minutes take at least, by nightGrain

	// Of each task of the bundle looked at last, up to the finish of its first:
	tail  []int // elapsed minutes of the longest chain behind its finish
	quiet []int // working minutes of its group that must come after it
}

func newWaits(m *model, earliest []int) *waits {
	n := len(m.Tasks)
	w := &waits{model: m, ready: make([]int, n), tail: make([]int, n), quiet: make([]int, n), clock: newWorkClock(m.anybody(), m.ShiftApart)}
	w.spanTable()
	ancestors := m.ancestors()
	for i := range m.Tasks {
		w.ready[i] = m.readyAfter(i, earliest)
		if work := m.groupWork(i, ancestors[i]); work > 0 && work <= w.clock.total() {
			w.ready[i] = max(w.ready[i], w.clock.finish(work))
		}
	}
	return w
}

// look fills tail and quiet for a bundle, whose first task waits for all others.
func (w *waits) look(bundle []int) {
	within := map[int][]int{} // what waits for a task, directly or not
	in := map[int]bool{}
	for _, i := range bundle {
		in[i] = true
		w.tail[i], w.quiet[i] = 0, 0
	}
	var visit func(i int) []int
	visit = func(i int) []int {
		if all, ok := within[i]; ok {
			return all
		}
		var all []int
		for _, j := range w.next[i] {
			if !in[j] {
				continue
			}
			all = append(append(all, j), visit(j)...)
			for _, l := range w.Tasks[j].After {
				if l.Pred == i {
					w.tail[i] = max(w.tail[i], l.Lag+w.Tasks[j].Duration+w.tail[j])
				}
			}
		}
		slices.Sort(all)
		within[i] = slices.Compact(all)
		w.quiet[i] = w.groupWork(i, within[i])
		return within[i]
	}
	for _, i := range bundle {
		visit(i)
	}
}

// ancestors lists, for each task, all that it waits for, directly or not.
func (m *model) ancestors() [][]int {
	all := make([][]int, len(m.Tasks))
	for _, i := range m.topological(nil) {
		for _, l := range m.Tasks[i].After {
			all[i] = append(append(all[i], l.Pred), all[l.Pred]...)
		}
		slices.Sort(all[i])
		all[i] = slices.Compact(all[i])
	}
	return all
}

// groupWork adds up the minutes of those of some tasks on which people work and
// that never overlap with task i.
func (m *model) groupWork(i int, some []int) int {
	work := 0
	for _, j := range some {
		if m.sameGroup(i, j) {
			work += m.Tasks[j].Duration
		}
	}
	return work
}

// sameGroup reports whether a person works on both tasks, never at once.
func (m *model) sameGroup(i, j int) bool {
	a, b := &m.Tasks[i], &m.Tasks[j]
	return a.Group != None && a.Group == b.Group && b.Skill != None && a.Skill != None
}

// anybody returns the hours in which at least one worker is there.
func (m *model) anybody() Calendar {
	var all Calendar
	for _, w := range m.Workers {
		all = append(all, w.Hours...)
	}
	slices.SortFunc(all, func(a, b Interval) int { return cmp.Compare(a.From, b.From) })
	var out Calendar
	for _, v := range all {
		if last := len(out) - 1; last >= 0 && v.From <= out[last].To {
			out[last].To = max(out[last].To, v.To)
		} else {
			out = append(out, v)
		}
	}
	return out
}

// spanTable fills spans for up to two weeks of working minutes.
func (w *waits) spanTable() {
	most := min(w.clock.total(), 80*60)
	for minutes := 0; minutes <= most; minutes += nightGrain {
		least := minutes
		if minutes > 0 {
			least = 1 << 60
			for i, v := range w.clock.spans {
				// The shortest stretch begins where somebody comes or ends where all go.
				if from := w.clock.worked[i] + minutes; from <= w.clock.total() {
					least = min(least, w.clock.finish(from)-v.From)
				}
				if to := w.clock.worked[i+1] - minutes; to >= 0 {
					least = min(least, v.To-w.clock.start(to))
				}
			}
		}
		w.spans = append(w.spans, least)
	}
}

// span returns the elapsed minutes that some working minutes take at least.
func (w *waits) span(minutes int) int {
	if len(w.spans) == 0 {
		return minutes
	}
	k := min(minutes/nightGrain, len(w.spans)-1)
	return w.spans[k] + minutes - k*nightGrain
}

// alone returns the earliest finish of the first task of the bundle looked at,
// which waits for the others: those of one group go one after the other.
func (w *waits) alone(bundle []int) float64 {
	last := bundle[0]
	best := w.earliestAlone(last)
	var tails []int
	for _, i := range bundle[1:] {
		tails = append(tails, w.rest(i))
	}
	slices.Sort(tails)
	byReady := slices.Clone(bundle[1:])
	slices.SortStableFunc(byReady, func(a, b int) int { return cmp.Compare(w.ready[a], w.ready[b]) })
	for _, least := range slices.Compact(tails) {
		end := map[int]int{} // of each group, in working minutes
		for _, i := range byReady {
			t := &w.Tasks[i]
			if w.rest(i) < least || t.Duration == 0 || t.Skill == None || t.Group == None || w.reasons[i] != "" {
				continue
			}
			worked := max(end[t.Group], w.clock.at(w.ready[i])) + t.Duration
			end[t.Group] = worked
			if worked <= w.clock.total() {
				best = max(best, w.clock.finish(worked)+least)
			}
		}
	}
	return float64(min(best, w.horizon))
}

// earliestAlone is the finish of a task that starts as soon as it is ready.
func (w *waits) earliestAlone(i int) int { return min(w.ready[i]+w.Tasks[i].Duration, w.horizon) }

// rest is the elapsed time that must pass after a task's finish.
func (w *waits) rest(i int) int { return max(w.tail[i], w.span(w.quiet[i])) }

// behind returns the least time from the mean moment at which some tasks of the
// bundle looked at are worked on to the finish of its first. Counted from that
// finish backwards each minute of work has its place, tasks of one group one
// after the other: in working minutes, of which spans of elapsed time follow, or
// in elapsed minutes, in which chains and lags are known.
func (w *waits) behind(tasks []int) float64 {
	inWork := w.places(tasks, func(i int) int { return w.quiet[i] }, w.span)
	elapsed := w.places(tasks, w.rest, func(minutes int) int { return minutes })
	return max(inWork, elapsed)
}

// places returns the mean of the places of all minutes of work, where each task
// goes as near to the end as from allows.
func (w *waits) places(tasks []int, from func(i int) int, span func(int) int) float64 {
	byFrom := slices.Clone(tasks)
	slices.SortStableFunc(byFrom, func(a, b int) int { return cmp.Compare(from(a), from(b)) })
	sum, work := 0.0, 0
	end := map[int]int{} // of each group
	for _, i := range byFrom {
		t := &w.Tasks[i]
		begin := from(i)
		if t.Group != None {
			begin = max(begin, end[t.Group])
			end[t.Group] = begin + t.Duration
		}
		for k := 0; k < t.Duration; k += nightGrain {
			width := min(nightGrain, t.Duration-k)
			sum += float64(width) * (float64(span(begin+k)) + float64(width)/2)
		}
		work += t.Duration
	}
	return sum / float64(work)
}
