package data

import (
	"cmp"
	"slices"
	"strings"
	"sync"
)

// compareReadings orders a van's readings by checkpoint, position, day and
// line.
func compareReadings(a, b *Reading) int {
	if c := strings.Compare(a.Checkpoint, b.Checkpoint); c != 0 {
		return c
	}
	if c := strings.Compare(a.Position, b.Position); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(a.TakenOn, b.TakenOn), cmp.Compare(a.Source.Line, b.Source.Line))
}

// groupReadings gives each van its readings in order. Of readings of one point
// on one day the first in the file stays and the others are returned.
func groupReadings(pieces [][]Reading, workers int) (readings map[string][]Reading, twice []twiceRead) {
	vans, groups := byVan(pieces, func(r *Reading) string { return r.StockID })
	found := make([][]twiceRead, workersOr(workers))
	share := (len(groups) + len(found) - 1) / len(found)
	var wg sync.WaitGroup
	for i := range found {
		wg.Go(func() {
			var room []int
			for k := i * share; k < min((i+1)*share, len(groups)); k++ {
				room = sortReadings(groups[k], room)
				groups[k], found[i] = dropTwice(groups[k], found[i])
			}
		})
	}
	wg.Wait()
	readings = make(map[string][]Reading, len(vans))
	for i, id := range vans {
		readings[id] = groups[i]
	}
	twice = slices.Concat(found...)
	slices.SortFunc(twice, func(a, b twiceRead) int { return cmp.Compare(a.Source.Line, b.Source.Line) })
	return readings, twice
}

// sortReadings sorts the readings of a van, which are large, by sorting where
// they stand and then moving each once. room is for the places, to be passed on
// to the next call.
func sortReadings(rs []Reading, room []int) []int {
	from := room[:0] // of each place, the reading that belongs there
	for i := range rs {
		from = append(from, i)
	}
	slices.SortFunc(from, func(a, b int) int { return compareReadings(&rs[a], &rs[b]) })
	for i := range from {
		if from[i] == i {
			continue
		}
		// The readings that go where the next one stood form a ring.
		first, at := rs[i], i
		for from[at] != i {
			rs[at] = rs[from[at]]
			at, from[at] = from[at], at
		}
		rs[at], from[at] = first, at
	}
	return from
}

// dropTwice takes out of sorted readings those of a point and day that stand
// there already, and adds them to twice.
func dropTwice(rs []Reading, twice []twiceRead) ([]Reading, []twiceRead) {
	kept := 1
	for i := 1; i < len(rs); i++ {
		r, last := &rs[i], &rs[kept-1]
		if r.Checkpoint == last.Checkpoint && r.Position == last.Position && r.TakenOn == last.TakenOn {
			twice = append(twice, twiceRead{*r, last.Source.Line})
			continue
		}
		if kept < i {
			rs[kept] = *r
		}
		kept++
	}
	clear(rs[kept:])
	return rs[:kept], twice
}

// twiceRead is a reading whose key an earlier line holds already.
type twiceRead struct {
	Reading
	firstLine int
}
