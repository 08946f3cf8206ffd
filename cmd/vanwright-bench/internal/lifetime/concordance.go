package lifetime

import (
	"cmp"
	"errors"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// Concordance is the share of comparable pairs in which the one with the higher
// risk ended first; pairs of equal risk count half. A pair is comparable when
// the shorter of its times is an event, or when both times are equal and just
// one of them is. 0.5 is no better than chance.
//
// It needs len(times) log len(times) steps, and errs where no pair is comparable.
func Concordance(times []float64, events []bool, risk []float64) (float64, error) {
	levels := slices.Clone(risk)
	slices.Sort(levels)
	levels = slices.Compact(levels)
	later := make(tally, len(levels)+1)

	order := make([]int, len(times))
	for i := range order {
		order[i] = i
	}
	// By falling time, the censored before the events of the same time: the tally
	// then holds the rows that outlived the event that is judged.
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(times[b], times[a]), data.FalseFirst(events[a], events[b]), cmp.Compare(a, b))
	})
	var right, equal, all, total float64
	for from := 0; from < len(order); {
		to := from
		for to < len(order) && times[order[to]] == times[order[from]] && events[order[to]] == events[order[from]] {
			to++
		}
		for _, i := range order[from:to] {
			if !events[i] {
				continue
			}
			level, _ := slices.BinarySearch(levels, risk[i])
			below, upTo := later.sum(level), later.sum(level+1)
			right += below
			equal += upTo - below
			all += total
		}
		for _, i := range order[from:to] {
			level, _ := slices.BinarySearch(levels, risk[i])
			later.add(level, 1)
			total++
		}
		from = to
	}
	if all == 0 {
		return 0, errors.New("concordance: no two rows can be compared")
	}
	return (right + equal/2) / all, nil
}

// tally is a Fenwick tree: running sums over levels in logarithmic time.
type tally []float64

func (t tally) add(level int, n float64) {
	for i := level + 1; i < len(t); i += i & -i {
		t[i] += n
	}
}

// sum is the weight at the first n levels.
func (t tally) sum(n int) float64 {
	s := 0.0
	for i := n; i > 0; i -= i & -i {
		s += t[i]
	}
	return s
}
