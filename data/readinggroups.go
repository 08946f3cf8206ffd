package data

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/data/parallel"
)

// readingKey keeps readings apart: of a point of a van there is one on a day.
var readingKey = uniqueKey[Reading]{
	column: "checkpoint",
	value:  func(r *Reading) string { return r.Checkpoint },
	of:     func(r *Reading) string { return r.Checkpoint },
	shown: func(r *Reading) string {
		point := r.Checkpoint
		if r.Position != "" {
			point += " at " + r.Position
		}
		return fmt.Sprintf("%s of %s on %s", point, r.StockID, r.TakenOn)
	},
	source: func(r *Reading) *Source { return &r.Source },
	same:   func(a, b *Reading) bool { return a.Value == b.Value && a.Verdict == b.Verdict },
	prefer: func(a, b *Reading) int {
		return cmp.Or(strings.Compare(a.Inspector, b.Inspector), strings.Compare(a.Note, b.Note))
	},
}

// readingOfDayKey is readingKey for readings of all vans, points and days.
var readingOfDayKey = uniqueKey[Reading]{
	column: readingKey.column, value: readingKey.value, shown: readingKey.shown, source: readingKey.source,
	of: func(r *Reading) string {
		return r.StockID + " " + r.Checkpoint + " " + r.Position + " " + strconv.Itoa(int(r.TakenOn))
	},
}

// CompareReadings is the order of a van's readings in a Yard: by checkpoint,
// position and day. Two of them are never alike in all three.
func CompareReadings(a, b *Reading) int {
	if c := strings.Compare(a.Checkpoint, b.Checkpoint); c != 0 {
		return c
	}
	if c := strings.Compare(a.Position, b.Position); c != 0 {
		return c
	}
	return cmp.Compare(a.TakenOn, b.TakenOn)
}

// groupReadings gives each van its readings in order, one of a point and day.
// Where the only row of a point and day was rejected for a value that cannot
// be, the point counts as untested on that day.
func groupReadings(ctx context.Context, sources []*table[Reading], workers int) (map[string][]Reading, error) {
	var pieces [][]Reading
	for _, t := range sources {
		pieces = append(pieces, t.records...)
	}
	for _, t := range sources {
		for i := range t.untested {
			t.untested[i].markUntested()
		}
		pieces = append(pieces, t.untested)
	}
	vans, groups := byVan(pieces, func(r *Reading) string { return r.StockID })
	shares := make([]struct {
		replaced []Source
		rejects  []Reject
	}, min(16*parallel.Workers(workers), len(groups)))
	err := parallel.Each(ctx, workers, len(shares), func(i int) error {
		share := &shares[i]
		var places []int
		for k := i * len(groups) / len(shares); k < (i+1)*len(groups)/len(shares); k++ {
			places = sortReadings(groups[k], places)
			groups[k] = onePerDay(groups[k], &share.replaced, &share.rejects)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	rejects := map[string][]Reject{}
	for _, s := range shares {
		for _, r := range s.rejects {
			rejects[r.File] = append(rejects[r.File], r)
		}
		noteReplaced(sources, s.replaced)
	}
	for _, t := range sources {
		t.withdraw(rejects[t.file.name])
	}
	out := make(map[string][]Reading, len(vans))
	for i, id := range vans {
		if len(groups[i]) > 0 {
			out[id] = groups[i]
		}
	}
	return out, nil
}

// markUntested takes the value that cannot be out of a reading.
func (r *Reading) markUntested() {
	r.Refused = r.Value
	r.Value, r.Number, r.Day, r.MonthOnly, r.Verdict = "", Opt[float64]{}, 0, false, Untested
}

// sortReadings sorts the readings of a van, which are large, by sorting where
// they stand and then moving each once; of one point and day they stay in the
// order in which they were read. places is room for that, to be passed on to the
// next call.
func sortReadings(rs []Reading, places []int) []int {
	from := places[:0] // of each place, the reading that belongs there
	for i := range rs {
		from = append(from, i)
	}
	slices.SortFunc(from, func(a, b int) int {
		if c := CompareReadings(&rs[a], &rs[b]); c != 0 {
			return c
		}
		return a - b
	})
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

// onePerDay takes out of sorted readings those that do not count because of
// others of their point and day. replaced are those of which a later source said
// more; rejects are those that cannot be used.
func onePerDay(rs []Reading, replaced *[]Source, rejects *[]Reject) []Reading {
	kept := rs[:0]
	for start := 0; start < len(rs); {
		end := start + 1
		for end < len(rs) && CompareReadings(&rs[start], &rs[end]) == 0 {
			end++
		}
		if end == start+1 {
			kept = append(kept, rs[start])
			start = end
			continue
		}
		var group []*Reading
		var refused *Reading // of a row that is among the rejects already
		for i := start; i < end; i++ {
			if rs[i].Refused == "" {
				group = append(group, &rs[i])
			} else {
				refused = &rs[i]
			}
		}
		counts, earlier, bad := readingKey.settle(group)
		*rejects = append(*rejects, bad...)
		*replaced = append(*replaced, earlier...)
		switch {
		case counts >= 0:
			kept = append(kept, *group[counts])
		case refused != nil:
			kept = append(kept, *refused)
		default:
			kept = append(kept, contradicted(group))
		}
		start = end
	}
	clear(rs[len(kept):])
	return kept
}

// contradicted is what is known of a point of which the rows of a day say
// different things: that it is to be looked at again.
func contradicted(group []*Reading) Reading {
	var said []string
	for _, r := range group {
		said = append(said, cmp.Or(r.Value, r.Verdict.String()))
	}
	slices.Sort(said)
	r := *group[0]
	r.markUntested()
	r.Inspector, r.Note, r.Refused = "", "", strings.Join(slices.Compact(said), " and ")
	return r
}
